package take

import (
	"context"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"fmt"
	"math"
	"time"

	"stillroom/app/audio"
	"stillroom/app/rig"
	"stillroom/dsp/excitation"
)

// latencyS is how much longer than the programme is recorded, for the way through
// the interface, its buffers and the air.
const latencyS = 0.75

// Progress tells how far a recording is.
type Progress struct {
	Stage    string  // "quiet", "sweep", "decay" …
	Fraction float64 // 0 to 1
	PeakDBFS []float64
	RMSDBFS  []float64
}

// Record plays a programme on a rig and records it. progress may be nil. What the
// rig or the limits of the subject do not allow is refused, and nothing is played.
//
// When the context ends or the device is lost the output is silent on return, and
// there is no take: the error says so.
func Record(ctx context.Context, iface audio.Interface, r rig.Rig, p excitation.Programme, s Subject, progress func(Progress)) (*Take, error) {
	if err := CheckProgramme(r, p); err != nil {
		return nil, err
	}
	if err := s.Limits.Refuse(p, r); err != nil {
		return nil, err
	}
	played := p.Render()
	limit, _ := r.HighestDBFS()
	x := audio.Exchange{
		OutputDevice: r.OutputDevice, InputDevice: r.InputDevice, RateHz: p.RateHz,
		Play: [][]float32{played}, PlayChannels: []int{r.OutputChannel},
		RecordChannels: recorded(r),
		InputRateHz:    r.InputRateHz,
		LimitFS:        math.Min(1, math.Pow(10, limit/20)*(1+1e-6)),
	}
	x.RecordFrames = int((float64(len(played))/p.RateHz + latencyS) * x.RecordRateHz())
	began := time.Now().UTC()
	capture, err := iface.Exchange(ctx, x, stages(p.Layout(), progress))
	if err != nil {
		return nil, fmt.Errorf("no take was recorded: %w", err)
	}
	return &Take{At: began, Subject: s, Rig: r, Programme: p, PlayedSHA256: digest(played),
		Capture: capture, Settings: DefaultSettings()}, nil
}

// recorded lists the channels of a take in the order in which it keeps them: the
// microphones, and the loopback channel last.
func recorded(r rig.Rig) []int {
	var out []int
	for _, m := range r.Microphones() {
		out = append(out, m.Channel)
	}
	if r.LoopbackChannel > 0 {
		out = append(out, r.LoopbackChannel-1)
	}
	return out
}

// stages turns what an interface reports into what a person is told.
func stages(l excitation.Layout, progress func(Progress)) func(audio.Progress) {
	if progress == nil {
		return nil
	}
	return func(a audio.Progress) {
		p := Progress{Stage: stageAt(l, a.Frames), Fraction: float64(a.Frames) / float64(max(a.Total, 1))}
		for i := range a.PeakFS {
			p.PeakDBFS = append(p.PeakDBFS, 20*math.Log10(a.PeakFS[i]))
			p.RMSDBFS = append(p.RMSDBFS, 20*math.Log10(a.RMSFS[i]*math.Sqrt2))
		}
		progress(p)
	}
}

func stageAt(l excitation.Layout, frame int) string {
	switch {
	case frame < l.Silence.To:
		return "listening to the quiet"
	case frame < l.Sweeps[0].From:
		return "timing mark"
	case frame > l.Sweeps[len(l.Sweeps)-1].To:
		return "decay"
	}
	for i, s := range l.Sweeps {
		if frame < s.To {
			if len(l.Sweeps) == 1 {
				return "sweep"
			}
			return fmt.Sprintf("sweep %d of %d", i+1, len(l.Sweeps))
		}
	}
	return "decay"
}

// digest is the SHA-256 of samples as little-endian float32.
func digest(x []float32) string {
	h := sha256.New()
	buffer := make([]byte, 0, 4096)
	for _, v := range x {
		buffer = binary.LittleEndian.AppendUint32(buffer, math.Float32bits(v))
		if len(buffer) == cap(buffer) {
			h.Write(buffer)
			buffer = buffer[:0]
		}
	}
	h.Write(buffer)
	return hex.EncodeToString(h.Sum(nil))
}
