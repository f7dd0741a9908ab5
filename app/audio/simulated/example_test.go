package simulated_test

import (
	"context"
	"fmt"
	"math"
	"math/cmplx"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
)

// An impulse through a wire comes back after the latency of the interface, and the
// rig tells what a measurement of a loudspeaker should find.
func Example() {
	wire, err := simulated.New(simulated.Options{Subject: "wire"})
	if err != nil {
		fmt.Println(err)
		return
	}
	click := make([]float32, 4800)
	click[0] = 0.5
	capture, err := wire.Exchange(context.Background(), audio.Exchange{
		OutputDevice: simulated.DeviceID, Play: [][]float32{click}, PlayChannels: []int{0}, LimitFS: 0.5,
		InputDevice: simulated.DeviceID, RecordChannels: []int{simulated.MicrophoneIn}, RecordFrames: 4800,
		RateHz: 48000,
	}, nil)
	if err != nil {
		fmt.Println(err)
		return
	}
	top := 0
	for n, v := range capture.Channels[0] {
		if v > capture.Channels[0][top] {
			top = n
		}
	}
	fmt.Printf("%.2f ms\n", float64(top)/48)

	tweeter, err := simulated.New(simulated.Options{Subject: "tweeter", Serial: "W-0001", Fixture: "none"})
	if err != nil {
		fmt.Println(err)
		return
	}
	h, err := tweeter.TrueResponse(48000, []float64{100, 200})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f dB an octave\n", 20*math.Log10(cmplx.Abs(h[1]/h[0])))
	// Output:
	// 12.29 ms
	// 12 dB an octave
}
