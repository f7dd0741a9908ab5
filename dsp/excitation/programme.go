package excitation

// Programme is all that is played in one take: a quiet wake-up, silence, a timing
// mark, the sweep or its repeats each with a pause for its decay, a second timing
// mark, silence. Its parameters regenerate it.
type Programme struct {
	RateHz    float64
	LowHz     float64 // the band that is fully excited
	HighHz    float64
	DurationS float64 // of one sweep
	Repeats   int     // 1 to 16
	LevelDBFS float64 // peak of the sweep; a sine whose peak is 1.0 is 0 dBFS (AES17)
	PauseS    float64 // after each sweep, for its decay; 0: the usual 0.5 s
}
