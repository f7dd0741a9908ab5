package calibrate

import (
	"context"
	"errors"
	"fmt"
	"math"

	"stillroom/app/take"
	"stillroom/dsp/level"
	"stillroom/dsp/response"
)

const (
	startDBFS      = -40.0 // or lower
	riseDB         = 6.0   // at most, from step to step
	leastRiseDB    = 0.5
	goodSNRDB      = 50.0  // worst octave that the device plays
	headroomDBFS   = -12.0 // highest peak of a recording
	unheardTopDBFS = -20.0 // no higher while nothing is heard
	playsDB        = 20.0  // an octave this far below the loudest one is not the device's
	checkSweepS    = 0.5
	usualSweepS    = 2.7
)

// Stop is why a level check stopped.
type Stop string

// The reasons, in the order they are looked at.
const (
	StopHeadroom Stop = "headroom" // the recording is as loud as it may be
	StopGood     Stop = "good"     // signal to noise is good
	StopLimit    Stop = "limit"    // the rig's limit is reached
	StopUnheard  Stop = "unheard"  // nothing is heard: no level is recommended
)

// Levels is a level check. The zero value of each field is the usual.
type Levels struct {
	LowHz     float64 // of the sweeps; 0: 20 Hz. A tweeter needs a higher one.
	HighHz    float64 // 0: 20 kHz
	StartDBFS float64 // 0: −40 dBFS; never above that
}

// Advice is what a level check found.
type Advice struct {
	LevelDBFS float64 // recommended; NaN where nothing was heard
	Why       Stop
	SNRDB     float64 // at that level, with a sweep of the usual 2.7 s; NaN where not known
	Steps     []Step
	Text      string // one line for a person
}

// Step is one level that was tried.
type Step struct {
	LevelDBFS float64
	PeakDBFS  float64 // of the recording
	SNRDB     float64 // with a sweep of the usual 2.7 s; NaN where nothing was heard
}

// LevelCheck finds a level for the first sweep on the rig's first microphone: it
// plays short sweeps from −40 dBFS or lower, each at most 6 dB above the one before,
// until signal to noise is 50 dB in every octave that the device plays, the recording
// peaks at −12 dBFS, or the rig's limit is reached. It does not go above −20 dBFS as
// long as nothing is heard, and is refused there: an open cable must not end in full
// level.
func (b Bench) LevelCheck(ctx context.Context, l Levels) (Advice, error) {
	l = b.usual(l)
	advice := Advice{LevelDBFS: math.NaN(), SNRDB: math.NaN()}
	if err := b.allow(l.StartDBFS); err != nil {
		return advice, err
	}
	for at := l.StartDBFS; ; {
		step, err := b.try(ctx, l, at)
		if err != nil {
			return advice, err
		}
		advice.Steps = append(advice.Steps, step)
		rise := 0.0
		if advice.Why, rise = b.next(step); advice.Why != "" {
			return b.advise(advice)
		}
		at += rise
	}
}

func (b Bench) usual(l Levels) Levels {
	if l.LowHz == 0 {
		l.LowHz = 20
	}
	if l.HighHz == 0 {
		l.HighHz = math.Min(20000, widestHz(b.Rig.RateHz))
	}
	if l.StartDBFS == 0 {
		l.StartDBFS = startDBFS
	}
	l.StartDBFS = math.Min(math.Min(l.StartDBFS, startDBFS), b.highestDBFS())
	return l
}

// next tells whether to stop after a step, or by how much to rise.
func (b Bench) next(s Step) (Stop, float64) {
	highest, heard := b.highestDBFS(), !math.IsNaN(s.SNRDB)
	room := headroomDBFS - s.PeakDBFS
	switch {
	case room < leastRiseDB:
		return StopHeadroom, 0
	case heard && s.SNRDB >= goodSNRDB:
		return StopGood, 0
	case !heard && s.LevelDBFS >= math.Min(highest, unheardTopDBFS)-1e-9:
		return StopUnheard, 0
	case s.LevelDBFS >= highest-1e-9:
		return StopLimit, 0
	}
	rise := math.Min(riseDB, highest-s.LevelDBFS)
	if !heard {
		return "", math.Min(rise, math.Max(unheardTopDBFS-s.LevelDBFS, leastRiseDB))
	}
	return "", math.Min(rise, room)
}

