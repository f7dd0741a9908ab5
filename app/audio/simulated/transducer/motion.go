package transducer

import "math"

// motion follows a driver in time, with force factor and stiffness that depend on
// where the coil is.
type motion struct {
	dt, perMass             float64
	bl, perOhm, centre      float64 // of the motor at rest
	offset, perWidth        float64
	even, odd               float64
	stiff, lean, hard, loss float64
	air                     float64 // stiffness of the box
	port2, portLoss         float64 // square of its resonance; 0 for a closed box

	x, v float64 // coil: m, m/s
	y, w float64 // port, as if it had the area of the driver
}

func newMotion(d Driver, b Box, rateHz float64) *motion {
	m := &motion{
		dt: 1 / rateHz, perMass: 1 / d.MmsKg,
		bl: d.Bl(), perOhm: 1 / d.ReOhm,
		offset: d.Motor.OffsetM, perWidth: 1 / d.Motor.WidthM, even: d.Motor.Even, odd: d.Motor.Odd,
		stiff: d.Kms(), lean: d.Spring.Lean, hard: d.Spring.Hard, loss: d.Rms(),
		air: b.stiffness(d.SdM2),
	}
	o := m.offset * m.perWidth
	m.centre = m.bl * (1 + o*o)
	if b.TuneHz > 0 {
		w := 2 * math.Pi * b.TuneHz
		m.port2, m.portLoss = w*w, w/b.PortQ
	}
	return m
}

// excess replaces volts by the force that the motor and the suspension exert
// beyond what they would with their values at rest, in newton. The motion is
// followed by the semi-implicit Euler method, which keeps the energy of a
// resonance, at steps far below its period.
func (m *motion) excess(volts []float64) {
	for n, u := range volts {
		volts[n] = m.step(u)
	}
}

func (m *motion) step(u float64) float64 {
	o := (m.x - m.offset) * m.perWidth
	bl := m.centre / (1 + o*o)
	i := (u - bl*m.v) * m.perOhm
	push := bl * i * (1 + i*(m.even+i*m.odd))
	pull := m.stiff * m.x
	bend := pull * m.x * (m.lean + m.x*m.hard)
	extra := push - m.bl*(u-m.bl*m.v)*m.perOhm - bend

	m.v += m.dt * m.perMass * (push - pull - bend - m.loss*m.v - m.air*(m.x+m.y))
	m.x += m.dt * m.v
	if m.port2 > 0 {
		m.w -= m.dt * (m.port2*(m.x+m.y) + m.portLoss*m.w)
		m.y += m.dt * m.w
	}
	return extra
}
