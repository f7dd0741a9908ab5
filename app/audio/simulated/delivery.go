package simulated

import (
	"context"
	"fmt"
	"time"

	"stillroom/app/audio"
)

// reportsPerS is how often progress is told, per second of sound.
const reportsPerS = 25

// delivery hands over what is recorded, in real time where it has begun at a time.
type delivery struct {
	exchange audio.Exchange
	meter    *meter
	began    time.Time // zero: at full speed
	gone     int       // frame at which the device goes; 0: it stays

	kept      [][]float32
	done      int // frames delivered
	cancelled bool
	lost      bool
}

// run delivers all frames, or until the context ends or the device goes.
func (d *delivery) run(ctx context.Context, source <-chan piece) error {
	if !d.exchange.Discard {
		d.kept = make([][]float32, len(d.exchange.RecordChannels))
		for i := range d.kept {
			d.kept[i] = make([]float32, 0, d.exchange.Frames())
		}
	}
	for d.done < d.exchange.Frames() {
		var p piece
		select {
		case <-ctx.Done():
			return d.cancel(ctx)
		case p = <-source:
		}
		if ctx.Err() != nil {
			return d.cancel(ctx)
		}
		if p.err != nil {
			return p.err
		}
		if err := d.deliver(ctx, p); err != nil {
			return err
		}
	}
	return nil
}

// deliver hands over one piece, in steps of one report.
func (d *delivery) deliver(ctx context.Context, p piece) error {
	step := max(1, int(d.exchange.RecordRateHz()/reportsPerS))
	for at := 0; at < p.frames; {
		n := min(step, p.frames-at)
		if d.gone > 0 && d.done+n >= d.gone {
			n = max(0, d.gone-d.done)
			d.lost = true
		}
		if !d.wait(ctx, d.done+n) {
			d.take(p.rows, at, min(n, max(0, d.due()-d.done)))
			return d.cancel(ctx)
		}
		d.take(p.rows, at, n)
		if d.lost {
			return fmt.Errorf("%w: %q went after %.1f s; connect it again and repeat", audio.ErrDeviceLost, d.device(), float64(d.done)/d.exchange.RecordRateHz())
		}
		at += n
	}
	return nil
}

// wait returns when a frame is due, or with false when the context ends before.
func (d *delivery) wait(ctx context.Context, frame int) bool {
	if d.began.IsZero() {
		return ctx.Err() == nil
	}
	due := d.began.Add(time.Duration(float64(frame) / d.exchange.RecordRateHz() * float64(time.Second)))
	timer := time.NewTimer(time.Until(due))
	defer timer.Stop()
	select {
	case <-timer.C:
		return ctx.Err() == nil
	case <-ctx.Done():
		return false
	}
}

// due is how many frames have been recorded by now in real time.
func (d *delivery) due() int {
	if d.began.IsZero() {
		return d.done
	}
	return int(time.Since(d.began).Seconds() * d.exchange.RecordRateHz())
}

func (d *delivery) take(rows [][]float32, at, n int) {
	for i := range rows {
		part := rows[i][at : at+n]
		if !d.exchange.Discard {
			d.kept[i] = append(d.kept[i], part...)
		}
		d.meter.see(i, part)
	}
	d.done += n
	d.meter.report(d.done)
}

func (d *delivery) cancel(ctx context.Context) error {
	d.cancelled = true
	return fmt.Errorf("stopped after %.1f s: %w", float64(d.done)/d.exchange.RecordRateHz(), context.Cause(ctx))
}

// device is the one that goes where one goes: what records, or else what plays.
func (d *delivery) device() string {
	if d.exchange.InputDevice != "" {
		return d.exchange.InputDevice
	}
	return d.exchange.OutputDevice
}

func (d *delivery) capture() audio.Capture {
	x := d.exchange
	facts := audio.Facts{
		Kind: Kind, HostAPI: Kind, RateHz: x.RateHz,
		TwoStreams:   x.OutputDevice != "" && x.InputDevice == USBMicrophoneID,
		OutputDevice: x.OutputDevice, InputDevice: x.InputDevice,
		Cancelled: d.cancelled, DeviceLost: d.lost, LatencyTellS: latency(x.InputDevice),
	}
	if x.InputDevice != "" {
		facts.InputRateHz = x.RecordRateHz()
	}
	if !d.began.IsZero() && !d.cancelled && !d.lost {
		facts.ClockSlope = 1
	}
	return audio.Capture{RateHz: x.RecordRateHz(), Channels: d.kept, Facts: facts}
}
