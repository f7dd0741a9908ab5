package simulated

import (
	"context"
	"fmt"
	"testing"

	"stillroom/app/audio"
	"stillroom/dsp/excitation"
)

// take is the exchange of a usual programme with all inputs recorded.
func take(rateHz, levelDBFS, durationS float64, channels ...int) audio.Exchange {
	p := excitation.Programme{RateHz: rateHz, LowHz: 20, HighHz: 20000, DurationS: durationS, Repeats: 1, LevelDBFS: levelDBFS}
	play := p.Render()
	return audio.Exchange{
		OutputDevice: DeviceID, InputDevice: DeviceID, RateHz: rateHz,
		Play: [][]float32{play}, PlayChannels: []int{0},
		RecordChannels: channels, RecordFrames: len(play), LimitFS: 1,
	}
}

func BenchmarkExchange(b *testing.B) {
	for _, subject := range []string{"woofer", "two-way", "headphone", "wire"} {
		for _, rate := range []float64{48000, 192000} {
			b.Run(fmt.Sprintf("%s/%g", subject, rate), func(b *testing.B) {
				r, err := New(Options{Subject: subject, Fixture: "room"})
				if err != nil {
					b.Fatal(err)
				}
				x := take(rate, -20, 3.5, 0, 1)
				b.ReportMetric(float64(x.RecordFrames)/rate, "s_of_sound")
				for range b.N {
					if _, err := r.Exchange(context.Background(), x, nil); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}
