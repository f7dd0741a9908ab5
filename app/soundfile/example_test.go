package soundfile_test

import (
	"fmt"
	"os"
	"path/filepath"

	"stillroom/app/soundfile"
)

func Example() {
	dir, err := os.MkdirTemp("", "example")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)

	path := filepath.Join(dir, "impulse.wav")
	impulse := soundfile.Sound{RateHz: 48000, Channels: [][]float64{{0, 0.5, -0.25, 0}}}
	if err := soundfile.Write(path, impulse, soundfile.WAV24); err != nil {
		fmt.Println(err)
		return
	}
	s, err := soundfile.Read(path)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(s.Format, s.RateHz, s.Channels[0])
	// Output: WAV, 24 bit 48000 [0 0.5 -0.25 0]
}
