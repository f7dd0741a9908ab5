package level

import "math"

// DriveVolts is the usual voltage for a loudspeaker's sensitivity: 1 W into 8 Ω,
// √8 V, in the trade written as 2.83 V (common practice).
const DriveVolts = 2.83

// Volts is the voltage of a level in dBFS on an output whose full-scale sine has
// voltsAtFS.
func Volts(dbfs, voltsAtFS float64) float64 { return voltsAtFS * Ratio(dbfs) }

// DBFS is the level that gives so many volts on an output whose full-scale sine has
// voltsAtFS.
func DBFS(volts, voltsAtFS float64) float64 { return DB(volts / voltsAtFS) }

// Watts is the power of a voltage into a rated impedance: U²/R.
func Watts(volts, ohm float64) float64 { return volts * volts / ohm }

// VoltsForWatts is the voltage that gives a power into a rated impedance: √(PR).
func VoltsForWatts(watts, ohm float64) float64 { return math.Sqrt(watts * ohm) }

// AtVolts brings a level measured at one voltage to another: what a linear device
// would give there.
func AtVolts(splDB, volts, wantedVolts float64) float64 { return splDB + DB(wantedVolts/volts) }

// VoltsPerMilliwatt is the voltage of 1 mW into a rated impedance.
func VoltsPerMilliwatt(ohm float64) float64 { return VoltsForWatts(1e-3, ohm) }

// PerVolt is a headphone's sensitivity in dB SPL for 1 V, from dB SPL for 1 mW into
// its rated impedance (both are in use; IEC 60268-7).
func PerVolt(dbPerMilliwatt, ohm float64) float64 { return dbPerMilliwatt - DB(VoltsPerMilliwatt(ohm)) }

// PerMilliwatt is the inverse of PerVolt.
func PerMilliwatt(dbPerVolt, ohm float64) float64 { return dbPerVolt + DB(VoltsPerMilliwatt(ohm)) }

// CharacteristicVolts is the voltage at which a headphone gives 94 dB SPL, from its
// sensitivity in dB SPL for 1 V (characteristic voltage of IEC 60268-7, which is
// stated at 500 Hz).
func CharacteristicVolts(dbPerVolt float64) float64 { return Ratio(94 - dbPerVolt) }

// dBuVolts is 0 dBu: the voltage of 1 mW into 600 Ω.
const dBuVolts = 0.77459666924148337704

// DBu is a voltage in dB re 0.7746 V (ITU-R BS.645-2, 0 dBu).
func DBu(volts float64) float64 { return DB(volts / dBuVolts) }

// VoltsOfDBu is the inverse of DBu.
func VoltsOfDBu(dbu float64) float64 { return dBuVolts * Ratio(dbu) }
