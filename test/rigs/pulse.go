package rigs

import (
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// Pulse says what PulseAudio rig to start. The zero value runs at 48 kHz with
// nothing in between: the input hears the output.
type Pulse struct {
	RateHz int

	// Effects is what sox does to the sound between output and input, as on its
	// command line: "highpass", "1000". Its delay differs between starts.
	Effects []string
}

// Sinks and the names by which ALSA knows them. norewinds is essential: without
// it the null sink plays parts of a period twice.
const pulseScript = `load-module module-null-sink sink_name=rig rate=%[1]d channels=2 format=float32le norewinds=1
load-module module-null-sink sink_name=mic rate=%[1]d channels=2 format=float32le norewinds=1
set-default-sink rig
set-default-source %[2]s
load-module module-native-protocol-unix auth-anonymous=1 socket=%[3]s
`

const alsaNames = `pcm.!default { type pulse }
ctl.!default { type pulse }
pcm.rig-out { type pulse device rig hint { show on description "rig out" } }
pcm.rig-mic { type pulse device %s hint { show on description "rig mic" } }
`

// settle is how long the pipe of effects needs until its delay stands.
const settle = 2 * time.Second

// StartPulse starts a PulseAudio server with no hardware. All ends with the
// test.
func StartPulse(t *testing.T, o Pulse) *Rig {
	t.Helper()
	if r := here(t); r != nil {
		return r
	}
	need(t, "pulseaudio", "pactl", "parec", "pacat", "sox", "setsid")
	rate, source := orElse(o.RateHz, 48000), "rig.monitor"
	if len(o.Effects) > 0 {
		source = "mic.monitor"
	}
	r := newRig(t)
	r.RateHz, r.Output, r.Input = float64(rate), id("ALSA", "rig-out"), id("ALSA", "rig-mic")
	home, run := r.Set["HOME"], r.Set["XDG_RUNTIME_DIR"]
	script := filepath.Join(r.Dir, "rig.pa")
	write(t, script, fmt.Sprintf(pulseScript, rate, source, filepath.Join(run, "native")))
	write(t, filepath.Join(home, ".asoundrc"), fmt.Sprintf(alsaNames, source))
	write(t, filepath.Join(home, ".config/pulse/client.conf"), "autospawn = no\n")
	write(t, filepath.Join(home, ".config/pulse/daemon.conf"), "")

	server := r.launch("pulseaudio", "pulseaudio", "-n", "-F", script,
		"--daemonize=no", "--disallow-exit", "--exit-idle-time=-1", "--use-pid-file=no")
	r.Server = server.Process.Pid
	r.await("PulseAudio", "pulseaudio", func() error { return r.hasSource(source) })
	if len(o.Effects) > 0 {
		r.startEffects(rate, o.Effects)
	}
	return r
}

func (r *Rig) hasSource(name string) error {
	cmd := exec.Command("pactl", "list", "short", "sources")
	cmd.Env = r.Env()
	out, err := cmd.CombinedOutput()
	if err == nil && !strings.Contains(string(out), name) {
		err = errors.New("the source is not there")
	}
	if err != nil {
		return fmt.Errorf("%w: %s", err, out)
	}
	return nil
}

// startEffects puts sox between the two sinks.
func (r *Rig) startEffects(rate int, effects []string) {
	r.t.Helper()
	raw := fmt.Sprintf("--raw --format=float32le --rate=%d --channels=2 --latency-msec=200 --process-time-msec=20", rate)
	samples := fmt.Sprintf("-t raw -e floating-point -b 32 -c 2 -r %d -", rate)
	pipe := fmt.Sprintf(`parec -d rig.monitor %s | sox -V1 --buffer 2048 %s %s "$@" | pacat -p -d mic %s`, raw, samples, samples, raw)
	r.launch("effects", "sh", append([]string{"-c", pipe, "effects"}, effects...)...)
	r.await("the pipe of effects", "effects", r.piped)
	time.Sleep(settle)
}

// piped tells whether both ends of the pipe are connected.
func (r *Rig) piped() error {
	for _, kind := range []string{"source-outputs", "sink-inputs"} {
		cmd := exec.Command("pactl", "list", "short", kind)
		cmd.Env = r.Env()
		out, err := cmd.CombinedOutput()
		if err != nil {
			return fmt.Errorf("%w: %s", err, out)
		}
		if len(strings.TrimSpace(string(out))) == 0 {
			return fmt.Errorf("no %s yet", kind)
		}
	}
	return nil
}
