package desk

// Cautions stand where loud sound starts.
const (
	LoudCaution   = "Loud tones follow. Protect your ears above 85 dB(A), and take headphones off every head before a sweep."
	DriverCaution = "A tweeter needs a band limit or a capacitor in series: low frequencies destroy it. An amplifier with bridged outputs must not be grounded by an interface."
)

// LevelAdvice tells how to come to a level that is right.
const LevelAdvice = "A new rig starts at −40 dBFS. Play the test tone, watch the input, and raise the level step by step. A sweep above the limit is refused, not turned down."

// CalibrationLine says what the levels mean as long as the rig is not calibrated.
const CalibrationLine = "Levels are in dB re full scale: what comes in, in dBFS, for what goes out, in dBFS. They are right relative to each other and say nothing of sound pressure yet."
