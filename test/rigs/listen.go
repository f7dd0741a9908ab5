package rigs

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"os/exec"
	"strings"
	"time"
)

// hushed is how long it must be silent before a sound counts as ended.
const hushed = 300 * time.Millisecond

// Listen hears what comes out of the rig's output from now on. The function it
// returns waits for silence and tells when the last sample before it that is
// not zero was heard; call it once.
//
// On JACK the device under test hears it, and one period is added for the
// buffer of a sound card. On PulseAudio a second recorder of the sink hears it,
// and the time is when it arrives there.
func (r *Rig) Listen() (lastSound func() time.Time) {
	r.t.Helper()
	if r.isJACK() {
		heard := strings.Count(r.Log("device"), "last ")
		return func() time.Time { return r.lastAtDevice(heard) }
	}
	return r.listenAtSink()
}

func (r *Rig) isJACK() bool { return r.Set["JACK_DEFAULT_SERVER"] != "" }

// lastAtDevice waits for the device's next report after those already heard.
func (r *Rig) lastAtDevice(heard int) time.Time {
	r.t.Helper()
	var ns int64
	r.await("silence", "device", func() error {
		text := r.Log("device")
		if strings.Count(text, "last ") <= heard {
			return errors.New("no sound has ended")
		}
		_, err := fmt.Sscanf(text[strings.LastIndex(text, "last "):], "last %d\n", &ns)
		return err
	})
	return time.Unix(0, ns)
}

func (r *Rig) listenAtSink() (lastSound func() time.Time) {
	r.t.Helper()
	cmd := exec.Command("parec", "-d", "rig.monitor", "--raw", "--format=float32le", "--channels=2",
		fmt.Sprintf("--rate=%g", r.RateHz), "--latency-msec=10", "--process-time-msec=5")
	cmd.Env = r.Env()
	out, err := cmd.StdoutPipe()
	if err != nil {
		r.t.Fatalf("the sink cannot be heard: %v", err)
	}
	if err := cmd.Start(); err != nil {
		r.t.Fatalf("parec does not start: %v", err)
	}
	end, ready := make(chan time.Time, 1), make(chan struct{})
	go func() { end <- hear(out, ready) }()
	<-ready
	return func() time.Time {
		r.t.Helper()
		defer cmd.Wait()
		defer cmd.Process.Kill()
		select {
		case last := <-end:
			return last
		case <-time.After(startLimit):
			r.t.Fatal("the sink does not fall silent")
			return time.Time{}
		}
	}
}

// hear reads float32 samples as they come, closes ready at the first, and
// returns when the last one that is not zero came, once it has been silent for
// a while after a sound.
func hear(in io.Reader, ready chan struct{}) (last time.Time) {
	buf := make([]byte, 1<<14)
	for have := 0; ; {
		n, err := in.Read(buf[have:])
		now := time.Now()
		if ready != nil {
			close(ready)
			ready = nil
		}
		if err != nil {
			return last
		}
		have += n
		whole := have &^ 3
		if sounds(buf[:whole]) {
			last = now
		} else if !last.IsZero() && now.Sub(last) > hushed {
			return last
		}
		have = copy(buf, buf[whole:have])
	}
}

// sounds tells whether any of the samples is not zero, of either sign.
func sounds(samples []byte) bool {
	for ; len(samples) > 0; samples = samples[4:] {
		if binary.LittleEndian.Uint32(samples)&0x7fffffff != 0 {
			return true
		}
	}
	return false
}
