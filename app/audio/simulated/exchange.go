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
// audio.ErrBusy during another exchange, audio.ErrNoDevice for a device that is not of
// the rig, audio.ErrOverLimit and audio.ErrBadRequest for what cannot be played or
// recorded, audio.ErrDeviceLost where the rig has that fault, and with the error of
// the context, always with what was recorded up to then.
func (r *Rig) Exchange(ctx context.Context, x audio.Exchange, progress func(audio.Progress)) (audio.Capture, error) {
	if err := check(x); err != nil {
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
	d := &delivery{exchange: x, meter: newMeter(x, progress), gone: int(rec.faults.goneS * x.RecordRateHz())}
	if r.realTime {
		d.began = time.Now()
	}
	working, stop := context.WithCancel(ctx)
	defer stop()
	err = d.run(ctx, r.pieces(working, rec, x))
	return d.capture(), err
}

// recorder sets the scene of an exchange, with the rig as it stands now.
func (r *Rig) recorder(x audio.Exchange) (*recorder, error) {
	r.mu.Lock()
	b := r.bench
	r.count++
	count := r.count
	seat := seatingOf(b.options.Serial, b.options.Seed, r.seated)
	if slices.Contains(x.PlayChannels, 0) {
		r.seated++
	}
	r.mu.Unlock()
	rateHz := x.RateHz
	if x.OutputDevice == "" {
		rateHz = x.RecordRateHz()
	}
	src, err := b.source(rateHz)
	if err != nil {
		return nil, err
	}
	src.seat = seat
	s := &scene{source: src, pool: r.pool, walls: &r.walls, inputs: x.RecordChannels, inputRateHz: x.RecordRateHz(), latencyS: latency(x.InputDevice)}
	s.play = played(x.Play, x.PlayChannels, x.RampS, rateHz)
	b.faults.muted(s.play, rateHz)
	return newRecorder(s, b.faults.driftOf(x.InputDevice), x.Frames(), b.options.Seed, count), nil
}

// piece is a stretch of what is recorded.
type piece struct {
	rows   [][]float32 // one per recorded channel
	frames int
	err    error
}

// pieces works out the recording piece by piece, ahead of its delivery. The
// goroutine ends with the context, at the latest after the piece in hand.
func (r *Rig) pieces(ctx context.Context, rec *recorder, x audio.Exchange) <-chan piece {
	whole := !x.Discard && (!r.realTime || rec.faults.clipDB > 0)
	out := make(chan piece, 1)
	go func() {
		defer close(out)
		for from, frames := 0, x.Frames(); from < frames; {
			to := min(frames, from+pieceFrames(from, x.RecordRateHz(), whole))
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

// Lengths of pieces. In real time, and for a level meter, the first is short, so
// that something is there at once, and each later one as long as those before it
// leave time for. Otherwise, and where the highest peak must be known first, an
// exchange of usual length is one piece.
const (
	longestFrames = 1 << 21
	firstS        = 0.25
	longestS      = 16
)

func pieceFrames(from int, rateHz float64, whole bool) int {
	if whole {
		return longestFrames
	}
	return min(int(firstS*rateHz)+3*from, int(longestS*rateHz))
}
