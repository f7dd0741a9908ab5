package through

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"stillroom/app/records/database"
	apprig "stillroom/app/rig"
	"stillroom/test/rigs"
)

// What stands in for the hardware: sox between the sinks is an interface that is not
// flat, and a voltmeter sees 10 V for full scale.
const (
	voltsAtFS      = 10.0
	calibratorDBFS = -23.0
	sweepDBFS      = -15.0
)

// errLost says that a sound server lost samples, which the program told.
var errLost = errors.New("samples were lost")

// bench is the program with a rig of its own in records of its own.
type bench struct {
	*testing.T
	rig   *rigs.Rig
	store string
}

// command is the program with arguments, on the rig.
func (b bench) command(args ...string) *exec.Cmd {
	cmd := exec.Command(program, append(args, "--store", b.store, "--json")...)
	cmd.Env = append(b.rig.Env(), "LANG=en_US.UTF-8")
	return cmd
}

// run runs the program and reads its document.
func (b bench) run(into any, args ...string) error {
	b.Helper()
	cmd := b.command(args...)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		if strings.Contains(errs.String(), "samples were lost") || strings.Contains(out.String(), `"lost-samples"`) {
			return errLost
		}
		if strings.Contains(errs.String(), "the calibration is refused: the tone is") {
			return fmt.Errorf("%w: pacat or the pipe of effects stuttered, and the program refused the tone: %s", errLost, errs.String())
		}
		return fmt.Errorf("%s: %v: %s", strings.Join(args, " "), err, errs.String())
	}
	if err := json.Unmarshal(out.Bytes(), into); err != nil {
		return fmt.Errorf("%s: %v: %s", strings.Join(args, " "), err, out.String())
	}
	return nil
}

// output plays the program's tone, reads a voltmeter at the sink and types what it says.
func (b bench) output() error {
	cmd := b.command("rig", "calibrate", "bench", "output", "--level", "-20")
	keyboard, err := cmd.StdinPipe()
	if err != nil {
		return err
	}
	var errs bytes.Buffer
	cmd.Stderr = &errs
	if err := cmd.Start(); err != nil {
		return err
	}
	time.Sleep(1500 * time.Millisecond) // until the reading is steady
	volts, err := b.voltmeter()
	if err != nil {
		return err
	}
	b.Logf("the voltmeter says %.4f V", volts)
	fmt.Fprintf(keyboard, "%.4f\n", volts)
	if err := cmd.Wait(); err != nil {
		return fmt.Errorf("the output: %v: %s", err, errs.String())
	}
	return nil
}

// voltmeter is the rms voltage at the left channel of the sink: parec hears a second.
func (b bench) voltmeter() (float64, error) {
	cmd := exec.Command("parec", "-d", "rig.monitor", "--raw", "--format=float32le", "--rate=48000", "--channels=2", "--latency-msec=50")
	cmd.Env = b.rig.Env()
	stream, err := cmd.StdoutPipe()
	if err != nil {
		return 0, err
	}
	if err := cmd.Start(); err != nil {
		return 0, err
	}
	defer func() { cmd.Process.Kill(); cmd.Wait() }()
	heard := make([]float32, 2*48000)
	if _, err := io.CopyN(io.Discard, stream, 8*9600); err != nil {
		return 0, err
	}
	if err := binary.Read(stream, binary.LittleEndian, heard); err != nil {
		return 0, err
	}
	sum := 0.0
	for i := 0; i < len(heard); i += 2 {
		sum += float64(heard[i]) * float64(heard[i])
	}
	return voltsAtFS * math.Sqrt2 * math.Sqrt(sum/48000), nil
}

// calibrator plays a tone of 1 kHz with its second harmonic at −40 dB and noise into the
// output's sink until stop is called, as sox makes them.
func (b bench) calibrator() (stop func()) {
	b.Helper()
	peak := math.Pow(10, calibratorDBFS/20)
	part := func(kind string, gain float64) string {
		return fmt.Sprintf(`-v 1 "|sox -n -D -r 48000 -b 32 -p synth 30 %s vol %.8f"`, kind, gain)
	}
	file := filepath.Join(filepath.Dir(b.store), "tone.raw")
	line := fmt.Sprintf("sox -D -m %s %s %s -t raw -e floating-point -b 32 -c 2 -r 48000 %s",
		part("sine 1000", peak), part("sine 2000", peak/100), part("whitenoise", peak/300), file)
	if out, err := exec.Command("sh", "-c", line).CombinedOutput(); err != nil {
		b.Fatalf("sox: %v: %s", err, out)
	}
	cmd := exec.Command("pacat", "-p", "-d", "rig", "--raw", "--format=float32le", "--rate=48000", "--channels=2", "--latency-msec=500", file)
	cmd.Env = b.rig.Env()
	if err := cmd.Start(); err != nil {
		b.Fatal(err)
	}
	time.Sleep(1500 * time.Millisecond)
	return func() {
		cmd.Process.Kill()
		cmd.Wait()
		time.Sleep(700 * time.Millisecond) // until the pipe of effects is empty
	}
}

// levels is what these tests read of a take.
type levels struct {
	ID       string
	Findings []struct{ Code, Severity, Message string }
	Response struct {
		FrequencyHz, MagnitudeDB []float64
		Unit                     string
	}
}

