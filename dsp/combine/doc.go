// Package combine puts curves together: means and spreads of groups, differences and
// ratios, sums of drivers, near field with far field, and the distance to a tolerance.
//
// Curves lie on one grid of rising frequencies in Hz and have one value a point:
// levels in dB (power ratios, 10 lg) or complex responses with e^{+jωt}. Lengths that
// differ are the caller's mistake and panic. NaN is "not known": unless a function says
// otherwise, its result is NaN where anything that it is made from is NaN, so that no
// mean or sum changes its members half way along the axis. All is pure and safe for
// concurrent use.
package combine
