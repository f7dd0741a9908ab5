// Package impulse gets an impulse response out of a recording and finds its way
// in it: deconvolution by what was really played, arrival and polarity, timing
// marks and clock drift, the first reflection, and the gate.
package impulse
