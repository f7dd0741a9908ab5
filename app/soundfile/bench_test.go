package soundfile

import (
	"path/filepath"
	"testing"
)

// Reading 20 s at 96 kHz with two channels, as a long take is kept.
func BenchmarkRead(b *testing.B) {
	const frames = 20 * 96000
	for _, f := range []Format{WAVFloat32, WAVFloat64, WAV24, FLAC24} {
		b.Run(f.String(), func(b *testing.B) {
			path := filepath.Join(b.TempDir(), "a")
			if err := Write(path, codes(16, 2, frames), f); err != nil {
				b.Fatal(err)
			}
			b.SetBytes(frames * 2 * 8)
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(path); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
