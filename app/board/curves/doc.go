// Package curves works out what a board shows: it reads the takes, brings all traces to
// one frequency grid, aligns them, compares them with the reference and with each other.
// What costs time (decay maps, phases, harmonics) is worked out when it is asked for,
// and once.
//
// A trace whose take is gone, or whose parts do not go together, keeps its place with
// a Problem that says so. What is not known at a frequency is NaN.
//
// Combinations are made of traces as they were read: before alignment and offset.
package curves
