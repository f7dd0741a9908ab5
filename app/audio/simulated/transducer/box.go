package transducer

import "math"

// Box is the air behind a driver. With no volume the driver sits in an infinite
// baffle; with no tuning the box is closed. A vented box follows R. H. Small,
// "Vented-Box Loudspeaker Systems", J. Audio Eng. Soc. 21, 1973, its losses put
// into the port.
type Box struct {
	VolumeM3 float64
	TuneHz   float64 // resonance of port and box
	PortQ    float64 // of that resonance
}

// stiffness is what the air adds to the suspension of a surface, in N/m.
func (b Box) stiffness(areaM2 float64) float64 {
	if b.VolumeM3 == 0 {
		return 0
	}
	return bulkPa * areaM2 * areaM2 / b.VolumeM3
}

// net is the volume that leaves driver and port together, per volume that the
// driver moves. In an infinite baffle and a closed box it is 1.
func (b Box) net(s complex128) complex128 {
	if b.VolumeM3 == 0 || b.TuneHz == 0 {
		return 1
	}
	w := complex(2*math.Pi*b.TuneHz, 0)
	loss := s * w / complex(b.PortQ, 0)
	return (s*s + loss) / (s*s + loss + w*w)
}

// Edge is the front of a cabinet: at low frequencies sound spreads around it to the
// full sphere (−6 dB), and what turns at its edges meets the direct sound again.
type Edge struct {
	PathM []float64 // from the driver to the edges; none: no cabinet
}

func (e Edge) at(s complex128) complex128 {
	if len(e.PathM) == 0 {
		return 1
	}
	var turned complex128
	for _, m := range e.PathM {
		t := m / AirSpeedMS
		turned += delay(s, t) / (1 + s*complex(0.35*t, 0))
	}
	return 1 - turned*complex(0.5/float64(len(e.PathM)), 0)
}
