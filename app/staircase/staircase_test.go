package staircase

import (
	"bytes"
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
	"stillroom/app/chart"
	"stillroom/app/model"
	"stillroom/app/rig"
	"stillroom/app/take"
)

// cubic is y = x + a₂x² + a₃x³. With a sine of peak A its fundamental is A(1+¾a₃A²), its
// second order ½a₂A² and its third ¼a₃A³ (power reduction of sin² and sin³, Abramowitz
// and Stegun 4.3.20 and on).
const a2, a3 = 0.1, -0.3

func closedForm(levelDBFS, firstDBFS float64) (thdPercent, compressionDB float64) {
	peak := func(db float64) float64 { return math.Pow(10, db/20) }
	fundamental := func(a float64) float64 { return 1 + 0.75*a3*a*a }
	a := peak(levelDBFS)
	thd := math.Hypot(a2*a/2, a3*a*a/4) / fundamental(a)
	return 100 * thd, 20 * math.Log10(fundamental(a)/fundamental(peak(firstDBFS)))
}

func bench(t *testing.T, polynomial ...float64) (*simulated.Rig, rig.Rig, Plan) {
	t.Helper()
	sim, err := simulated.New(simulated.Options{Subject: "polynomial", Polynomial: polynomial})
	if err != nil {
		t.Fatal(err)
	}
	r := rig.Rig{Name: "bench", Kind: simulated.Kind, OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID, RateHz: 48000, LevelDBFS: -40, LimitDBFS: 0}
	p := take.DefaultProgramme(r)
	p.LowHz, p.DurationS = 50, 1
	return sim, r, Plan{Programme: p, FromDBFS: -30, ToDBFS: -6, StepDB: 6, Gate: take.Ungated(), Stop: Stop{FromHz: 150, ToHz: 5000}}
}

func climb(t *testing.T, iface audio.Interface, r rig.Rig, p Plan) *Result {
	t.Helper()
	got, err := Run(t.Context(), iface, r, take.Subject{}, p, nil)
	if err != nil {
		t.Fatal(err)
	}
	return got
}

func TestStepsAgainstTheClosedForm(t *testing.T) {
	sim, r, p := bench(t, 1, a2, a3)
	got := climb(t, sim, r, p)
	if len(got.Steps) != 5 || got.End != AtTop {
		t.Fatalf("%d steps, ended by %s: %s", len(got.Steps), got.End, got.Why)
	}
	worstTHD, worstCompression := 0.0, 0.0
	for _, s := range got.Steps {
		thd, compression := closedForm(s.LevelDBFS, -30)
		for i, hz := range s.FrequencyHz {
			if hz < 150 || hz > 5000 {
				continue
			}
			worstTHD = math.Max(worstTHD, math.Abs(s.THDDB[i]-20*math.Log10(thd/100)))
			worstCompression = math.Max(worstCompression, math.Abs(s.CompressionDB[i]-compression))
			if math.IsNaN(s.THDDB[i]) || math.IsNaN(s.CompressionDB[i]) {
				t.Fatalf("at %g Hz, %g dBFS: distortion %g dB, compression %g dB", hz, s.LevelDBFS, s.THDDB[i], s.CompressionDB[i])
			}
		}
	}
	t.Logf("distortion within %.4f dB, compression within %.5f dB", worstTHD, worstCompression)
	if worstTHD > 0.1 || worstCompression > 0.01 {
		t.Errorf("distortion is %g dB off, compression %g dB", worstTHD, worstCompression)
	}
}

func TestStops(t *testing.T) {
	for name, x := range map[string]struct {
		change func(*rig.Rig, *take.Subject, *Plan)
		end    End
		last   float64 // dBFS of the last step
	}{
		"distortion":   {func(_ *rig.Rig, _ *take.Subject, p *Plan) { p.Stop.THDPercent = 1 }, ByDistortion, -12},
		"compression":  {func(_ *rig.Rig, _ *take.Subject, p *Plan) { p.Stop.CompressionDB = 0.3 }, ByCompression, -6},
		"rig's limit":  {func(r *rig.Rig, _ *take.Subject, _ *Plan) { r.LimitDBFS = -14 }, ByDriveLimit, -18},
		"out of band":  {func(_ *rig.Rig, _ *take.Subject, p *Plan) { p.Stop = Stop{THDPercent: 1, FromHz: 21000, ToHz: 23000} }, AtTop, -6},
		"model's volt": {limited, ByDriveLimit, -18},
	} {
		sim, r, p := bench(t, 1, a2, a3)
		var s take.Subject
		x.change(&r, &s, &p)
		loud := &loudest{Interface: sim}
		got, err := Run(t.Context(), loud, r, s, p, nil)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		last := got.Steps[len(got.Steps)-1].LevelDBFS
		if got.End != x.end || last != x.last || got.Why == "" {
			t.Errorf("%s: ended by %s at %g dBFS: %s", name, got.End, last, got.Why)
		}
		if peak := 20 * math.Log10(loud.peak); peak > last+0.01 {
			t.Errorf("%s: %.2f dBFS was played, and the last step is %g dBFS", name, peak, last)
		}
	}
}

