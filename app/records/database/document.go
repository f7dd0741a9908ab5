package database

import (
	"bytes"
	"encoding/json"
	"fmt"

	"stillroom/app/take"
)

// longDocument is from how many bytes on a document is compressed.
const longDocument = 8 << 10

// packTake is a take without its samples: JSON, in a zstd frame (RFC 8878) where it
// is long.
func (p *packer) packTake(t *take.Take) ([]byte, error) {
	bare := *t
	bare.Capture.Channels = nil
	document, err := json.Marshal(bare)
	if err != nil {
		return nil, fmt.Errorf("the take holds a value that cannot be written: %w", err)
	}
	if len(document) >= longDocument {
		return p.encoder.EncodeAll(document, nil), nil
	}
	return document, nil
}

// unpackTake is the inverse of packTake. A field that this version does not know
// is refused: to drop it could change what the recording means.
func (p *packer) unpackTake(document []byte) (*take.Take, error) {
	if bytes.HasPrefix(document, []byte{0x28, 0xb5, 0x2f, 0xfd}) { // RFC 8878, 3.1.1: magic number
		var err error
		if document, err = p.decoder.DecodeAll(document, nil); err != nil {
			return nil, fmt.Errorf("its description cannot be unpacked: %w", err)
		}
	}
	var t take.Take
	if err := unpack(document, &t); err != nil {
		return nil, err
	}
	return &t, nil
}

func unpack(document []byte, into any) error {
	decoder := json.NewDecoder(bytes.NewReader(document))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return fmt.Errorf("its description cannot be read by this version: %w", err)
	}
	return nil
}
