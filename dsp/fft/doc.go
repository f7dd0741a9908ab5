// Package fft computes the discrete Fourier transform of real signals, fast for
// the lengths that a recording of several seconds has.
//
// A Real plan transforms 2-3-5-smooth even lengths. Short ones run through
// Stockham's self-sorting passes (radix 4, 2, 3, 5); long ones are cut into a
// matrix of short ones whose columns and rows fit the cache (the four-step
// method, D. H. Bailey, "FFTs in external or hierarchical memory", J.
// Supercomputing 4, 1990), and the columns and rows are shared out between the
// processors. The result does not depend on how many there are.
//
// The convention is the one of the whole project:
//
//	X[k] = Σ_n x[n] e^{-j2πkn/N},   x[n] = 1/N Σ_k X[k] e^{+j2πkn/N}
//
// so that a delay gives falling phase. At evaluates the spectrum of a short
// piece of signal at any set of frequencies.
//
// A wrong length is the caller's mistake and panics.
package fft
