package transducer

import (
	"math"
	"math/cmplx"
	"testing"

	"stillroom/app/audio/simulated/bandlimited"
)

const testRateHz = 48000

// recorded is the steady part of the sound of a unit at f0, in whole periods: f0
// is a multiple of 4 Hz.
func recorded(u *Unit, f0, peak float64) []float64 {
	var pool bandlimited.Pool
	f := pool.Frame(testRateHz, 2*testRateHz)
	x := make([]float64, 3*testRateHz/2)
	for n := range x {
		x[n] = peak * math.Sin(2*math.Pi*f0*float64(n)/testRateHz) * math.Min(1, float64(n)/testRateHz*4)
	}
	return f.Signal(u.Sound(f, f.Spectrum(x)))[testRateHz : 5*testRateHz/4]
}

// order is the amplitude of a multiple of f0 in whole periods of it.
func order(x []float64, f0 float64, n int, rateHz float64) float64 {
	var sum complex128
	for i, v := range x {
		sum += complex(v, 0) * cmplx.Rect(2/float64(len(x)), -2*math.Pi*f0*float64(n)*float64(i)/rateHz)
	}
	return cmplx.Abs(sum)
}

// The whole nonlinear motion, solved at once by the classical Runge-Kutta method on
// a finer grid, is another way to the same sound.
func TestHarmonicsAgainstRungeKutta(t *testing.T) {
	d := ideal()
	for _, c := range []struct{ f0, volts float64 }{{40, 1.5}, {40, 5}, {100, 5}} {
		u := baffled(d, Box{})
		got := recorded(u, c.f0, c.volts)
		ref := rungeKutta(d, c.f0, c.volts)
		for n := 1; n <= 3; n++ {
			a, b := order(got, c.f0, n, testRateHz), order(ref, c.f0, n, testRateHz)
			if diff := 20 * math.Log10(a/b); math.Abs(diff) > 0.05 {
				t.Errorf("%g Hz, %g V, order %d: %.4f dB from the reference (%.1f dB re the first)", c.f0, c.volts, n, diff, 20*math.Log10(b/order(ref, c.f0, 1, testRateHz)))
			}
		}
	}
}

// rungeKutta returns the pressure at 1 m in the steady state, at testRateHz.
func rungeKutta(d Driver, f0, volts float64) []float64 {
	const finer = 6
	h := 1.0 / (testRateHz * finer)
	width, bl0, loss, stiff := d.Motor.WidthM, d.Bl(), d.Rms(), d.Kms()
	acceleration := func(t, x, v float64) float64 {
		rest, off := d.Motor.OffsetM/width, (x-d.Motor.OffsetM)/width
		bl := bl0 * (1 + rest*rest) / (1 + off*off)
		i := (volts*math.Sin(2*math.Pi*f0*t) - bl*v) / d.ReOhm
		force := bl * i * (1 + d.Motor.Even*i + d.Motor.Odd*i*i)
		return (force - loss*v - stiff*x*(1+d.Spring.Lean*x+d.Spring.Hard*x*x)) / d.MmsKg
	}
	var x, v float64
	var out []float64
	for n := range 5 * testRateHz / 4 * finer {
		t := float64(n) * h
		a1 := acceleration(t, x, v)
		if n >= testRateHz*finer && n%finer == 0 {
			out = append(out, AirDensity*d.SdM2/(2*math.Pi)*a1)
		}
		a2 := acceleration(t+h/2, x+h/2*v, v+h/2*a1)
		a3 := acceleration(t+h/2, x+h/2*v+h*h/4*a1, v+h/2*a2)
		a4 := acceleration(t+h, x+h*v+h*h/2*a2, v+h*a3)
		x += h*v + h*h/6*(a1+a2+a3)
		v += h / 6 * (a1 + 2*a2 + 2*a3 + a4)
	}
	return out
}

// A faint signal has the linear sound and nothing else: each order falls by its own
// power of the level (definition of a memoryless power; here of displacement).
func TestFaintSignalIsLinear(t *testing.T) {
	u := New("woofer", "")
	const f0 = 52
	loud, faint := recorded(u, f0, 0.01), recorded(u, f0, 0.001)
	if got := 20*math.Log10(order(faint, f0, 1, testRateHz)/0.001) - db(u.Response(f0)); math.Abs(got) > 0.0005 {
		t.Errorf("the fundamental is %.5f dB from the true response", got)
	}
	for n := 2; n <= 3; n++ {
		fall := 20 * math.Log10(order(loud, f0, n, testRateHz)/order(faint, f0, n, testRateHz))
		if math.Abs(fall-20*float64(n)) > 0.1 {
			t.Errorf("order %d falls by %.2f dB for 20 dB less", n, fall)
		}
	}
}

// Distortion grows towards low frequencies and with level, and a tweeter distorts
// more when driven lower: common practice.
func TestDistortionGrowsDownwards(t *testing.T) {
	for _, c := range []struct {
		subject       string
		high, low     float64
		least, atMost float64 // second harmonic at high, dB re the first
	}{{"woofer", 1000, 32, -75, -40}, {"tweeter", 4000, 800, -75, -40}, {"headphone", 1000, 32, -90, -45}} {
		u := New(c.subject, "")
		second := func(f0, peak float64) float64 {
			x := recorded(u, f0, peak)
			return 20 * math.Log10(order(x, f0, 2, testRateHz)/order(x, f0, 1, testRateHz))
		}
		high, low, louder := second(c.high, 0.1), second(c.low, 0.1), second(c.low, 0.2)
		t.Logf("%s: second order %.1f dB at %g Hz, %.1f dB at %g Hz, %.1f dB there at twice the level", c.subject, high, c.high, low, c.low, louder)
		if low < high+6 && c.subject != "headphone" {
			t.Errorf("%s: %.1f dB at %g Hz, %.1f dB at %g Hz", c.subject, high, c.high, low, c.low)
		}
		if louder < low+3 {
			t.Errorf("%s: %.1f dB, and %.1f dB at twice the level", c.subject, low, louder)
		}
		if high < c.least || high > c.atMost {
			t.Errorf("%s: second order %.1f dB at %g Hz is not a usual driver's", c.subject, high, c.high)
		}
	}
}

// Full scale at the lowest frequency is far beyond what a driver is made for; it
// must stay finite, and nothing may fold into a band that has no harmonic.
func TestOverloadStaysFinite(t *testing.T) {
	for _, subject := range Subjects() {
		for _, v := range recorded(New(subject, ""), 20, 1) {
			if math.IsNaN(v) || math.Abs(v) > 1000 {
				t.Fatalf("%s: %g Pa", subject, v)
			}
		}
	}
}
