// Package level converts levels: sound pressure, voltage, electrical power and full
// scale, and the frequency weightings A and C. All of it is pure and safe for
// concurrent use. NaN in gives NaN out; a ratio of 0 is −Inf dB.
//
// Volts and pascals are root mean square. Full scale is a sine whose peak is 1.0:
// 0 dBFS (AES17).
package level
