package database

import (
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"github.com/klauspost/compress/zstd"
)

// A packed recording is one byte that names the format, then a zstd frame (RFC
// 8878) of the byte planes of each channel in turn: the lowest byte of every
// float32, then the next, up to the one with sign and exponent. Planes of like
// bytes pack better than samples do.
const packedPlanes byte = 1

const bytesPerSample = 4

// packer packs and unpacks recordings. It is safe for concurrent use.
type packer struct {
	encoder *zstd.Encoder
	decoder *zstd.Decoder
}

func newPacker() (*packer, error) {
	encoder, err := zstd.NewWriter(nil, zstd.WithEncoderConcurrency(1))
	if err != nil {
		return nil, err
	}
	decoder, err := zstd.NewReader(nil, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxMemory(1<<32))
	if err != nil {
		return nil, err
	}
	return &packer{encoder, decoder}, nil
}

// pack returns the packed form of channels that all have so many frames. Every bit
// is kept, also those of a sample that is not a number. No channels pack into nothing.
func (p *packer) pack(channels [][]float32, frames int) []byte {
	if len(channels) == 0 {
		return nil
	}
	planes := make([]byte, bytesPerSample*frames*len(channels))
	for c, samples := range channels {
		at := planes[c*bytesPerSample*frames:]
		for i, sample := range samples {
			bits := math.Float32bits(sample)
			at[i] = byte(bits)
			at[frames+i] = byte(bits >> 8)
			at[2*frames+i] = byte(bits >> 16)
			at[3*frames+i] = byte(bits >> 24)
		}
	}
	return p.encoder.EncodeAll(planes, []byte{packedPlanes})
}

// unpack is the inverse of pack for a recording of known size.
func (p *packer) unpack(packed []byte, channels, frames int) ([][]float32, error) {
	if len(packed) == 0 || packed[0] != packedPlanes {
		return nil, errors.New("its recording has an unknown format")
	}
	if channels < 0 || frames < 0 || channels > 1<<10 || frames > 1<<32 {
		return nil, fmt.Errorf("its recording claims %d channels of %d frames", channels, frames)
	}
	planes, err := p.decoder.DecodeAll(packed[1:], nil)
	if err != nil {
		return nil, fmt.Errorf("its recording cannot be unpacked: %w", err)
	}
	if len(planes) != bytesPerSample*frames*channels {
		return nil, fmt.Errorf("its recording holds %d bytes where %d are due", len(planes), bytesPerSample*frames*channels)
	}
	rows := make([][]float32, channels)
	for c := range rows {
		rows[c] = make([]float32, frames)
		at := planes[c*bytesPerSample*frames:]
		for i := range rows[c] {
			bits := uint32(at[i]) | uint32(at[frames+i])<<8 | uint32(at[2*frames+i])<<16 | uint32(at[3*frames+i])<<24
			rows[c][i] = math.Float32frombits(bits)
		}
	}
	return rows, nil
}

// framesOf is the common length of the channels.
func framesOf(channels [][]float32) (int, error) {
	if len(channels) == 0 {
		return 0, nil
	}
	frames := len(channels[0])
	for c, samples := range channels {
		if len(samples) != frames {
			return 0, fmt.Errorf("channel %d has %d frames where the first has %d", c+1, len(samples), frames)
		}
	}
	return frames, nil
}

// sumOf is the SHA-256 (FIPS 180-4) of the samples, channel after channel, each
// as a little-endian float32.
func sumOf(channels [][]float32) []byte {
	hash := sha256.New()
	var buffer [4096]byte
	for _, samples := range channels {
		for len(samples) > 0 {
			n := min(len(samples), len(buffer)/bytesPerSample)
			for i, sample := range samples[:n] {
				binary.LittleEndian.PutUint32(buffer[i*bytesPerSample:], math.Float32bits(sample))
			}
			hash.Write(buffer[:n*bytesPerSample])
			samples = samples[n:]
		}
	}
	return hash.Sum(nil)
}
