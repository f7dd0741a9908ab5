package soundfile

import (
	"encoding/binary"
	"fmt"
)

// Format tags of the "fmt " chunk (RIFF MCI 1.0, chapter 3; RFC 2361, appendix A).
const (
	tagPCM        = 0x0001
	tagFloat      = 0x0003
	tagExtensible = 0xFFFE
)

// format reads the "fmt " chunk. Its fields by RIFF MCI 1.0, chapter 3: wFormatTag
// at 0, wChannels at 2, dwSamplesPerSec at 4, dwAvgBytesPerSec at 8 (not used),
// wBlockAlign at 12, wBitsPerSample at 14. What follows the fields that are used
// here is left alone, however long it is.
func (w *waveFile) format(b []byte, order binary.ByteOrder) error {
	if len(b) < 16 {
		return damaged(`the "fmt " chunk has %d bytes and needs 16`, len(b))
	}
	w.channels = int(order.Uint16(b[2:]))
	w.rateHz = float64(order.Uint32(b[4:]))
	w.bits = int(order.Uint16(b[14:]))
	if w.channels == 0 {
		return damaged("the header speaks of 0 channels")
	}
	if err := w.sampleBytes(int(order.Uint16(b[12:]))); err != nil {
		return err
	}
	tag := order.Uint16(b)
	if tag == tagExtensible {
		var err error
		if tag, err = w.extension(b, order); err != nil {
			return err
		}
	}
	return w.codingOf(tag)
}

// sampleBytes finds how many bytes a sample takes: wBlockAlign over the channels,
// or what wBitsPerSample needs where a writer left wBlockAlign at 0.
func (w *waveFile) sampleBytes(blockAlign int) error {
	w.bytes = blockAlign / w.channels
	if blockAlign == 0 {
		w.bytes = (w.bits + 7) / 8
	}
	if blockAlign%w.channels != 0 {
		return damaged("the header gives %d bytes to a frame of %d channels, which does not divide", blockAlign, w.channels)
	}
	return nil
}

// extension reads the fields that WAVE_FORMAT_EXTENSIBLE adds (Microsoft, "Multiple
// channel audio data and WAVE files", 2001): wValidBitsPerSample at 18, SubFormat at
// 24. It gives the format tag that the SubFormat stands for.
func (w *waveFile) extension(b []byte, order binary.ByteOrder) (uint16, error) {
	if len(b) < 40 {
		return 0, damaged(`the extensible "fmt " chunk has %d bytes and needs 40`, len(b))
	}
	tag, ok := subFormatTag(b[24:40], order)
	if !ok {
		return 0, unsupported("the samples are in a private format (SubFormat %x)", b[24:40])
	}
	if valid := int(order.Uint16(b[18:])); valid > 0 && valid < w.bits {
		w.bits = valid
	}
	return tag, nil
}

// subFormatTag gives the format tag in a SubFormat (same source), the GUID
// xxxxxxxx-0000-0010-8000-00AA00389B71, whose first 32 bits are the tag. A GUID is a
// number of 32 bits, two of 16 and eight bytes. In RIFX some programs turn the
// numbers round, others only the tag, which they take for 16 bits.
func subFormatTag(guid []byte, order binary.ByteOrder) (uint16, bool) {
	const (
		little = "\x00\x00\x00\x00\x10\x00"
		big    = "\x00\x00\x00\x10"
		tail   = "\x80\x00\x00\xAA\x00\x38\x9B\x71"
	)
	switch {
	case string(guid[8:]) != tail:
		return 0, false
	case string(guid[2:8]) == little:
		return order.Uint16(guid), true
	case order == binary.BigEndian && string(guid[:2]) == "\x00\x00" && string(guid[4:8]) == big:
		return order.Uint16(guid[2:]), true
	}
	return 0, false
}

// codingOf turns a format tag into how a sample is written. RIFF MCI 1.0, chapter
// 3: 1 to 8 bits are unsigned, more are signed and left-justified in their bytes.
func (w *waveFile) codingOf(tag uint16) error {
	switch {
	case tag == tagFloat:
		w.coding = float
	case tag == tagPCM && w.bytes == 1:
		w.coding = unsigned
	case tag == tagPCM:
		w.coding = signed
	default:
		return lossy("the samples are compressed (%s)", codecName(tag))
	}
	return nil
}

// codecName names the compressed formats that are met (RFC 2361, appendix A).
func codecName(tag uint16) string {
	switch tag {
	case 0x0002:
		return "Microsoft ADPCM"
	case 0x0006:
		return "A-law"
	case 0x0007:
		return "µ-law"
	case 0x0011:
		return "IMA ADPCM"
	case 0x0031:
		return "GSM 6.10"
	case 0x0050:
		return "MPEG"
	case 0x0055:
		return "MP3"
	}
	return fmt.Sprintf("format tag 0x%04X", tag)
}