// calibrate goes through the whole calibration of a rig.
func (b bench) calibrate(create ...string) error {
	var told map[string]any
	err := b.run(&told, append([]string{"rig", "create", "bench", "--output", b.rig.Output, "--input", b.rig.Input, "--level", fmt.Sprint(sweepDBFS),
		"--limit", "0", "--fixture-kind", "chamber", "--person", "Mara Lind"}, create...)...)
	if err == nil {
		err = b.output()
	}
	if err == nil {
		stop := b.calibrator()
		err = b.run(&told, "rig", "calibrate", "bench", "input", "--spl", "94", "--length", "3s", "--person", "Mara Lind")
		stop()
	}
	return err
}

// take measures on the calibrated rig.
func (b bench) take(re, at string) (levels, error) {
	var got levels
	err := b.run(&got, "take", "--rig", "bench", "--length", "2s", "--gate", "none", "--re", re, "--at", at, "--keep")
	return got, err
}

// within is the worst deviation of a response from one level.
func within(l levels, want float64) float64 {
	worst := 0.0
	for _, db := range l.Response.MagnitudeDB {
		worst = math.Max(worst, math.Abs(db-want))
	}
	return worst
}

// TestPulseCalibration calibrates a rig through PulseAudio as a person does, on an
// interface that falls and rises: a second-order highpass and a bell of sox. A
// calibrator that is 94 dB at −23 dBFS on the output makes a sweep of −15 dBFS
// 102 dB at every frequency, once the interface is taken out; and 10 V at full scale
// make that 106.035 dB for 2.83 V. All of it is worked by hand.
func TestPulseCalibration(t *testing.T) {
	for _, wired := range []bool{false, true} {
		t.Run(map[bool]string{false: "interface measured", true: "loopback wired"}[wired], func(t *testing.T) {
			again(t, func(b bench) error { return flow(b, wired) })
		})
	}
}

// again does something on a fresh server until no samples are lost, which happens to a
// sound server on a busy machine. Nothing else is tried again.
func again(t *testing.T, do func(bench) error) {
	for range 6 {
		b := bench{t, rigs.StartPulse(t, rigs.Pulse{Effects: []string{"highpass", "-2", "30", "0.7q", "equalizer", "5000", "2q", "4", "remix", "1", "1v0.5"}}), filepath.Join(t.TempDir(), "records.db")}
		err := do(b)
		if err == nil {
			return
		}
		if !errors.Is(err, errLost) {
			t.Fatal(err)
		}
		t.Log(err)
	}
	t.Fatal("samples were lost each of six times: the machine is too busy for a sound server")
}

// flow is the calibration of a rig and two takes with it. With a wired loopback the
// interface is taken out by what the second input hears in the take itself, else by a
// sweep over a wire in place of the microphone.
func flow(b bench, wired bool) error {
	_, at := logSpace(40, 18000, 60)
	create := []string{}
	if wired {
		create = []string{"--loopback", "2"}
	}
	if err := b.calibrate(create...); err != nil {
		return err
	}
	raw, err := b.take("spl", at)
	if err != nil {
		return err
	}
	if !wired {
		if off := within(raw, 94+sweepDBFS-calibratorDBFS); off < 2 {
			b.Errorf("the interface that sox makes is flat within %.2f dB: nothing would be seen of its being taken out", off)
		}
		var told map[string]any
		if err := b.run(&told, "rig", "calibrate", "bench", "interface", "--level", "-12", "--length", "3s"); err != nil {
			return err
		}
	}
	spl, err := b.take("spl", at)
	if err != nil {
		return err
	}
	drive, err := b.take("2.83V", at)
	if err != nil {
		return err
	}
	b.judge(spl, "dB SPL", 94+sweepDBFS-calibratorDBFS)
	b.judge(drive, "dB SPL for 2.83 V", 94-calibratorDBFS+20*math.Log10(2.83/voltsAtFS))
	return b.snapshot(spl.ID, wired)
}

// judge compares a take with the level that it must have everywhere.
func (b bench) judge(got levels, unit string, want float64) {
	off := within(got, want)
	b.Logf("%s: off by %.4f dB at most, %d frequencies, from %.3f dB", unit, off, len(got.Response.MagnitudeDB), want)
	if got.Response.Unit != unit || len(got.Response.MagnitudeDB) != 60 || !(off < 0.02) {
		b.Errorf("%q: off by %.4f dB from %.3f dB", got.Response.Unit, off, want)
	}
}

// snapshot looks into the kept take: the calibrations are with it as they were.
func (b bench) snapshot(id string, wired bool) error {
	store, err := database.Open(b.Context(), b.store)
	if err != nil {
		return err
	}
	defer store.Close()
	kept, err := store.Take(b.Context(), id)
	if err != nil {
		return err
	}
	c := kept.Rig.Calibrations
	if c.Output == nil || len(c.Inputs) != 1 || (len(c.Interfaces) == 1) == wired {
		b.Fatalf("the take holds %+v", c)
	}
	if off := 20 * math.Log10(c.Output.VoltsAtFS/voltsAtFS); !(math.Abs(off) < 0.01) {
		b.Errorf("full scale is %g V, off by %.4f dB", c.Output.VoltsAtFS, off)
	}
	in := c.Inputs[0]
	if in.Method != apprig.ByCalibrator || in.Person != "Mara Lind" || in.Calibrator.LevelDB != 94 || !(in.Calibrator.DistortionPercent > 0.9 && in.Calibrator.DistortionPercent < 1.1) {
		b.Errorf("the level of the input: %+v, %+v", in, in.Calibrator)
	}
	b.Logf("heard %.3f Hz, distortion %.3f %%, %.1f dB over the noise, steady within %.4f dB", in.FrequencyHz, in.Calibrator.DistortionPercent, in.Calibrator.SNRDB, in.Calibrator.RangeDB)
	return nil
}
