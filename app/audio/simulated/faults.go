package simulated

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"stillroom/app/audio"
)

// faults is what is wrong with a rig. The zero value is a healthy one.
type faults struct {
	clipDB     float64 // the preamplifier overloads this far below the highest peak; 0: it does not
	hum        float64 // peak of the mains tone
	click      float64 // peak of a click somewhere in the take
	lost       int     // frames lost in one place
	inverted   bool
	drift      float64 // the recording clock is slower by this share, so that all sounds faster
	driftGiven bool    // also where it is 0
	dc         float64
	fadeInS    float64 // the output mutes, then fades in over this time
	noise      float64 // rms
	silent     bool    // the microphone is not plugged in
	goneS      float64 // the device goes after this time; 0: it stays
}

// fault is one kind of fault: the figure that it takes where none is given, the
// range of figures that it takes, and what it sets.
type fault struct {
	usual, low, high float64
	set              func(f *faults, figure float64)
}

func faultKinds() map[string]fault {
	return map[string]fault{
		"clip":        {6, 0.1, 60, func(f *faults, v float64) { f.clipDB = v }},
		"hum":         {-50, -120, 0, func(f *faults, v float64) { f.hum = ratio(v) }},
		"click":       {-40, -120, 0, func(f *faults, v float64) { f.click = ratio(v) }},
		"lost-block":  {64, 1, 1e6, func(f *faults, v float64) { f.lost = int(v) }},
		"inverted":    {0, 0, 0, func(f *faults, v float64) { f.inverted = true }},
		"clock-drift": {50, -1000, 1000, func(f *faults, v float64) { f.drift, f.driftGiven = v*1e-6, true }},
		"dc":          {0.01, -0.5, 0.5, func(f *faults, v float64) { f.dc = v }},
		"fade-in":     {1500, 1, 1e4, func(f *faults, v float64) { f.fadeInS = v / 1000 }},
		"noise":       {-50, -120, 0, func(f *faults, v float64) { f.noise = ratio(v) }},
		"silent":      {0, 0, 0, func(f *faults, v float64) { f.silent = true }},
		"device-lost": {1, 0.01, 1e4, func(f *faults, v float64) { f.goneS = v }},
	}
}

// FaultNames lists the faults that a rig can have, in alphabetical order. Each may
// be followed by a colon and a figure: "clip:6" (dB below the highest peak),
// "hum:-50" and "click:-40" (dBFS peak), "lost-block:64" (frames), "clock-drift:50"
// (ppm), "dc:0.01" (full scale), "fade-in:1500" (ms), "noise:-50" (dBFS rms),
// "device-lost:1" (s).
func FaultNames() []string {
	var names []string
	for name := range faultKinds() {
		names = append(names, name)
	}
	slices.Sort(names)
	return names
}

// parseFaults reads a list of faults. The error wraps audio.ErrBadRequest.
func parseFaults(list []string) (faults, error) {
	var f faults
	for _, text := range list {
		name, figure, given := strings.Cut(strings.TrimSpace(text), ":")
		kind, known := faultKinds()[name]
		if !known {
			return f, fmt.Errorf("%w: there is no fault %q; there are %s", audio.ErrBadRequest, name, strings.Join(FaultNames(), ", "))
		}
		value := kind.usual
		if given {
			var err error
			if value, err = strconv.ParseFloat(figure, 64); err != nil || !(value >= kind.low && value <= kind.high) {
				return f, fmt.Errorf("%w: the fault %q needs a figure from %g to %g", audio.ErrBadRequest, text, kind.low, kind.high)
			}
		}
		kind.set(&f, value)
	}
	return f, nil
}

// muted is what is left of what is played by an output that mutes on silence and
// comes back slowly: nothing for the first half of its time, then a rise.
func (f faults) muted(x []float64, rateHz float64) {
	if f.fadeInS == 0 {
		return
	}
	first := slices.IndexFunc(x, func(v float64) bool { return v != 0 })
	n := int(f.fadeInS * rateHz)
	for i := 0; first >= 0 && i < n && first+i < len(x); i++ {
		x[first+i] *= rise(2*float64(i)/float64(n) - 1)
	}
}

// rise is a raised cosine from 0 at u ≤ 0 to 1 at u ≥ 1.
func rise(u float64) float64 {
	return 0.5 - 0.5*math.Cos(math.Pi*math.Max(0, math.Min(1, u)))
}

// humParts are the levels of the harmonics of the mains, from the first, as a
// transformer and a rectifier make them.
func humParts() []float64 { return []float64{1, 0.3, 0.6, 0.12, 0.35, 0.06, 0.2} }

const mainsHz = 50

// addHum adds the mains tone to x, which begins at frame from.
func (f faults) addHum(x []float64, from int, rateHz float64) {
	if f.hum == 0 {
		return
	}
	for n := range x {
		t := float64(from+n) / rateHz
		for h, level := range humParts() {
			x[n] += f.hum * level * math.Sin(2*math.Pi*mainsHz*float64(h+1)*t+float64(h*h))
		}
	}
}

// addClick adds a short decaying knock at frame at to x, which begins at frame from.
func (f faults) addClick(x []float64, from, at int, rateHz float64) {
	if f.click == 0 {
		return
	}
	const lastsS, knockHz = 0.004, 2300
	for n := range int(lastsS * rateHz) {
		if i := at + n - from; i >= 0 && i < len(x) {
			t := float64(n) / rateHz
			x[i] += f.click * math.Exp(-t/0.0006) * math.Cos(2*math.Pi*knockHz*t)
		}
	}
}

// clip cuts x at clipDB below its own highest peak.
func (f faults) clip(x []float64) {
	if f.clipDB == 0 {
		return
	}
	var peak float64
	for _, v := range x {
		peak = math.Max(peak, math.Abs(v))
	}
	limit := peak * ratio(-f.clipDB)
	for n, v := range x {
		x[n] = math.Max(-limit, math.Min(limit, v))
	}
}

func ratio(db float64) float64 { return math.Pow(10, db/20) }
