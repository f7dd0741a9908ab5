package database

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

func TestPackedRecordingComesBack(t *testing.T) {
	p, err := newPacker()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		channels := rapid.IntRange(1, 4).Draw(t, "channels")
		frames := rapid.IntRange(0, 300).Draw(t, "frames")
		rows := make([][]float32, channels)
		for c := range rows {
			rows[c] = make([]float32, frames)
			for i := range rows[c] {
				rows[c][i] = math.Float32frombits(rapid.Uint32().Draw(t, "bits"))
			}
		}
		packed, err := packOf(p, rows)
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.unpack(packed, channels, frames)
		if err != nil || !sameBits(rows, got) {
			t.Fatalf("%v", err)
		}
	})
}

// The sum is SHA-256 of the plain little-endian samples, so that any tool can
// check an export against it.
func TestSumIsOfPlainSamples(t *testing.T) {
	rows := noise(3, 2, 5000)
	var plain bytes.Buffer
	for _, samples := range rows {
		if err := binary.Write(&plain, binary.LittleEndian, samples); err != nil {
			t.Fatal(err)
		}
	}
	want := sha256.Sum256(plain.Bytes())
	if !bytes.Equal(sumOf(rows), want[:]) {
		t.Error("the sum differs")
	}
}

// A recording as it is made: a log sweep of 2.7 s at −12 dBFS between silences,
// with noise at −80 dBFS, through a 16, a 24 bit and an ideal converter. Noise
// does not pack; the test holds what the planes gain over none.
func TestCompaction(t *testing.T) {
	p, err := newPacker()
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		bits int
		most float64 // packed size over plain size
	}{{16, 0.33}, {24, 0.60}, {0, 0.80}} {
		rows := [][]float32{recordedSweep(test.bits)}
		packed, err := packOf(p, rows)
		if err != nil {
			t.Fatal(err)
		}
		ratio := float64(len(packed)) / float64(bytesPerSample*len(rows[0]))
		var plain bytes.Buffer
		binary.Write(&plain, binary.LittleEndian, rows[0])
		without := float64(len(p.encoder.EncodeAll(plain.Bytes(), nil))) / float64(plain.Len())
		t.Logf("%d bit: %.3f of the plain size, %.3f without planes", test.bits, ratio, without)
		if ratio > test.most {
			t.Errorf("%d bit: packed to %.3f, want at most %.2f", test.bits, ratio, test.most)
		}
		if ratio >= without {
			t.Errorf("%d bit: the planes gain nothing", test.bits)
		}
	}
}

func recordedSweep(bits int) []float32 {
	const rateHz, durationS, lowHz, highHz = 48000.0, 2.7, 20.0, 20000.0
	random := rand.New(rand.NewPCG(1, 2))
	samples := make([]float32, int(rateHz*(durationS+1.5)))
	rise := durationS / math.Log(highHz/lowHz)
	for i := range samples {
		timeS := float64(i)/rateHz - 0.75
		value := 1e-4 * random.NormFloat64()
		if timeS >= 0 && timeS < durationS {
			value += 0.25 * math.Sin(2*math.Pi*lowHz*rise*math.Expm1(timeS/rise))
		}
		if bits > 0 {
			scale := math.Ldexp(1, bits-1)
			value = math.Round(value*scale) / scale
		}
		samples[i] = float32(value)
	}
	return samples
}

func FuzzUnpack(f *testing.F) {
	p, err := newPacker()
	if err != nil {
		f.Fatal(err)
	}
	packed, _ := packOf(p, noise(1, 2, 50))
	f.Add(packed, 2, 50)
	f.Add([]byte{packedPlanes}, 0, 0)
	f.Fuzz(func(t *testing.T, packed []byte, channels, frames int) {
		rows, err := p.unpack(packed, channels, frames)
		if err == nil && (len(rows) != channels || (channels > 0 && len(rows[0]) != frames)) {
			t.Errorf("%d channels of %d frames were asked for", channels, frames)
		}
	})
}

// packOf packs channels of one length.
func packOf(p *packer, channels [][]float32) ([]byte, error) {
	frames, err := framesOf(channels)
	return p.pack(channels, frames), err
}
