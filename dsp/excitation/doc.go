// Package excitation makes what is played and recognises what others played: the
// exponential sweep in its synchronised form, the timing marks around it, and the
// whole programme of a take.
package excitation
