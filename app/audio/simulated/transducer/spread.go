package transducer

import (
	"hash/fnv"
	"math"
	"math/rand/v2"
)

// Spread of a batch, as standard deviations: common practice of driver makers.
const (
	SpreadLevelDB  = 0.5
	SpreadFs       = 0.04
	SpreadQts      = 0.06
	spreadBreakup  = 0.02
	spreadDamping  = 0.10
	spreadMotor    = 0.25 // of the offset of the coil and of flux modulation
	spreadCrossing = 0.01
	spreadLeak     = 0.06 // of the corner of a cushion's leak
)

// chance draws how one unit differs from its model.
type chance struct{ *rand.Rand }

// unitChance returns the draws of one unit: the same for the same model and
// serial number.
func unitChance(model, serial string) chance {
	h := fnv.New64a()
	h.Write([]byte(model + "\x00" + serial))
	return chance{rand.New(rand.NewPCG(h.Sum64(), 0x5eed))}
}

// normal is a normal draw of deviation sd, cut at three deviations: what is
// further out does not leave a factory.
func (c chance) normal(sd float64) float64 {
	return sd * math.Max(-3, math.Min(3, c.NormFloat64()))
}

// around is value, off by a normal share.
func (c chance) around(value, sd float64) float64 { return value * (1 + c.normal(sd)) }

// driver returns one unit of a driver. Its sensitivity in the middle of its band
// spreads by levelDB alone, whatever its resonance does.
func (c chance) driver(d Driver, levelDB float64) Driver {
	u := d
	u.FsHz = c.around(d.FsHz, SpreadFs)
	damping := c.around(1, SpreadQts)
	u.Qts, u.Qms = d.Qts*damping, d.Qms*damping
	u.SpreadDB = c.normal(levelDB) + 20*math.Log10(d.Bl()/u.Bl())
	u.Motor.OffsetM = c.around(d.Motor.OffsetM, spreadMotor)
	u.Motor.Even = c.around(d.Motor.Even, spreadMotor)
	u.Spring.Lean = c.around(d.Spring.Lean, spreadMotor)
	return u
}

func (c chance) diaphragm(m Diaphragm) Diaphragm {
	u := m
	u.Breakup = make([]Resonance, len(m.Breakup))
	for i, r := range m.Breakup {
		u.Breakup[i] = Resonance{Hz: c.around(r.Hz, spreadBreakup), Q: c.around(r.Q, spreadDamping), Gain: c.around(r.Gain, spreadDamping)}
	}
	return u
}
