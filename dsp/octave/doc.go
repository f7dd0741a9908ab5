// Package octave holds the fractional-octave bands of IEC 61260-1:2014: their
// frequencies, what a spectrum or an impulse response holds in them, and filters for
// them that run in time. Frequency weightings stand in dsp/level.
//
// The definitions are those of IEC 61260-1:2014 as public transcriptions give them;
// the standard's own text was not read. A band that is not covered is NaN. All is
// pure and safe for concurrent use. Shapes that do not fit are the caller's mistake
// and panic.
package octave
