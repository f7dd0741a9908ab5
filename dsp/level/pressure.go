package level

import "math"

// ReferencePa is the reference of sound pressure levels (ISO 1683:2015): 20 µPa.
// One pascal is 93.979 dB, not 94.
const ReferencePa = 20e-6

// SPL is the level of a sound pressure in dB re 20 µPa.
func SPL(pressurePa float64) float64 { return 20 * math.Log10(pressurePa/ReferencePa) }

// PressurePa is the sound pressure of a level in dB re 20 µPa.
func PressurePa(splDB float64) float64 { return ReferencePa * Ratio(splDB) }

// Ratio is the amplitude ratio of a level: 10^(dB/20).
func Ratio(db float64) float64 { return math.Pow(10, db/20) }

// DB is the level of an amplitude ratio: 20 lg.
func DB(ratio float64) float64 { return 20 * math.Log10(ratio) }

// AtOneMetre brings a level at a distance to 1 m by the law of the point source in
// the free field: +20 lg r. It panics unless the distance is above 0.
func AtOneMetre(splDB, distanceM float64) float64 {
	if !(distanceM > 0) {
		panic("level: a distance must be above 0 m")
	}
	return splDB + DB(distanceM)
}

// SensitivityDB is a microphone's sensitivity in dB re 1 V/Pa, from mV/Pa.
func SensitivityDB(milliVoltsPerPa float64) float64 { return DB(milliVoltsPerPa / 1000) }

// SensitivityMilliVolts is a microphone's sensitivity in mV/Pa, from dB re 1 V/Pa.
func SensitivityMilliVolts(db float64) float64 { return 1000 * Ratio(db) }

// PascalAtFS is the sound pressure that drives an input to full scale, with a
// microphone of so many mV/Pa, a gain in dB between it and the converter, and a
// converter that reaches full scale at so many volts.
func PascalAtFS(milliVoltsPerPa, gainDB, voltsAtFS float64) float64 {
	return voltsAtFS / (milliVoltsPerPa / 1000 * Ratio(gainDB))
}
