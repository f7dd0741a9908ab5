// Package take is the measurement itself: play, record, keep raw, analyse again.
//
// A Take is raw: what was played, what was recorded, with which rig, by whom and
// when. All that is drawn or judged is derived from it by a Study, with Settings
// that can be changed later without touching the recording. The same take and the
// same settings give the same bits.
package take

import (
	"time"

	"stillroom/app/audio"
	"stillroom/app/model"
	"stillroom/app/rig"
	"stillroom/dsp/excitation"
)

// Take is one measurement of one unit at one position, as it was recorded.
type Take struct {
	ID      string    // unique, sortable by time; given when it is kept
	At      time.Time // when the recording began, UTC
	Person  string
	Subject Subject
	Rig     rig.Rig // as it was

	// Programme regenerates what was played, bit for bit; PlayedSHA256 proves it.
	Programme    excitation.Programme
	PlayedSHA256 string

	Capture  audio.Capture // untouched
	Settings Settings      // with which it was kept
	Version  string        // of the program that recorded it

	Series Series `json:",omitzero"` // of which it is one seating; none where it stands alone

	// Foreign is what was played, of a recording that was made elsewhere; Programme is
	// empty then. Impulses stand in place of a recording that is not there.
	Foreign  *Foreign  `json:",omitzero"`
	Impulses *Impulses `json:",omitzero"`

	// Override is why a void take was kept all the same; it stays on it for ever.
	Override string `json:",omitzero"`
}

// Foreign is a stimulus of another program, at the rate of the recording.
type Foreign struct {
	File    string // name of the file that it came from
	Samples Floats // full scale ±1
}

// Subject is what was measured, and from where.
type Subject struct {
	Model    string
	Serial   string
	Batch    string
	AngleDeg float64
	Note     string
	Side     Side `json:",omitzero"` // of a headphone

	// Limits are those that the take was recorded under.
	Limits model.Limits `json:",omitzero"`
}

// Severity of a finding.
type Severity string

// The severities, from harmless to "do not use".
const (
	Note   Severity = "note"
	Remark Severity = "remark"
	Void   Severity = "void"
)

// Finding is something a take says about its own quality.
type Finding struct {
	Code     string   `json:"code"`
	Severity Severity `json:"severity"`
	Value    float64  `json:"value"`
	Unit     string   `json:"unit"`
	Message  string   `json:"message"` // what it is, what it does to the result, what to do
}
