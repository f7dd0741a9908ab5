// Package model holds what a workshop says of a product or driver type: what kind of
// thing it is, how hard it may be driven, and which raw recordings of it are kept.
package model

// Model is a product or driver type. Its zero limits limit nothing.
type Model struct {
	Name              string
	Kind              string    // "loudspeaker", "woofer", "tweeter", "headphone", or any other word
	LowestHz          float64   // lowest frequency that it may be driven at, Hz; 0: not limited
	HighestVolts      float64   // highest voltage across it, V rms of a sine; 0: not limited
	RatedImpedanceOhm float64   // Ω; 0: not known
	Note              string    // free text
	KeepRaw           Retention // which raw recordings of its takes stay
}

// Retention tells which raw recordings are kept. What was found of a take, its
// impulse response among it, stays always.
type Retention struct {
	Rule       string // "all" (also ""): every one; "chosen": those that the fields below name
	Failures   bool   // of takes that failed or are void
	References bool   // of takes that are a reference
	Days       int    // of the last so many days, whatever they showed; 0: none for their age
}
