// Package decay holds how a response rises and dies away: step response, energy–time
// curve, cumulative spectral decay over time, decay over periods, and spectrogram.
//
// Times are in seconds and count from time zero, which each function is told as a lag
// in the impulse response. All of it is pure and safe for concurrent use. A NaN sample
// makes NaN of what it has a part in. Settings that cannot be are the caller's mistake
// and panic.
//
// An impulse response from a sweep holds the causal low edge of its deconvolution (see
// impulse.Edge). It is divided out of each spectrum, which makes levels right; but what
// is seen to ring below some five times its corner is partly the edge.
package decay
