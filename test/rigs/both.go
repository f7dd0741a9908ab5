package rigs

import (
	"errors"
	"fmt"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// Both is a rig with a JACK and a PulseAudio server at once, and a device under
// test between them: what is played on either comes out of the other.
type Both struct {
	*Rig

	JACK                    string // ID of the audio.Device on JACK, which plays and records
	PulseOutput, PulseInput string // those on PulseAudio
	PulseServer             int    // its process; Server is that of JACK
}

// The bridge: PulseAudio's sink and source are clients of the JACK server, so
// both run by its clock and no sample is resampled on the way.
const bridgeScript = `load-module module-jack-sink sink_name=rig client_name=%[1]s server_name=%[3]s channels=2 connect=0
load-module module-jack-source source_name=mic client_name=%[2]s server_name=%[3]s channels=2 connect=0
set-default-sink rig
set-default-source mic
load-module module-native-protocol-unix auth-anonymous=1 socket=%[4]s
`

const (
	bridgeOut = "bridge-out"
	bridgeIn  = "bridge-in"

	// pulseVariable tells the test inside the rig which process to kill.
	pulseVariable = "STILLROOM_TEST_RIG_PULSE"
)

// StartBoth starts a JACK server as StartJACK does, and a PulseAudio server whose
// output goes to the device under test and whose input hears it.
func StartBoth(t *testing.T, o JACK) Both {
	t.Helper()
	b := Both{JACK: id("JACK Audio Connection Kit", clientName), PulseOutput: id("ALSA", "rig-out"), PulseInput: id("ALSA", "rig-mic")}
	if b.Rig = here(t); b.Rig != nil {
		b.PulseServer, _ = strconv.Atoi(b.Set[pulseVariable])
		return b
	}
	need(t, "pulseaudio", "pactl", "jack_connect")
	b.Rig = StartJACK(t, o)
	b.startBridge()
	for channel, port := range []string{"front-left", "front-right"} {
		b.connect(bridgeOut+":"+port, fmt.Sprintf("%s:in_%d", clientName, channel+1))
		b.connect(fmt.Sprintf("%s:out_%d", clientName, channel+1), bridgeIn+":"+port)
	}
	return b
}

// startBridge starts the PulseAudio server. b.Server stays that of JACK.
func (b *Both) startBridge() {
	b.t.Helper()
	home, run := b.Set["HOME"], b.Set["XDG_RUNTIME_DIR"]
	script := filepath.Join(b.Dir, "bridge.pa")
	write(b.t, script, fmt.Sprintf(bridgeScript, bridgeOut, bridgeIn, b.Set["JACK_DEFAULT_SERVER"], filepath.Join(run, "native")))
	write(b.t, filepath.Join(home, ".asoundrc"), fmt.Sprintf(alsaNames, "mic"))
	write(b.t, filepath.Join(home, ".config/pulse/client.conf"), "autospawn = no\n")
	write(b.t, filepath.Join(home, ".config/pulse/daemon.conf"), "")
	server := b.launch("pulseaudio", "pulseaudio", "-n", "-F", script,
		"--daemonize=no", "--disallow-exit", "--exit-idle-time=-1", "--use-pid-file=no")
	b.PulseServer = server.Process.Pid
	b.Set[pulseVariable] = strconv.Itoa(b.PulseServer)
	b.await("PulseAudio", "pulseaudio", func() error { return b.hasSource("mic") })
}

// connect joins two ports of the JACK server, once they are there.
func (b Both) connect(from, to string) {
	b.t.Helper()
	b.await("the bridge", "pulseaudio", func() error {
		cmd := exec.Command("jack_connect", "-s", b.Set["JACK_DEFAULT_SERVER"], from, to)
		cmd.Env = b.Env()
		if out, err := cmd.CombinedOutput(); err != nil {
			return errors.New(strings.TrimSpace(string(out)))
		}
		return nil
	})
}
