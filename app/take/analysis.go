package take

// Analysis is all that is drawn and read from a take with one choice of settings.
type Analysis struct {
	Settings Settings // as used: an automatic gate is resolved here
	RateHz   float64

	DelayS   float64 // from the start of the sweep as played to its acoustic arrival, interface latency included
	Polarity string  // "normal", "inverted" or "unknown"
	DriftPPM float64 // recording clock against playing clock; NaN where it cannot be known
	Clock    Clock
	Repeats  Repeats
	Findings []Finding

	// TimeZero is what phase counts from: "arrival", or "output" where a loopback
	// channel tells when the sound left.
	TimeZero string
	// Unit is that of Response and Noise: "dB re stimulus", "dB SPL for 2.83 V at 1 m" …
	Unit        string
	Microphones []MicrophoneCurve // each microphone of the rig; empty with one
	Average     *Response         // power mean of their magnitudes; nil with one, or where their units differ

	Impulse    Impulse
	Reflection *Reflection // the first one found; nil where none is
	Response   Response
	Harmonics  []Harmonic
	THD        Harmonic // root of the sum of squares of all orders measurable at each frequency; Order is 0
	Noise      Noise
	Excitation Excitation
	Readings   Readings
}

// Excitation is what the sweep was, as the command line tells it.
type Excitation struct {
	Kind      string // "log sweep", "broadband" or "impulse response"
	StartHz   float64
	EndHz     float64
	DurationS float64
}

// Impulse is the impulse response around the arrival, peak normalised to nothing:
// values are re the stimulus.
type Impulse struct {
	TimeS []float64 // from the arrival
	Value []float64
}

// Reflection is an arrival after the first.
type Reflection struct {
	DelayS  float64 // after the direct sound
	LevelDB float64 // re the direct sound
	PathM   float64 // how much longer its path is
}

// Response is the gated response on the log-frequency grid (96 points an octave,
// exact base-10 fractions).
type Response struct {
	FrequencyHz []float64
	MagnitudeDB []float64 // smoothed as the settings say; dB re the stimulus (dBFS out per dBFS in)
	PhaseDeg    []float64 // wrapped to (-180, 180], time zero at the arrival
	UnwrapDeg   []float64
	GroupS      []float64 // group delay, s
	ValidFromHz float64
	ValidToHz   float64
	// UncertaintyDB is the expanded uncertainty of MagnitudeDB, coverage factor 2
	// (JCGM 100:2008): noise, repeats and calibrations together. NaN: not known.
	UncertaintyDB []float64
}

// MicrophoneCurve is what one microphone of several heard.
type MicrophoneCurve struct {
	Name     string // name or place, or "microphone 2"
	Response Response
	Findings []Finding
}

// Harmonic is one order of distortion over the excitation frequency.
type Harmonic struct {
	Order       int
	FrequencyHz []float64 // of the excitation
	LevelDB     []float64 // re the fundamental at the excitation frequency; NaN where it cannot be known
	FloorDB     []float64 // what noise alone would show
	FromHz      float64   // range in which this order is measurable with this sweep
	ToHz        float64
}

// Noise is the noise of the quiet part of the recording, seen through the analysis.
type Noise struct {
	FrequencyHz []float64
	LevelDB     []float64 // re the stimulus, comparable with Response.MagnitudeDB
	SNRDB       float64   // worst signal to noise per octave in the valid band, dB
	SNRFromHz   float64   // that octave
	SNRToHz     float64
	Octaves     []Octave // of the valid band
	RMSDBFS     float64  // of the quiet part
	PeakDBFS    float64  // of the whole recording
}

// Octave is the signal to noise of one octave.
type Octave struct{ FromHz, ToHz, SNRDB float64 }

// Readings are single figures of a take.
type Readings struct {
	MeanDB    float64 // mean level 300 Hz to 3 kHz (power mean over log frequency), re the stimulus
	LowHz     float64 // where the level first falls 10 dB below MeanDB going down; NaN: not in the valid band
	HighHz    float64
	DistanceM float64 // by time of flight; NaN where timing is not absolute

	// SensitivityDB is the mean level 300 Hz to 3 kHz for 2.83 V at 1 m; NaN where
	// the rig is not calibrated for it. DriveVolts is the rms voltage of the sweep.
	SensitivityDB float64
	DriveVolts    float64
}
