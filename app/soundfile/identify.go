package soundfile

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"unicode/utf8"
)

// headBytes is how much of a file is looked at to tell what it is.
const headBytes = 512

type family int

const (
	familyRIFF family = iota + 1 // RIFF, RIFX, RF64, BW64 with form type WAVE
	familyIFF                    // FORM with form type AIFF or AIFC
	familyFLAC
)

// kind is what the first bytes of a file tell.
type kind struct {
	family family
	flacAt int64 // where "fLaC" stands
}

// foreign lists the sound files that are known and not read, by what they begin
// with at a given place, and how they are refused.
var foreign = []struct {
	at     int
	magic  string
	name   string
	refuse func(format string, args ...any) error
}{
	{0, "OggS", "an Ogg file", lossy},
	{0, "caff", "a CAF file", unsupported},
	{0, "riff\x2e\x91\xcf\x11", "a Wave64 file", unsupported},
	{0, ".snd", "an AU file", unsupported},
	{0, "dns.", "an AU file", unsupported},
	{0, "DSD ", "a DSD file", unsupported},
	{0, "FRM8", "a DSD file", unsupported},
	{0, "wvpk", "a WavPack file", unsupported},
	{0, "MAC ", "a Monkey's Audio file", unsupported},
	{0, "\x1aE\xdf\xa3", "a Matroska or WebM file", unsupported},
	{0, "0&\xb2u\x8ef\xcf\x11", "a Windows Media file", lossy},
	{0, "\xff\xfb", "an MP3 file", lossy},
	{0, "\xff\xfa", "an MP3 file", lossy},
	{0, "\xff\xf3", "an MP3 file", lossy},
	{0, "\xff\xf2", "an MP3 file", lossy},
	{0, "\xff\xf1", "an AAC file", lossy},
	{0, "\xff\xf9", "an AAC file", lossy},
	{4, "ftyp", "an MP4 or M4A file", unsupported},
}

// identify tells by the first bytes what a file is, or says what it is instead.
func identify(r io.ReaderAt, size int64) (kind, error) {
	if size == 0 {
		return kind{}, noSamples("the file is empty")
	}
	head := make([]byte, min(size, headBytes))
	if err := readAt(r, head, 0); err != nil {
		return kind{}, err
	}
	at := id3Length(head)
	if at > 0 && at+4 <= size {
		tagged := make([]byte, 4)
		if err := readAt(r, tagged, at); err != nil {
			return kind{}, err
		}
		if string(tagged) != "fLaC" {
			return kind{}, lossy("this is an MP3 file")
		}
		return kind{familyFLAC, at}, nil
	}
	switch magic, form := tag(head, 0), tag(head, 8); {
	case magic == "fLaC":
		return kind{family: familyFLAC}, nil
	case isRIFF(magic) && form == "WAVE":
		return kind{family: familyRIFF}, nil
	case magic == "FORM" && (form == "AIFF" || form == "AIFC"):
		return kind{family: familyIFF}, nil
	}
	return kind{}, stranger(head)
}

func isRIFF(magic string) bool {
	return magic == "RIFF" || magic == "RIFX" || magic == "RF64" || magic == "BW64"
}

// stranger is the error for a file that is none of ours.
func stranger(head []byte) error {
	magic := tag(head, 0)
	if len(head) < 12 && (isRIFF(magic) || magic == "FORM") {
		return noSamples("the file ends after %d bytes, before any sample", len(head))
	}
	for _, f := range foreign {
		if len(head) >= f.at && bytes.HasPrefix(head[f.at:], []byte(f.magic)) {
			return f.refuse("this is %s", f.name)
		}
	}
	switch {
	case isRIFF(magic):
		return notSound("this is a RIFF file that holds no sound")
	case magic == "FORM":
		return notSound("this is an IFF file that holds no AIFF sound")
	case isText(head, len(head) == headBytes):
		return notSound("this is a text file, not sound")
	case len(bytes.Trim(head, "\x00")) == 0:
		return notSound("the file begins with nothing but zeros")
	}
	return notSound("this is not a sound file")
}

// tag is the four characters at a place, or "" where there are fewer.
func tag(head []byte, at int) string {
	if len(head) < at+4 {
		return ""
	}
	return string(head[at : at+4])
}

// id3Length is the length of an ID3v2 tag in front (id3.org, ID3v2.4.0 section
// 3.1: "ID3", version, flags, size in four bytes of seven bits), or 0.
func id3Length(head []byte) int64 {
	if len(head) < 10 || string(head[:3]) != "ID3" {
		return 0
	}
	size := binary.BigEndian.Uint32(head[6:])
	return 10 + int64(size&0x7f|(size>>8&0x7f)<<7|(size>>16&0x7f)<<14|(size>>24&0x7f)<<21)
}

// isText tells whether the first bytes of a file look like text. The last of them
// may be half a rune, where the file goes on.
func isText(head []byte, goesOn bool) bool {
	for len(head) > 0 {
		r, n := utf8.DecodeRune(head)
		switch {
		case r == utf8.RuneError && n == 1:
			return goesOn && !utf8.FullRune(head)
		case r < ' ' && r != '\t' && r != '\n' && r != '\r' && r != '\f':
			return false
		}
		head = head[n:]
	}
	return true
}

// readAt fills b from the file. A file that has become shorter is damaged.
func readAt(r io.ReaderAt, b []byte, at int64) error {
	n, err := r.ReadAt(b, at)
	if n == len(b) {
		return nil
	}
	if err == nil || errors.Is(err, io.EOF) {
		return damaged("the file became shorter while it was read")
	}
	return err
}
