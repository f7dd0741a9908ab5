// Package response holds what is read from a complex frequency response: the grid
// of stored curves, levels, smoothing, phase (wrapped, unwrapped, minimum, excess),
// group delay, means and band ends, the gate of a number of cycles at each frequency,
// and the noise that a measurement sees.
//
// All of it is pure and safe for concurrent use. NaN marks what is not known: it stays
// NaN, and spreads only where a function says so. Curves of different lengths are the
// caller's mistake and panic.
package response
