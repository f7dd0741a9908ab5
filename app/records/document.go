package records

import (
	"bytes"
	"encoding/json"
	"fmt"

	"stillroom/app/rig"
	"stillroom/app/take"
)

// packTake is a take without its samples, as JSON.
func packTake(t *take.Take) ([]byte, error) {
	bare := *t
	bare.Capture.Channels = nil
	document, err := json.Marshal(bare)
	if err != nil {
		return nil, fmt.Errorf("the take holds a value that cannot be written: %w", err)
	}
	return document, nil
}

// unpackTake is the inverse of packTake. A field that this version does not know
// is refused: to drop it could change what the recording means.
func unpackTake(document []byte) (*take.Take, error) {
	var t take.Take
	if err := unpack(document, &t); err != nil {
		return nil, err
	}
	return &t, nil
}

// unpackRig reads a rig from its JSON, with the same care.
func unpackRig(document []byte) (rig.Rig, error) {
	var r rig.Rig
	err := unpack(document, &r)
	return r, err
}

func unpack(document []byte, into any) error {
	decoder := json.NewDecoder(bytes.NewReader(document))
	decoder.DisallowUnknownFields()
	if err := decoder.Decode(into); err != nil {
		return fmt.Errorf("its description cannot be read by this version: %w", err)
	}
	return nil
}
