// Package rigs starts sound servers with a known device between their output
// and their input, so that a test can measure it through PortAudio as it would
// measure a loudspeaker.
//
// Each rig has folders and sockets of its own and touches nothing of the user's.
// A process has one environment and the sound libraries read it once, so what
// is to measure runs in a process apart: Run does that for a part of a test,
// Env for any program.
//
//	func TestJACKSomething(t *testing.T) {
//		rig := rigs.StartJACK(t, rigs.JACK{Device: rigs.Device{DelayFrames: 100}})
//		rig.Run(func() {
//			// here soundcard.Open sees the rig: rig.Output, rig.Input
//		})
//	}
package rigs

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// variable tells a test that it runs inside a rig, and inside which.
const variable = "STILLROOM_TEST_RIG"

// startLimit is how long a server may take to start on a busy machine.
const startLimit = 20 * time.Second

// Rig is a sound server that runs, with a device under test.
type Rig struct {
	Output string  // ID of the audio.Device to play to
	Input  string  // ID of the audio.Device to record from
	RateHz float64 // of the server

	Dir    string            // everything the rig writes
	Set    map[string]string // environment that leads to it
	Server int               // process of the sound server

	t      *testing.T
	inside bool // this process runs in the rig
}

// newRig makes the folders. The path is short, since a socket's name is.
func newRig(t *testing.T) *Rig {
	t.Helper()
	dir, err := os.MkdirTemp("", "rig")
	if err != nil {
		t.Fatalf("no folder for the rig: %v", err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	for _, sub := range []string{"home", "home/.config/pulse", "run"} {
		if err := os.MkdirAll(filepath.Join(dir, sub), 0o700); err != nil {
			t.Fatalf("no folder for the rig: %v", err)
		}
	}
	home, run := filepath.Join(dir, "home"), filepath.Join(dir, "run")
	return &Rig{t: t, Dir: dir, Set: map[string]string{
		"HOME": home, "XDG_CONFIG_HOME": filepath.Join(home, ".config"),
		"XDG_DATA_HOME": filepath.Join(home, ".data"), "XDG_CACHE_HOME": filepath.Join(home, ".cache"),
		"XDG_RUNTIME_DIR": run, "PULSE_RUNTIME_PATH": run,
		"PULSE_SERVER": "unix:" + filepath.Join(run, "native"),
	}}
}

// Env is the environment for a program that is to find the rig, and no other
// sound server.
func (r *Rig) Env() []string {
	var env []string
	for _, v := range os.Environ() {
		name, _, _ := strings.Cut(v, "=")
		if _, ours := r.Set[name]; !ours && !strings.HasPrefix(name, "JACK_") && !strings.HasPrefix(name, "PULSE_") {
			env = append(env, v)
		}
	}
	for name, value := range r.Set {
		env = append(env, name+"="+value)
	}
	return env
}

// Run runs f inside the rig. To do so it starts the running test again in a
// process of its own, which comes to the same Run by the same way and calls f
// there; what f reports to the test counts for the test here. A test that calls
// Run starts its rig first thing, so that the way there does nothing twice.
//
// Anything on standard error fails the test.
func (r *Rig) Run(f func()) {
	r.t.Helper()
	r.run(f, func(line string) bool { return false })
}

// RunLoud is Run for what makes the sound library fail: PortAudio then writes
// "Expression … failed" to standard error and offers no way to stop it. Other
// lines fail the test.
func (r *Rig) RunLoud(f func()) {
	r.t.Helper()
	r.run(f, func(line string) bool { return strings.HasPrefix(line, "Expression '") })
}

func (r *Rig) run(f func(), allowed func(line string) bool) {
	r.t.Helper()
	if r.inside {
		f()
		return
	}
	stdout, stderr, err := r.again()
	r.t.Logf("inside the rig:\n%s", stdout)
	for line := range strings.Lines(stderr) {
		if !allowed(line) {
			r.t.Errorf("on standard error inside the rig: %s", line)
		}
	}
	if err != nil {
		r.t.Fatalf("inside the rig: %v", err)
	}
}

// again runs this test once more with the rig's environment.
func (r *Rig) again() (stdout, stderr string, err error) {
	state, err := json.Marshal(r)
	if err != nil {
		return "", "", err
	}
	self, err := os.Executable()
	if err != nil {
		return "", "", err
	}
	parts := strings.Split(r.t.Name(), "/")
	cmd := exec.Command(self, "-test.run=^"+strings.Join(parts, "$/^")+"$", "-test.v", "-test.count=1", "-test.timeout="+left(r.t).String())
	cmd.Env = append(r.Env(), variable+"="+string(state))
	var outText, errText strings.Builder
	cmd.Stdout, cmd.Stderr = &outText, &errText
	err = cmd.Run()
	return outText.String(), errText.String(), err
}

// left is how long the test may still run, less some time to tidy up.
func left(t *testing.T) time.Duration {
	if deadline, ok := t.Deadline(); ok {
		return max(time.Until(deadline)-5*time.Second, time.Second)
	}
	return 5 * time.Minute
}

// here returns the rig that this process runs in, or nil where it runs in none.
func here(t *testing.T) *Rig {
	t.Helper()
	state := os.Getenv(variable)
	if state == "" {
		return nil
	}
	r := &Rig{t: t, inside: true}
	if err := json.Unmarshal([]byte(state), r); err != nil {
		t.Fatalf("the rig cannot be read: %v", err)
	}
	return r
}

// KillServer ends the sound server as a crash would, and returns at once.
func (r *Rig) KillServer() {
	r.t.Helper()
	if err := syscall.Kill(r.Server, syscall.SIGKILL); err != nil {
		r.t.Fatalf("the sound server could not be killed: %v", err)
	}
}

// launch starts a program of the rig in a process group of its own, which ends
// with the test. What it writes goes to NAME.log in the rig's folder.
func (r *Rig) launch(name, program string, args ...string) *exec.Cmd {
	r.t.Helper()
	log, err := os.Create(filepath.Join(r.Dir, name+".log"))
	if err != nil {
		r.t.Fatalf("no log for %s: %v", name, err)
	}
	defer log.Close()
	cmd := exec.Command(program, args...)
	cmd.Env, cmd.Dir = r.Env(), r.Dir
	cmd.Stdout, cmd.Stderr = log, log
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	dieWithTest(cmd.SysProcAttr)
	if err := cmd.Start(); err != nil {
		r.t.Fatalf("%s does not start: %v", program, err)
	}
	r.t.Cleanup(func() { endGroup(cmd) })
	return cmd
}

// endGroup ends a program and all it has started: politely, so that it tidies
// up, and after two seconds by force.
func endGroup(cmd *exec.Cmd) {
	syscall.Kill(-cmd.Process.Pid, syscall.SIGTERM)
	force := time.AfterFunc(2*time.Second, func() { syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL) })
	cmd.Wait()
	force.Stop()
	syscall.Kill(-cmd.Process.Pid, syscall.SIGKILL)
}

// Log returns what a program of the rig has written so far: "jackd", "device",
// "pulseaudio" or "effects".
func (r *Rig) Log(name string) string {
	text, err := os.ReadFile(filepath.Join(r.Dir, name+".log"))
	if err != nil {
		return err.Error()
	}
	return string(text)
}

// await calls ready until it returns nil.
func (r *Rig) await(what, log string, ready func() error) {
	r.t.Helper()
	var err error
	for end := time.Now().Add(startLimit); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if err = ready(); err == nil {
			return
		}
	}
	r.t.Fatalf("%s is not ready after %v: %v\n%s", what, startLimit, err, r.Log(log))
}

// need fails the test where a program is absent: a check that cannot run has
// not passed.
func need(t *testing.T, programs ...string) {
	t.Helper()
	for _, p := range programs {
		if _, err := exec.LookPath(p); err != nil {
			t.Fatalf("%s is not here, and this test cannot do without: install jackd2 libjack-jackd2-dev pulseaudio pulseaudio-utils sox gcc", p)
		}
	}
}

func write(t *testing.T, path, text string) {
	t.Helper()
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatalf("the rig cannot be set up: %v", err)
	}
}

func id(hostAPI, name string) string { return fmt.Sprintf("%s: %s", hostAPI, name) }
