// Package response holds what is read from a complex frequency response: the grid
// of stored curves, levels, phase, group delay, means and band ends, and the noise
// that a measurement sees.
package response
