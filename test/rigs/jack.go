package rigs

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
)

// JACK says what JACK rig to start. The zero value runs at 48 kHz with periods
// of 1,024 frames and a device that changes nothing.
type JACK struct {
	RateHz       int
	PeriodFrames int
	Device       Device
}

// Device is what stands between output and input: channel 1 passes, in this
// order, a polynomial, a chain of biquads, a delay, one reflection, a gain and
// some noise, computed in double precision by device/device.c. Channel 2 is a plain
// wire.
type Device struct {
	Polynomial       []float64 // factors of x, x², x³ …; none leaves x as it is
	Biquads          []Biquad
	DelayFrames      float64 // a fraction needs at least 128
	ReflectionFrames int     // after the direct sound
	ReflectionGain   float64 // of the direct sound; 0 for none
	Gain             float64 // 0 stands for 1
	NoiseRMSFS       float64 // Gaussian, white
	Seed             uint64  // of the noise
}

// Biquad is one section of the Audio EQ Cookbook (W3C Working Group Note,
// 8 June 2021): lowpass, highpass, bandpass (0 dB peak), notch, allpass,
// peaking, lowshelf or highshelf.
type Biquad struct {
	Kind        string
	FrequencyHz float64
	Q           float64
	GainDB      float64 // of peaking and shelves
}

// clientName is the device's name among JACK's clients.
const clientName = "device"

// StartJACK starts a JACK server with no hardware and the device under test as
// its client. All ends with the test.
func StartJACK(t *testing.T, o JACK) *Rig {
	t.Helper()
	if r := here(t); r != nil {
		return r
	}
	need(t, "jackd", "gcc")
	rate, period := orElse(o.RateHz, 48000), orElse(o.PeriodFrames, 1024)
	r := newRig(t)
	server := claimName(t)
	r.Set["JACK_DEFAULT_SERVER"], r.Set["JACK_NO_START_SERVER"] = server, "1"
	r.RateHz = float64(rate)
	r.Output = id("JACK Audio Connection Kit", clientName)
	r.Input = r.Output
	program := buildDevice(t, r.Dir)
	jackd := r.launch("jackd", "jackd", "-n", server, "-R", "-P", "10", "-d", "dummy",
		"-r", strconv.Itoa(rate), "-p", strconv.Itoa(period), "-C", "2", "-P", "2")
	r.Server = jackd.Process.Pid
	r.launch("device", program, append([]string{clientName}, o.Device.arguments()...)...)
	r.await("the device under test", "device", func() error {
		if !strings.Contains(r.Log("device"), "ready") {
			return errors.New(r.Log("jackd"))
		}
		return nil
	})
	return r
}

// arguments is the device's command line.
func (d Device) arguments() []string {
	args := []string{
		fmt.Sprintf("delay=%.17g", d.DelayFrames),
		fmt.Sprintf("reflection=%d:%.17g", d.ReflectionFrames, d.ReflectionGain),
		fmt.Sprintf("gain=%.17g", orElse(d.Gain, 1)),
		fmt.Sprintf("noise=%.17g", d.NoiseRMSFS),
		fmt.Sprintf("seed=%d", d.Seed),
	}
	if len(d.Polynomial) > 0 {
		factors := make([]string, len(d.Polynomial))
		for i, c := range d.Polynomial {
			factors[i] = fmt.Sprintf("%.17g", c)
		}
		args = append(args, "poly="+strings.Join(factors, ","))
	}
	for _, b := range d.Biquads {
		args = append(args, fmt.Sprintf("biquad=%s:%.17g:%.17g:%.17g", b.Kind, b.FrequencyHz, b.Q, b.GainDB))
	}
	return args
}

// buildDevice compiles device/device.c, beside this file.
func buildDevice(t *testing.T, dir string) string {
	t.Helper()
	_, here, _, ok := runtime.Caller(0)
	if !ok {
		t.Fatal("the source of the device under test is not found")
	}
	source, program := filepath.Join(filepath.Dir(here), "device", "device.c"), filepath.Join(dir, "device")
	out, err := exec.Command("gcc", "-O2", "-Wall", "-o", program, source, "-ljack", "-lm").CombinedOutput()
	if err != nil {
		t.Fatalf("the device under test does not compile (install libjack-jackd2-dev): %v\n%s", err, out)
	}
	return program
}

// servers is how many JACK rigs may run at once on one machine.
const servers = 4

// claimName waits for one of a few names and holds it for the test. JACK keeps
// a list of eight servers for the whole machine and takes a dead one out of it
// only when its name comes again, so names must not be new each time.
func claimName(t *testing.T) string {
	t.Helper()
	for end := time.Now().Add(2 * time.Minute); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		for i := range servers {
			name := fmt.Sprintf("stillroom-rig-%d-%d", os.Getuid(), i)
			if lock := tryLock(t, filepath.Join(os.TempDir(), name+".lock")); lock != nil {
				t.Cleanup(func() { lock.Close() })
				return name
			}
		}
	}
	t.Fatalf("%d other JACK rigs have been running for two minutes: end them", servers)
	return ""
}

// tryLock returns the locked file, or nil where another holds it. The lock ends
// when the file is closed, or with the process.
func tryLock(t *testing.T, path string) *os.File {
	t.Helper()
	f, err := os.OpenFile(path, os.O_CREATE|os.O_RDWR, 0o600)
	if err != nil {
		t.Fatalf("no lock for the rig: %v", err)
	}
	if syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB) != nil {
		f.Close()
		return nil
	}
	return f
}

func orElse[T comparable](v, otherwise T) T {
	var zero T
	if v == zero {
		return otherwise
	}
	return v
}
