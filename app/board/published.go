package board

import "stillroom/app/rig"

// Published are the targets that come with the program, each with its source. Further
// ones are read from files.
func Published() []Target {
	return []Target{flat(), monitor(), cinema()}
}

// flat is a level line with no tolerance.
func flat() Target {
	return Target{Name: "Flat", Source: "a level line, 20 Hz to 20 kHz",
		Curve: rig.Curve{FrequencyHz: []float64{20, 20000}, MagnitudeDB: []float64{0, 0}}}
}

// monitor is what a listening loudspeaker must keep on its axis in a free field, with
// third-octave bands of pink noise: a band of 4 dB from 40 Hz to 16 kHz.
func monitor() Target {
	return Target{Name: "Listening loudspeaker, on axis", Source: "ITU-R BS.1116-3, clause 7.2.1 (from memory): within 4 dB from 40 Hz to 16 kHz in third octaves",
		Curve: rig.Curve{FrequencyHz: []float64{40, 16000}, MagnitudeDB: []float64{0, 0}},
		LowDB: []float64{-2, -2}, HighDB: []float64{2, 2}, Smoothed: "1/3 octave"}
}

// cinema is curve X of a large cinema, measured with pink noise in the hall.
func cinema() Target {
	hz := []float64{63, 2000, 2500, 3150, 4000, 5000, 6300, 8000, 10000, 12500, 16000}
	db := []float64{0, 0, -1, -2, -3, -4, -5, -6, -7, -9, -11}
	low, high := make([]float64, len(db)), make([]float64, len(db))
	for i, v := range db {
		low[i], high[i] = v-3, v+3
	}
	return Target{Name: "Curve X of a cinema", Source: "ISO 2969:1987, curve X, 63 Hz to 16 kHz, ±3 dB (from memory)",
		Curve: rig.Curve{FrequencyHz: hz, MagnitudeDB: db}, LowDB: low, HighDB: high, Fixture: rig.Room, Smoothed: "1/3 octave"}
}
