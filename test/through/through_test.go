// Package through measures known devices with the program itself, through
// PortAudio and real sound servers: the whole way from the command line to the
// figures, with a device in between that is not ours to bend.
package through

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/cmplx"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"stillroom/test/rigs"
)

// program is the built stillroom.
var program string

func TestMain(m *testing.M) {
	folder, err := os.MkdirTemp("", "through")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	program = filepath.Join(folder, "stillroom")
	build := exec.Command("go", "build", "-o", program, "../../cmd/stillroom")
	if out, err := build.CombinedOutput(); err != nil {
		fmt.Fprintf(os.Stderr, "the program does not build: %v\n%s", err, out)
		os.Exit(1)
	}
	status := m.Run()
	os.RemoveAll(folder)
	os.Exit(status)
}

// answer is what these tests read of the document.
type answer struct {
	DelayS   float64
	Polarity string
	Findings []struct{ Code, Severity, Message string }
	Response struct {
		FrequencyHz           []float64
		MagnitudeDB, PhaseDeg []float64
	}
	Harmonics []struct {
		Order   int
		LevelDB []*float64
		FromHz  float64
		ToHz    float64
	}
}

// take measures on a rig. ok is false where samples were lost, which happens to a
// sound server on a busy machine and which the program must say.
func take(t *testing.T, rig *rigs.Rig, args ...string) (a answer, ok bool) {
	t.Helper()
	args = append([]string{"take", "--json", "--output", rig.Output, "--input", rig.Input,
		"--rate", fmt.Sprint(rig.RateHz), "--limit", "0"}, args...)
	cmd := exec.Command(program, args...)
	cmd.Env = append(rig.Env(), "LANG=en_US.UTF-8")
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	err := cmd.Run()
	if json.Unmarshal(out.Bytes(), &a) != nil {
		t.Fatalf("%s: %v\n%s", strings.Join(args, " "), err, errs.String())
	}
	if has(a, "lost-samples") {
		t.Logf("samples were lost: %s", errs.String())
		return a, false
	}
	if err != nil {
		t.Fatalf("%s: %v\n%s", strings.Join(args, " "), err, errs.String())
	}
	return a, true
}

// takeWhole measures until no samples are lost, on a fresh rig each time, since a
// server that once fell behind stays behind. Nothing else is tried again.
func takeWhole(t *testing.T, start func() *rigs.Rig, args ...string) answer {
	t.Helper()
	for range 6 {
		if a, ok := take(t, start(), args...); ok {
			return a
		}
	}
	t.Fatal("samples were lost in each of six takes: the machine is too busy for a sound server")
	return answer{}
}

func has(a answer, code string) bool {
	for _, f := range a.Findings {
		if f.Code == code {
			return true
		}
	}
	return false
}

func logSpace(from, to float64, n int) ([]float64, string) {
	f, text := make([]float64, n), make([]string, n)
	for i := range f {
		text[i] = fmt.Sprintf("%.4f", from*math.Pow(to/from, float64(i)/float64(n-1)))
		fmt.Sscan(text[i], &f[i])
	}
	return f, strings.Join(text, ",")
}

// cookbook is a filter of the W3C Audio EQ Cookbook (Group Note, 8 June 2021),
// written down here once more from the Note, so that neither the device nor the
// program is its own judge.
func cookbook(kind string, f0, q, gainDB, rate, f float64) complex128 {
	w := 2 * math.Pi * f0 / rate
	cos, alpha := math.Cos(w), math.Sin(w)/(2*q)
	a := math.Pow(10, gainDB/40)
	var b0, b1, b2, a0, a1, a2 float64
	switch kind {
	case "highpass":
		b0, b1, b2, a0, a1, a2 = (1+cos)/2, -(1 + cos), (1+cos)/2, 1+alpha, -2*cos, 1-alpha
	case "peaking":
		b0, b1, b2, a0, a1, a2 = 1+alpha*a, -2*cos, 1-alpha*a, 1+alpha/a, -2*cos, 1-alpha/a
	default:
		panic("no such filter here")
	}
	z := cmplx.Exp(complex(0, -2*math.Pi*f/rate))
	c := func(v float64) complex128 { return complex(v, 0) }
	return (c(b0) + c(b1)*z + c(b2)*z*z) / (c(a0) + c(a1)*z + c(a2)*z*z)
}

