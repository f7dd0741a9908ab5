package transducer

import "math"

// Amplifiers: peak volts at full scale.
const (
	benchAmplifierV     = 14.142 // 10 V rms, so that -20 dBFS is 1 V rms
	headphoneAmplifierV = 0.18
)

// The drivers of an invented workshop.
func heronWoofer() (Driver, Diaphragm) {
	return Driver{
			FsHz: 42, Qts: 0.35, Qms: 4, ReOhm: 5.8, MmsKg: 0.014, SdM2: 0.0133,
			Coil:   SemiInductance{K: 0.0045, N: 0.65},
			Motor:  Motor{OffsetM: 0.4e-3, WidthM: 8e-3, Even: 0.02, Odd: 0.05},
			Spring: Spring{Lean: 25, Hard: 3e4},
		}, Diaphragm{
			Breakup: []Resonance{{1450, 3, -0.06}, {4900, 8, 0.9}, {7300, 9, 0.7}, {9900, 12, 0.5}},
			SoftHz:  5200, SoftQ: 0.8,
		}
}

func wrenTweeter() (Driver, Diaphragm) {
	return Driver{
			FsHz: 800, Qts: 0.5, Qms: 2.5, ReOhm: 5.6, MmsKg: 0.3e-3, SdM2: 7e-4,
			Coil:   SemiInductance{K: 0.0006, N: 0.68},
			Motor:  Motor{OffsetM: 0.03e-3, WidthM: 0.5e-3, Even: 0.015, Odd: 0.03},
			Spring: Spring{Lean: 200, Hard: 5e6},
		}, Diaphragm{
			Breakup: []Resonance{{9500, 3, 0.08}, {26000, 7, 0.9}},
			SoftHz:  32000, SoftQ: 0.7,
		}
}

// woofer is the bare woofer in an infinite baffle.
func woofer(serial string) *Unit {
	return bareDriver("Heron 6 woofer", serial, heronWoofer)
}

// tweeter is the bare tweeter in an infinite baffle.
func tweeter(serial string) *Unit {
	return bareDriver("Wren tweeter", serial, wrenTweeter)
}

func bareDriver(model, serial string, of func() (Driver, Diaphragm)) *Unit {
	c := unitChance(model, serial)
	d, m := of()
	d, m = c.driver(d, SpreadLevelDB), c.diaphragm(m)
	amplifier := func(complex128) complex128 { return benchAmplifierV }
	return &Unit{Model: model, ways: []*way{{driver: d, drive: amplifier, sound: radiation(d, Box{}, m, Edge{})}}}
}

// Crossover of the two-way: fourth-order Linkwitz-Riley filters ahead of two
// amplifiers (S. H. Linkwitz, "Active Crossover Networks for Noncoincident
// Drivers", J. Audio Eng. Soc. 24, 1976).
const (
	crossHz      = 2200
	tweeterPadDB = -3.9
	stepHz       = 420 // the woofer is turned down above it, against the cabinet's step
	stepDB       = -2.6
	holdBackS    = 115e-6 // of the tweeter, so that both meet in phase at the crossing
)

// twoWay is the finished loudspeaker: woofer and tweeter in a vented box of 12 L.
func twoWay(serial string) *Unit {
	const model = "Heron 6"
	c := unitChance(model, serial)
	wd, wm := heronWoofer()
	td, tm := wrenTweeter()
	both := c.normal(SpreadLevelDB)
	wd, wm = c.driver(wd, 0.2), c.diaphragm(wm)
	td, tm = c.driver(td, 0.3), c.diaphragm(tm)
	wd.SpreadDB += both
	td.SpreadDB += both
	box := Box{VolumeM3: 0.012, TuneHz: c.around(45, spreadBreakup), PortQ: 9}
	cross := c.around(crossHz, spreadCrossing)

	pad, shelf := complex(benchAmplifierV*ratio(tweeterPadDB), 0), complex(ratio(stepDB), 0)

	low := func(s complex128) complex128 {
		l := lowPass(s, cross, 0.7071067811865476)
		return benchAmplifierV * l * l * step(s, shelf)
	}
	high := func(s complex128) complex128 {
		h := highPass(s, cross, 0.7071067811865476)
		return pad * h * h * delay(s, holdBackS)
	}
	return &Unit{Model: model, ways: []*way{
		{driver: wd, box: box, drive: low, sound: radiation(wd, box, wm, Edge{PathM: []float64{0.09, 0.1, 0.13, 0.17, 0.24}})},
		{driver: td, drive: high, sound: radiation(td, Box{}, tm, Edge{PathM: []float64{0.06, 0.09, 0.1, 0.13, 0.3}})},
	}}
}

// step is a first-order shelf from 1 down to a ratio.
func step(s, to complex128) complex128 {
	u := s / complex(2*math.Pi*stepHz, 0)
	return (1 + u*to) / (1 + u)
}
