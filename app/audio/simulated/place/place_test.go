package place

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"stillroom/app/audio/simulated/bandlimited"
)

// Closed form √(d²+4h²) − d for one floor between equal heights, in testdata/gate.json.
func TestFloorReflectionAgainstGeometry(t *testing.T) {
	raw, err := os.ReadFile("testdata/gate.json")
	if err != nil {
		t.Fatal(err)
	}
	var table struct {
		Examples []struct {
			DistanceM float64 `json:"distance_m"`
			HeightM   float64 `json:"height_m"`
			C         float64 `json:"c"`
			ExtraM    float64 `json:"extra_path_m"`
			GateMS    float64 `json:"gate_ms"`
		} `json:"examples"`
	}
	if err := json.Unmarshal(raw, &table); err != nil || len(table.Examples) < 4 {
		t.Fatal("testdata/gate.json has no examples", err)
	}
	for _, e := range table.Examples {
		f := Fixture{SourceM: [3]float64{1, 1, e.HeightM}, Reflect: [6]float64{4: 0.7}, LengthS: 0.1}
		mic := f.SourceM
		mic[0] += e.DistanceM
		got := f.Arrivals(mic, e.C)
		if len(got) != 2 {
			t.Fatalf("one floor gave %d arrivals", len(got))
		}
		if extra := got[1].PathM - got[0].PathM; math.Abs(extra-e.ExtraM) > 1e-9 {
			t.Errorf("d %g m, h %g m: extra path %.12g m, the geometry says %.12g", e.DistanceM, e.HeightM, extra, e.ExtraM)
		}
		if ms := (got[1].DelayS - got[0].DelayS) * 1000; math.Abs(ms-e.GateMS) > 1e-8 {
			t.Errorf("d %g m, h %g m: %.12g ms later, the geometry says %.12g", e.DistanceM, e.HeightM, ms, e.GateMS)
		}
		if want := 0.7 / (e.DistanceM + e.ExtraM); math.Abs(got[1].Gain-want) > 1e-12 {
			t.Errorf("gain %g, the law of 1/r says %g", got[1].Gain, want)
		}
	}
}

// Between two walls a source has images at every turn: Allen and Berkley (1979).
func TestTwoWalls(t *testing.T) {
	f := Fixture{SizeM: [3]float64{3, 9, 9}, SourceM: [3]float64{1, 4, 4}, Reflect: [6]float64{0.5, 0.25}, LengthS: 0.0251}
	got := f.Arrivals([3]float64{2, 4, 4}, 343)
	want := []Arrival{
		{PathM: 1, Gain: 1}, {PathM: 3, Gain: 0.5 / 3, Bounces: 1}, {PathM: 3, Gain: 0.25 / 3, Bounces: 1},
		{PathM: 5, Gain: 0.125 / 5, Bounces: 2}, {PathM: 7, Gain: 0.125 / 7, Bounces: 2},
	}
	for i, w := range want {
		g := got[i]
		if math.Abs(g.PathM-w.PathM) > 1e-12 || math.Abs(g.Gain-w.Gain) > 1e-12 || g.Bounces != w.Bounces {
			t.Errorf("arrival %d is %+v, want %+v", i, g, w)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%d arrivals within 8.6 m, want %d", len(got), len(want))
	}
}

// Speed of sound: closed form, at 0, 20 and 25 °C.
func TestSpeed(t *testing.T) {
	for celsius, want := range map[float64]float64{0: 331.3, 20: 343.214623, 25: 346.129201} {
		if got := Speed(celsius); math.Abs(got-want) > 1e-6 {
			t.Errorf("at %g °C %g m/s, want %g", celsius, got, want)
		}
	}
}

// decay is the reverberation time of an impulse by backward integration (M. R.
// Schroeder, J. Acoust. Soc. Am. 37, 1965) between -5 and -25 dB.
func decay(x []float64, rateHz float64) float64 {
	level := make([]float64, len(x))
	var sum float64
	for i := len(x) - 1; i >= 0; i-- {
		sum += x[i] * x[i]
		level[i] = sum
	}
	from, to := -1, -1
	for i, v := range level {
		db := 10 * math.Log10(v/sum)
		if db > -5 {
			from = i
		}
		if db > -25 {
			to = i
		}
	}
	return float64(to-from) / rateHz * 3
}

func TestRoomDecays(t *testing.T) {
	var pool bandlimited.Pool
	f, _ := Find("room")
	mic, _, err := f.Microphones(0)
	if err != nil {
		t.Fatal(err)
	}
	e := NewEchoes(f, f.Arrivals(mic, 343.2), 48000, &pool)
	if got := decay(e.impulse, 48000); got < 0.30 || got > 0.40 {
		t.Errorf("the room decays in %.3f s, meant is 0.35 s", got)
	}
}

// A good place for a gate: nothing within 4.5 ms, and nothing above -20 dB.
func TestDampedBoxIsQuietForAWhile(t *testing.T) {
	f, _ := Find("damped box")
	mic, _, _ := f.Microphones(0)
	all := f.Arrivals(mic, 343.2)
	later := (all[1].DelayS - all[0].DelayS) * 1000
	if later < 4.5 || later > 6 {
		t.Errorf("first reflection %.2f ms after the direct sound", later)
	}
	for _, a := range all[1:] {
		if a.Gain/all[0].Gain > 0.1 {
			t.Errorf("a reflection of %.1f dB", 20*math.Log10(a.Gain/all[0].Gain))
		}
	}
}

// One reflection between samples is a known comb in the spectrum.
func TestEchoSpectrumAgainstClosedForm(t *testing.T) {
	var pool bandlimited.Pool
	f := Fixture{SourceM: [3]float64{1, 1, 1.2}, Reflect: [6]float64{4: 0.5}, LengthS: 0.05}
	arrivals := f.Arrivals([3]float64{2, 1, 1.2}, 343.2)
	e := NewEchoes(f, arrivals, 48000, &pool)
	frame := pool.Frame(48000, 9000)
	got := e.Spectrum(frame)
	for k := 0; frame.FrequencyHz(k) < 20000; k++ {
		a := -2 * math.Pi * frame.FrequencyHz(k) * arrivals[1].DelayS
		want := complex(arrivals[1].Gain*math.Cos(a), arrivals[1].Gain*math.Sin(a))
		if d := got[k] - want; math.Hypot(real(d), imag(d)) > 1e-5 {
			t.Fatalf("at %g Hz %v, the closed form says %v", frame.FrequencyHz(k), got[k], want)
		}
	}
}

func TestMicrophoneOutsideIsRefused(t *testing.T) {
	f, _ := Find("damped box")
	for _, d := range []float64{3, -1, math.NaN()} {
		if _, _, err := f.Microphones(d); err == nil {
			t.Errorf("a distance of %g m was accepted", d)
		}
	}
}

func BenchmarkEchoes(b *testing.B) {
	var pool bandlimited.Pool
	f, _ := Find("room")
	mic, _, _ := f.Microphones(0)
	for range b.N {
		NewEchoes(f, f.Arrivals(mic, 343.2), 48000, &pool)
	}
}
