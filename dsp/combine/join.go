package combine

import (
	"fmt"
	"math"

	"stillroom/dsp/excitation"
)

// Origin is where a point of a joined curve comes from.
type Origin uint8

// A point is not known, or comes from the near field, from both, or from the far field.
const (
	Unknown Origin = iota
	Near
	Blend
	Far
)

// String is the word for it.
func (o Origin) String() string {
	return [...]string{"unknown", "near field", "blend", "far field"}[o]
}

// Joined is a near field and a far field made one curve, with the joint that made it.
type Joined struct {
	LevelDB  []float64
	Response []complex128 // nil where only levels were joined
	Origin   []Origin     // of each point
	Joint    Joint
}

// Join joins complex responses: the near field, its delay and inversion undone and its
// level offset added, fades into the far field between the ends of the joint by a
// raised cosine over log frequency. Time zero and polarity are those of the far field.
// Where the two differ in phase the blend dips, so the Likeness and the Rival of Joint.Near are worth a look.
// A point is NaN, and its origin Unknown, where one that it needs is NaN. It panics
// unless the joint begins above 0 Hz and ends above its beginning.
func Join(frequencyHz []float64, near, far []complex128, joint Joint) Joined {
	sameLength(len(frequencyHz), len(near), len(far))
	moved := Scaled(joint.Near.Undo(frequencyHz, near), math.Pow(10, joint.OffsetDB/20))
	out := Joined{Response: make([]complex128, len(frequencyHz)), Joint: joint}
	for i, f := range frequencyHz {
		switch w := joint.farWeight(f); w {
		case 0:
			out.Response[i] = moved[i]
		case 1:
			out.Response[i] = far[i]
		default:
			out.Response[i] = moved[i]*complex(1-w, 0) + far[i]*complex(w, 0)
		}
	}
	out.LevelDB = levelsDB(out.Response)
	out.Origin = joint.origins(frequencyHz, out.LevelDB)
	return out
}

// JoinLevels joins levels in dB likewise, without phase: the blend is a mean of dB. The
// alignment of the joint is not looked at.
func JoinLevels(frequencyHz, nearDB, farDB []float64, joint Joint) Joined {
	sameLength(len(frequencyHz), len(nearDB), len(farDB))
	out := Joined{LevelDB: make([]float64, len(frequencyHz)), Joint: joint}
	for i, f := range frequencyHz {
		near := nearDB[i] + joint.OffsetDB
		switch w := joint.farWeight(f); w {
		case 0:
			out.LevelDB[i] = near
		case 1:
			out.LevelDB[i] = farDB[i]
		default:
			out.LevelDB[i] = near*(1-w) + farDB[i]*w
		}
	}
	out.Origin = joint.origins(frequencyHz, out.LevelDB)
	return out
}

// farWeight is the share of the far field: 0 up to FromHz, 1 from ToHz.
func (j Joint) farWeight(f float64) float64 {
	if !(j.FromHz > 0 && j.ToHz > j.FromHz) {
		panic(fmt.Sprintf("combine: a joint from %g to %g Hz", j.FromHz, j.ToHz))
	}
	return excitation.RaisedCosine(math.Log(f/j.FromHz) / math.Log(j.ToHz/j.FromHz))
}

func (j Joint) origins(frequencyHz, levelDB []float64) []Origin {
	out := make([]Origin, len(frequencyHz))
	for i, f := range frequencyHz {
		switch w := j.farWeight(f); {
		case math.IsNaN(levelDB[i]):
			out[i] = Unknown
		case w == 0:
			out[i] = Near
		case w == 1:
			out[i] = Far
		default:
			out[i] = Blend
		}
	}
	return out
}
