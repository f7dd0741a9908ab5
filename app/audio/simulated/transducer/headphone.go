package transducer

import "math"

// headphone is a closed headphone on an ear coupler. Its driver is damped by felt
// and works into the air of cushion and coupler, so that below the resonance the
// pressure follows displacement; the leak of the cushion lets the lowest
// frequencies out; the ear canal adds its own resonances.
func headphone(serial string) *Unit {
	const model = "Lark headphone"
	c := unitChance(model, serial)
	d := c.driver(Driver{
		FsHz: 90, Qts: 0.13, Qms: 0.1306, ReOhm: 32, MmsKg: 0.2e-3, SdM2: 7e-4,
		Motor:  Motor{OffsetM: 0.05e-3, WidthM: 0.3e-3, Even: 2, Odd: 1500},
		Spring: Spring{Lean: 3000, Hard: 2e8},
	}, SpreadLevelDB)
	ear := c.diaphragm(Diaphragm{
		Breakup: []Resonance{{2900, 1.8, 1.6}, {5600, 4, -0.9}, {8300, 4, 0.9}, {13000, 5, 0.5}},
		SoftHz:  15000, SoftQ: 0.8,
	})
	cushion := Box{VolumeM3: 70e-6}
	leakHz := c.around(39, spreadLeak)
	amplifier := func(complex128) complex128 { return headphoneAmplifierV }
	k := complex(bulkPa*d.SdM2/cushion.VolumeM3*ratio(d.SpreadDB), 0)
	sound := func(s complex128) complex128 {
		return k * leak(s, leakHz) * ear.at(s) / lowPass(s, chamberHz, chamberQ)
	}
	return &Unit{Model: model, Coupled: true, ways: []*way{{driver: d, box: cushion, drive: amplifier, sound: sound}}}
}

// Above its first mode the chamber is no longer one pressure: waves carry what the
// falling displacement no longer does.
const (
	chamberHz = 400
	chamberQ  = 0.55
)

// leak is a first-order high-pass: the slit under the cushion shorts what is slow.
func leak(s complex128, hz float64) complex128 {
	u := s / complex(2*math.Pi*hz, 0)
	return u / (1 + u)
}