// compare returns the worst errors in dB and, with the delay that fits best taken
// out, in degrees.
func compare(a answer, truth func(f float64) complex128) (db, deg float64) {
	f := a.Response.FrequencyHz
	var num, den float64
	last, turns := math.NaN(), make([]float64, len(f))
	for i := range f {
		e := a.Response.PhaseDeg[i] - cmplx.Phase(truth(f[i]))*180/math.Pi
		if !math.IsNaN(last) {
			e = last + math.Remainder(e-last, 360)
		}
		last, turns[i] = e, e
		db = math.Max(db, math.Abs(a.Response.MagnitudeDB[i]-20*math.Log10(cmplx.Abs(truth(f[i])))))
	}
	offset := 360 * math.Round(turns[0]/360)
	for i := range f {
		num += (turns[i] - offset) * f[i]
		den += f[i] * f[i]
	}
	for i := range f {
		deg = math.Max(deg, math.Abs(turns[i]-offset-num/den*f[i]))
	}
	return db, deg
}

// A chain of published filters in a JACK client: within 0.02 dB of theory.
func TestJACKKnownFilters(t *testing.T) {
	const rate = 48000
	start := func() *rigs.Rig {
		return rigs.StartJACK(t, rigs.JACK{RateHz: rate, Device: rigs.Device{DelayFrames: 321, Biquads: []rigs.Biquad{
			{Kind: "highpass", FrequencyHz: 60, Q: 0.8}, {Kind: "peaking", FrequencyHz: 2500, Q: 3, GainDB: -5}}}})
	}
	_, at := logSpace(40, 18000, 150)
	a := takeWhole(t, start, "--level", "-12", "--length", "3s", "--gate", "none", "--at", at)
	db, deg := compare(a, func(f float64) complex128 {
		return cookbook("highpass", 60, 0.8, 0, rate, f) * cookbook("peaking", 2500, 3, -5, rate, f)
	})
	t.Logf("off by %.5f dB and %.4f° from 40 Hz to 18 kHz; %v", db, deg, a.Findings)
	if !(db < 0.02) || !(deg < 0.2) || a.Polarity != "normal" {
		t.Errorf("off by %.4f dB and %.3f°, polarity %s", db, deg, a.Polarity)
	}
}

// A polynomial in a JACK client: the harmonics of closed form (power reduction of
// sinⁿ). Only orders and frequencies at which the client, which does not
// oversample, folds nothing into the band.
func TestJACKPolynomial(t *testing.T) {
	const a2, a3 = 0.01, 0.02
	start := func() *rigs.Rig {
		return rigs.StartJACK(t, rigs.JACK{Device: rigs.Device{Polynomial: []float64{1, a2, a3}, DelayFrames: 100}})
	}
	f, at := logSpace(40, 5000, 60)
	peak := math.Pow(10, -6.0/20)
	a := takeWhole(t, start, "--level", "-6", "--length", "3s", "--gate", "none", "--at", at, "--orders", "3")
	h1 := peak + 0.75*a3*peak*peak*peak
	want := map[int]float64{2: 20 * math.Log10(a2*peak*peak/2/h1), 3: 20 * math.Log10(a3*peak*peak*peak/4/h1)}
	for _, h := range a.Harmonics {
		off, seen := 0.0, 0
		for i, v := range h.LevelDB {
			if f[i] < h.FromHz || f[i] > h.ToHz {
				continue
			}
			if v == nil {
				t.Fatalf("order %d at %.0f Hz is not known", h.Order, f[i])
			}
			off = math.Max(off, math.Abs(*v-want[h.Order]))
			seen++
		}
		t.Logf("order %d, %.2f dB: off by %.4f dB at %d frequencies", h.Order, want[h.Order], off, seen)
		if !(off < 0.1) || seen < 40 {
			t.Errorf("order %d is off by %.3f dB at %d frequencies", h.Order, off, seen)
		}
	}
}

// sox, which nobody here wrote, between two PulseAudio sinks: within 0.05 dB. Its
// highpass and equalizer are the cookbook's filters by its own manual.
func TestPulseWithSox(t *testing.T) {
	const rate = 48000
	start := func() *rigs.Rig {
		return rigs.StartPulse(t, rigs.Pulse{RateHz: rate, Effects: []string{"highpass", "-2", "1000", "0.7071q", "equalizer", "5000", "2q", "4"}})
	}
	_, at := logSpace(40, 18000, 150)
	a := takeWhole(t, start, "--level", "-12", "--length", "3s", "--gate", "none", "--at", at)
	db, deg := compare(a, func(f float64) complex128 {
		return cookbook("highpass", 1000, 0.7071, 0, rate, f) * cookbook("peaking", 5000, 2, 4, rate, f)
	})
	t.Logf("off by %.5f dB and %.4f° from 40 Hz to 18 kHz; %v", db, deg, a.Findings)
	if !(db < 0.05) || !(deg < 0.5) {
		t.Errorf("off by %.4f dB and %.3f°: %+v", db, deg, a)
	}
}