// try plays one short sweep.
func (b Bench) try(ctx context.Context, l Levels, levelDBFS float64) (Step, error) {
	r := b.bare(b.Rig.InputChannel, levelDBFS)
	p := take.DefaultProgramme(r)
	p.LowHz, p.HighHz, p.DurationS = l.LowHz, l.HighHz, checkSweepS
	one, err := b.record(ctx, r, p, fmt.Sprintf("%.0f dBFS: ", levelDBFS))
	if err != nil {
		return Step{}, err
	}
	step := Step{LevelDBFS: levelDBFS, PeakDBFS: peakDBFS(one), SNRDB: math.NaN()}
	study, err := take.NewStudy(one)
	if errors.Is(err, take.ErrNoSignal) {
		return step, nil
	}
	if err != nil {
		return step, err
	}
	a, err := study.Analyse(take.Settings{Gate: take.Gate{Auto: true}, Smoothing: 3})
	if err != nil {
		return step, err
	}
	for _, f := range a.Findings {
		if f.Code == "no-signal" {
			return step, nil
		}
	}
	step.SNRDB = playedSNRDB(a) + 10*math.Log10(usualSweepS/checkSweepS)
	return step, nil
}

func peakDBFS(t *take.Take) float64 {
	peak := 0.0
	for _, row := range t.Capture.Channels {
		for _, v := range row {
			peak = math.Max(peak, math.Abs(float64(v)))
		}
	}
	return level.DB(peak)
}

// playedSNRDB is the worst signal to noise of an octave that the device plays, which
// is one not more than 20 dB below the loudest. NaN where nothing is known.
func playedSNRDB(a *take.Analysis) float64 {
	r, n := a.Response, a.Noise
	var signal, snr []float64
	loudest := math.Inf(-1)
	for from := r.ValidFromHz; from*1.4 < r.ValidToHz; from *= 2 {
		to := math.Min(2*from, r.ValidToHz)
		s := response.MeanDB(r.FrequencyHz, r.MagnitudeDB, from, to)
		signal, snr = append(signal, s), append(snr, s-response.MeanDB(n.FrequencyHz, n.LevelDB, from, to))
		loudest = math.Max(loudest, s)
	}
	worst := math.NaN()
	for i, s := range signal {
		if s > loudest-playsDB && !(snr[i] >= worst) {
			worst = snr[i]
		}
	}
	return worst
}

// advise turns the last step into a recommendation.
func (b Bench) advise(a Advice) (Advice, error) {
	last := a.Steps[len(a.Steps)-1]
	if a.Why == StopUnheard || a.Why == StopHeadroom && math.IsNaN(last.SNRDB) {
		if a.Why == StopHeadroom {
			a.Text = fmt.Sprintf("The input peaks at %.1f dBFS, and the sweep is not heard in it: lower its gain, and find what is so loud.", last.PeakDBFS)
		} else {
			a.Text = fmt.Sprintf("Nothing is heard up to %.0f dBFS: check the cables, the amplifier, the microphone and its input.", last.LevelDBFS)
		}
		return a, refuse("%s", a.Text)
	}
	a.LevelDBFS = last.LevelDBFS
	if a.Why == StopHeadroom {
		a.LevelDBFS -= math.Max(0, last.PeakDBFS-headroomDBFS)
	}
	a.LevelDBFS = math.Floor(a.LevelDBFS*10+1e-6) / 10
	a.SNRDB = last.SNRDB + a.LevelDBFS - last.LevelDBFS
	a.Text = fmt.Sprintf("%.1f dBFS: signal to noise of %.0f dB. %s", a.LevelDBFS, a.SNRDB, whyText(a.Why, a.SNRDB))
	return a, nil
}

func whyText(why Stop, snrDB float64) string {
	text := map[Stop]string{
		StopGood:     "That is good; no louder is needed.",
		StopHeadroom: "The recording is as loud as it should be.",
		StopLimit:    "That is the rig's limit.",
	}[why]
	if why != StopGood && snrDB < goodSNRDB {
		text += " For more, make the room quieter, move the microphone nearer or use a longer sweep."
	}
	return text
}