// limited is a model that may get 1.5 V on an output of 10 V at full scale: −16.5 dBFS.
func limited(r *rig.Rig, s *take.Subject, _ *Plan) {
	*r = r.WithOutput(rig.OutputLevel{Device: r.OutputDevice, VoltsAtFS: 10})
	s.Limits = model.Limits{Model: "Wren tweeter", HighestVolts: 1.5}
}

// loudest remembers the highest sample that was played.
type loudest struct {
	audio.Interface
	peak float64
}

func (l *loudest) Exchange(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	for _, v := range x.Play[0] {
		l.peak = math.Max(l.peak, math.Abs(float64(v)))
	}
	return l.Interface.Exchange(ctx, x, progress)
}

// converter cannot hold more than ±1.
type converter struct{ audio.Interface }

func (c converter) Exchange(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	got, err := c.Interface.Exchange(ctx, x, progress)
	for _, row := range got.Channels {
		for i, v := range row {
			row[i] = max(-1, min(1, v))
		}
	}
	return got, err
}

func TestAClippedRecordingEndsIt(t *testing.T) {
	sim, r, p := bench(t, 3) // +9.5 dB: −6 dBFS played are 1.5 times full scale
	got := climb(t, converter{sim}, r, p)
	if got.End != ByClipping || len(got.Steps) != 4 || got.Steps[3].LevelDBFS != -12 {
		t.Errorf("%d steps, ended by %s: %s", len(got.Steps), got.End, got.Why)
	}
	p.FromDBFS = -6
	if _, err := Run(t.Context(), converter{sim}, r, take.Subject{}, p, nil); err == nil || !strings.Contains(err.Error(), "first step is void") {
		t.Errorf("a clipped first step: %v", err)
	}
}

func TestStoppedByAPerson(t *testing.T) {
	sim, r, p := bench(t, 1, a2, a3)
	ctx, cancel := context.WithCancel(t.Context())
	got, err := Run(ctx, sim, r, take.Subject{}, p, func(x Progress) {
		if x.Step == 3 {
			cancel()
		}
	})
	if !errors.Is(err, context.Canceled) || got == nil || got.End != ByPerson || len(got.Steps) != 2 {
		t.Errorf("%v: %+v", err, got)
	}
}

// The loudest step below a distortion, per octave, follows from the closed form.
func TestHighestLevelPerOctave(t *testing.T) {
	sim, r, p := bench(t, 1, a2, a3)
	got := climb(t, sim, r, p)
	for _, limit := range []float64{0.5, 1.5, 20} {
		want, limitedBy := math.NaN(), false
		for _, s := range got.Steps {
			thd, compression := closedForm(s.LevelDBFS, -300)
			if thd > limit {
				limitedBy = true
				break
			}
			want = s.LevelDBFS + compression // the gain of the path is 1
		}
		for _, reach := range got.Highest(limit) {
			if reach.Band.LowHz < 150 || reach.Band.HighHz > 5000 {
				continue
			}
			if math.Abs(reach.LevelDB-want) > 0.02 || reach.Limited != limitedBy {
				t.Errorf("%g %% at %.0f Hz: %.3f dB, limited %v, want %.3f dB, %v", limit, reach.Band.CentreHz, reach.LevelDB, reach.Limited, want, limitedBy)
			}
		}
	}
	var out bytes.Buffer
	if err := chart.WritePNG(&out, chart.Page{}, got.Charts(1.5)...); err != nil || out.Len() == 0 {
		t.Error(err)
	}
}

func TestCheckRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Plan){
		"steep":   func(p *Plan) { p.StepDB = 12 },
		"flat":    func(p *Plan) { p.StepDB = 0 },
		"falling": func(p *Plan) { p.ToDBFS = -50 },
		"endless": func(p *Plan) { p.FromDBFS, p.StepDB = -90, 0.5 },
		"nan":     func(p *Plan) { p.Stop.THDPercent = math.NaN() },
		"band":    func(p *Plan) { p.Stop.FromHz, p.Stop.ToHz = 500, 200 },
		"rest":    func(p *Plan) { p.RestS = -1 },
		"rate":    func(p *Plan) { p.Programme.RateHz = 44100 },
		"loud":    func(p *Plan) { p.FromDBFS, p.ToDBFS = 3, 6 },
	} {
		sim, r, p := bench(t, 1)
		spoil(&p)
		if got, err := Run(t.Context(), sim, r, take.Subject{}, p, nil); err == nil || got != nil {
			t.Errorf("%s is climbed", name)
		}
	}
}
