package excitation

import "math"

// Lengths of the parts of a programme that are the same in each, in seconds.
const (
	wakeS     = 0.25 // many converters mute on digital silence and fade in
	silenceS  = 0.50 // noise and hum are read here
	markS     = 0.05
	guardS    = 0.25 // between a mark and the sweep, so that neither decays into the other
	tailS     = 0.30 // after the closing mark, for its own decay
	wakeDB    = -40  // re the sweep
	usualS    = 0.50 // pause after a sweep where the programme names none
	markLowHz = 800  // of a timing mark, where the band allows
	markTopHz = 9000
)

// Programme is all that is played in one take: a quiet wake-up, silence, a timing
// mark, the sweep or its repeats each with a pause for its decay, a second timing
// mark, silence. Its parameters regenerate it.
type Programme struct {
	RateHz    float64
	LowHz     float64 // the band that is fully excited
	HighHz    float64
	DurationS float64 // of one sweep
	Repeats   int     // 1 to 16
	LevelDBFS float64 // peak of the sweep; a sine whose peak is 1.0 is 0 dBFS (AES17)
	PauseS    float64 // after each sweep, for its decay; 0: the usual 0.5 s
}

// Span is a stretch of samples, From ≤ n < To.
type Span struct{ From, To int }

// Len is the number of samples in the span.
func (s Span) Len() int { return s.To - s.From }

// Layout says where in a signal its parts stand.
type Layout struct {
	Frames  int
	Wake    Span
	Silence Span
	Marks   []Span // two of ours; none in what others made
	Sweeps  []Span // without their pauses
	Tail    Span
}

// Sweep returns the sweep of the programme.
func (p Programme) Sweep() Sweep { return SweepOver(p.LowHz, p.HighHz, p.DurationS, p.RateHz) }

// Amplitude is the peak of the sweep, full scale being 1.
func (p Programme) Amplitude() float64 { return math.Pow(10, p.LevelDBFS/20) }

// Pause is the pause after each sweep, in seconds.
func (p Programme) Pause() float64 {
	if p.PauseS > 0 {
		return p.PauseS
	}
	return usualS
}

// Layout returns where the parts of the programme stand.
func (p Programme) Layout() Layout {
	var l Layout
	at := 0
	next := func(seconds float64) Span {
		s := Span{at, at + p.frames(seconds)}
		at = s.To
		return s
	}
	l.Wake = next(wakeS)
	l.Silence = next(silenceS)
	l.Marks = append(l.Marks, next(markS))
	next(guardS)
	for range max(p.Repeats, 1) {
		s := Span{at, at + p.Sweep().Len(p.RateHz)}
		at = s.To
		l.Sweeps = append(l.Sweeps, s)
		next(p.Pause())
	}
	l.Marks = append(l.Marks, next(markS))
	l.Tail = next(tailS)
	l.Frames = at
	return l
}

func (p Programme) frames(seconds float64) int { return int(math.Round(seconds * p.RateHz)) }

// Render returns what is played, as the sound card gets it. The same programme
// gives the same samples.
func (p Programme) Render() []float32 {
	l := p.Layout()
	out := make([]float32, l.Frames)
	write := func(s Span, x []float64, gain float64) {
		for n, v := range x {
			out[s.From+n] = float32(gain * v)
		}
	}
	a := p.Amplitude()
	write(l.Wake, p.wake(), a*math.Pow(10, wakeDB/20.0))
	mark := p.Mark()
	for _, s := range l.Marks {
		write(s, mark, a)
	}
	sweep := p.Sweep().Samples(p.RateHz)
	for _, s := range l.Sweeps {
		write(s, sweep, a)
	}
	return out
}

// wake is a tone inside the band, faded in and out.
func (p Programme) wake() []float64 {
	x := make([]float64, p.frames(wakeS))
	f := math.Min(math.Max(1000, p.LowHz), p.HighHz)
	for n := range x {
		t := float64(n) / p.RateHz
		x[n] = RaisedCosine(t/0.05) * RaisedCosine((wakeS-t)/0.05) * math.Sin(2*math.Pi*f*t)
	}
	return x
}

// MarkBand is the band of the timing marks, in Hz: 0.8 to 9 kHz as far as the
// programme's own band allows.
func (p Programme) MarkBand() (lowHz, highHz float64) {
	highHz = math.Min(markTopHz, p.HighHz)
	lowHz = math.Max(p.LowHz, math.Min(markLowHz, highHz/4))
	return math.Min(lowHz, highHz/1.2), highHz
}

// Mark renders a timing mark: a linear chirp with raised-cosine ends, peak 1.
func (p Programme) Mark() []float64 {
	low, high := p.MarkBand()
	x := make([]float64, p.frames(markS))
	for n := range x {
		t := float64(n) / p.RateHz
		w := RaisedCosine(t/(markS/5)) * RaisedCosine((markS-t)/(markS/5))
		x[n] = w * math.Sin(2*math.Pi*(low*t+(high-low)*t*t/(2*markS)))
	}
	return x
}
