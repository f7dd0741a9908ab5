package rig

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

// Sizes of what is read as a curve.
const (
	maxCurveBytes  = 8 << 20
	maxCurvePoints = 200_000
)

// readLines reads a text in UTF-8, UTF-16 or Latin-1, with any line ends, into
// lines without them.
func readLines(from io.Reader) ([]string, error) {
	raw, err := io.ReadAll(io.LimitReader(from, maxCurveBytes+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("the curve cannot be read: %w", err)
	case len(raw) > maxCurveBytes:
		return nil, errors.New("the curve is longer than 8 MiB: choose the text file with the microphone's curve")
	}
	text, err := decodeText(raw)
	if err != nil {
		return nil, err
	}
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(text)
	return strings.Split(text, "\n"), nil
}

// decodeText finds the encoding by the byte order mark, or by the zero bytes that
// UTF-16 has in every plain letter. What is no UTF-8 is taken as Latin-1.
func decodeText(raw []byte) (string, error) {
	switch {
	case bytes.HasPrefix(raw, []byte{0xEF, 0xBB, 0xBF}):
		raw = raw[3:]
	case bytes.HasPrefix(raw, []byte{0xFF, 0xFE}):
		raw = narrow(raw[2:], binary.LittleEndian)
	case bytes.HasPrefix(raw, []byte{0xFE, 0xFF}):
		raw = narrow(raw[2:], binary.BigEndian)
	case len(raw) >= 4 && raw[1] == 0 && raw[3] == 0:
		raw = narrow(raw, binary.LittleEndian)
	case len(raw) >= 4 && raw[0] == 0 && raw[2] == 0:
		raw = narrow(raw, binary.BigEndian)
	}
	if bytes.IndexByte(raw, 0) >= 0 {
		return "", errors.New("this is no text: choose the text file with the microphone's curve")
	}
	if utf8.Valid(raw) {
		return string(raw), nil
	}
	out := make([]rune, len(raw))
	for i, b := range raw {
		out[i] = rune(b)
	}
	return string(out), nil
}

// narrow turns UTF-16 into UTF-8. A last odd byte is dropped.
func narrow(raw []byte, order binary.ByteOrder) []byte {
	units := make([]uint16, len(raw)/2)
	for i := range units {
		units[i] = order.Uint16(raw[2*i:])
	}
	return []byte(string(utf16.Decode(units)))
}
