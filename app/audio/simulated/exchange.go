package simulated

import (
	"context"
	"fmt"
	"slices"
	"time"

	"stillroom/app/audio"
)

// Exchange plays and records, as audio.Interface says. At full speed it takes the
// time of the computation, in real time that of the sound. It fails with
// audio.ErrBusy during another exchange, audio.ErrNoDevice for another device than
// DeviceID, audio.ErrOverLimit and audio.ErrBadRequest for what cannot be played or
// recorded, audio.ErrDeviceLost where the rig has that fault, and with the error of
// the context, always with what was recorded up to then.
func (r *Rig) Exchange(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	if err := r.check(ctx, x); err != nil {
		return audio.Capture{}, err
	}
	if !r.running.TryLock() {
		return audio.Capture{}, fmt.Errorf("%w: wait until the exchange that runs has ended, or stop it", audio.ErrBusy)
	}
	defer r.running.Unlock()
	rec, err := r.recorder(x)
	if err != nil {
		return audio.Capture{}, err
	}
	d := &delivery{exchange: x, meter: newMeter(x, progress), gone: r.goneAt(rec, x)}
	if r.options.RealTime {
		d.began = time.Now()
	}
	err = d.run(ctx, rec)
	return d.capture(), err
}

func (r *Rig) check(ctx context.Context, x audio.Exchange) error {
	if err := x.Check(); err != nil {
		return err
	}
	for _, id := range []string{x.OutputDevice, x.InputDevice} {
		if id != "" && id != DeviceID {
			_, err := r.Describe(ctx, id)
			return err
		}
	}
	if err := x.Fits(device(), device()); err != nil {
		return err
	}
	if !slices.Contains(device().RatesHz, x.RateHz) {
		return refuse("the simulated rig does not run at %g Hz: choose one of %v Hz", x.RateHz, device().RatesHz)
	}
	return ctx.Err()
}

// recorder sets the scene of an exchange, with the rig as it stands now.
func (r *Rig) recorder(x audio.Exchange) (*recorder, error) {
	r.mu.Lock()
	b := r.bench
	r.count++
	count := r.count
	r.mu.Unlock()
	src, err := b.source(x.RateHz)
	if err != nil {
		return nil, err
	}
	s := &scene{source: src, pool: r.pool, walls: &r.walls, inputs: x.RecordChannels}
	s.play = played(x.Play, x.PlayChannels, x.RampS, x.RateHz)
	b.faults.muted(s.play, x.RateHz)
	return newRecorder(s, x.Frames(), b.options.Seed, count), nil
}

// goneAt is the frame at which the device goes, or 0.
func (r *Rig) goneAt(rec *recorder, x audio.Exchange) int {
	return int(rec.faults.goneS * x.RateHz)
}

// piece is a stretch of what is recorded.
type piece struct {
	rows   [][]float32 // one per recorded channel
	frames int
	err    error
}

// pieces works out the recording piece by piece, ahead of its delivery. A kept
// exchange of usual length is one piece; a level meter begins with a short one, so
// that it shows something at once. The goroutine ends with the context, at the
// latest after the piece in hand.
func pieces(ctx context.Context, rec *recorder, x audio.Exchange) <-chan piece {
	out := make(chan piece, 1)
	go func() {
		defer close(out)
		for from, frames := 0, x.Frames(); from < frames; {
			to := min(frames, from+pieceFrames(x, from))
			rows, err := rec.record(ctx, from, to)
			select {
			case out <- piece{rows, to - from, err}:
			case <-ctx.Done():
				return
			}
			if err != nil {
				return
			}
			from = to
		}
	}()
	return out
}

// Lengths of pieces.
const (
	keptFrames  = 1 << 21
	firstMeterS = 0.5
	nextMeterS  = 2.0
)

func pieceFrames(x audio.Exchange, from int) int {
	switch {
	case !x.Discard:
		return keptFrames
	case from == 0:
		return int(firstMeterS * x.RateHz)
	}
	return int(nextMeterS * x.RateHz)
}
