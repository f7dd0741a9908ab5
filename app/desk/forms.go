package desk

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"stillroom/app/rig"
	"stillroom/app/take"
	"stillroom/dsp/excitation"
	"stillroom/dsp/level"
)

// Field is one line of a form that cannot be used as it is, and why.
type Field struct {
	Name    string
	Message string
}

// TakeForm is what the Edit dialog of a take holds, as text.
type TakeForm struct {
	Model, Serial, Batch, AngleDeg, Note string
	LowHz, HighHz, LengthS, Repeats      string
	PauseS                               string
}

// TakeForm is the form filled in with what is measured next.
func (s State) TakeForm() TakeForm {
	p := s.Programme
	return TakeForm{
		Model: s.Subject.Model, Serial: s.Subject.Serial, Batch: s.Subject.Batch, Note: s.Subject.Note,
		AngleDeg: plain(s.Subject.AngleDeg),
		LowHz:    plain(p.LowHz), HighHz: plain(p.HighHz), LengthS: plain(p.DurationS), Repeats: strconv.Itoa(p.Repeats), PauseS: plain(p.PauseS),
	}
}

// SetTakeForm uses a form. Where a line cannot be used nothing is changed and the
// lines are returned.
func (d *Desk) SetTakeForm(f TakeForm) []Field {
	s := d.State()
	var r reader
	angle := r.number("Angle", f.AngleDeg, -180, 180, "°")
	p := s.Programme
	half := s.Rig.RateHz / 2
	p.LowHz = r.number("Sweep from", f.LowHz, 1, half*0.5, "Hz")
	p.HighHz = r.number("Sweep to", f.HighHz, 20, half*0.98, "Hz")
	p.DurationS = r.number("Sweep length", f.LengthS, 0.1, 60, "s")
	p.Repeats = int(r.number("Repeats", f.Repeats, 1, 16, ""))
	if f.PauseS != "" {
		p.PauseS = r.number("Pause", f.PauseS, 0, 20, "s; 0 lets the program choose")
	}
	if len(r.wrong) == 0 && p.HighHz < 2*p.LowHz {
		r.add("Sweep to", "a sweep needs an octave at least: set its end to twice its start or higher")
	}
	if len(r.wrong) > 0 {
		return r.wrong
	}
	subject := take.Subject{
		Model: strings.TrimSpace(f.Model), Serial: strings.TrimSpace(f.Serial),
		Batch: strings.TrimSpace(f.Batch), AngleDeg: angle, Note: strings.TrimSpace(f.Note),
	}
	d.change(SubjectTopic, func(s *State) { s.Subject, s.Programme = subject, p })
	return nil
}

// RigForm is what the Rig room holds that is typed, as text.
type RigForm struct {
	Name, Fixture, DistanceM, LevelDBFS, LimitDBFS, Serial string
	MaxVolts, ImpedanceOhm                                 string // empty: not limited, not known
}

// RigForm is the form filled in with the rig in use.
func (s State) RigForm() RigForm {
	r := s.Rig
	return RigForm{
		Name: r.Name, Fixture: r.Fixture, DistanceM: plain(r.DistanceM),
		LevelDBFS: plain(r.LevelDBFS), LimitDBFS: plain(r.LimitDBFS), Serial: r.Simulated.Serial,
		MaxVolts: known(r.MaxVolts), ImpedanceOhm: known(r.RatedImpedanceOhm),
	}
}

// readRig reads a form into a copy of r.
func readRig(r rig.Rig, f RigForm) (rig.Rig, []Field) {
	var in reader
	r.Name, r.Fixture, r.Simulated.Serial = strings.TrimSpace(f.Name), strings.TrimSpace(f.Fixture), strings.TrimSpace(f.Serial)
	if r.Name == "" {
		in.add("Name", "a rig needs a name: it is how takes and the command line find it")
	}
	r.DistanceM = in.number("Distance", f.DistanceM, 0, 100, "m")
	r.LimitDBFS = in.number("Output limit", f.LimitDBFS, -120, 0, "dBFS")
	r.MaxVolts = in.optional("Highest voltage", f.MaxVolts, 0, 200, "V")
	r.RatedImpedanceOhm = in.optional("Impedance", f.ImpedanceOhm, 0, 10000, "Ω")
	r.LevelDBFS = in.drive("Level", f.LevelDBFS, r)
	highest, _ := r.HighestDBFS()
	if len(in.wrong) == 0 && r.LevelDBFS > highest+1e-9 {
		in.add("Level", fmt.Sprintf("the level of %s dBFS is above the output limit of %s dBFS: lower the level, or raise the limit if the driver bears it", number(r.LevelDBFS, 1), number(highest, 1)))
	}
	return r, in.wrong
}

// known writes a figure that may be absent.
func known(v float64) string {
	if v == 0 {
		return ""
	}
	return plain(v)
}

// reader reads numbers and gathers the lines that are wrong.
type reader struct{ wrong []Field }

func (r *reader) add(name, message string) {
	r.wrong = append(r.wrong, Field{name, message})
}

// number reads one number between low and high. A decimal comma is read as a point.
func (r *reader) number(name, text string, low, high float64, unit string) float64 {
	v, err := strconv.ParseFloat(strings.ReplaceAll(strings.TrimSpace(text), ",", "."), 64)
	v = v + 0
	if err != nil || math.IsNaN(v) || v < low || v > high {
		r.add(name, strings.TrimSpace(fmt.Sprintf("type a number from %s to %s %s", plain(low), plain(high), unit)))
		return 0
	}
	return v
}

// optional is number, and 0 where nothing was typed.
func (r *reader) optional(name, text string, low, high float64, unit string) float64 {
	if strings.TrimSpace(text) == "" {
		return 0
	}
	return r.number(name, text, low, high, unit+", or nothing")
}

// drive reads a level: "-12" in dBFS, "2 V", or "1 W" into the rated impedance.
func (r *reader) drive(name, text string, of rig.Rig) float64 {
	word := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "dBFS"))
	bare, volts := strings.CutSuffix(word, "V")
	watts := false
	if !volts {
		bare, watts = strings.CutSuffix(word, "W")
	}
	if !volts && !watts {
		return r.number(name, strings.ReplaceAll(word, "−", "-"), -120, 0, "dBFS, or a voltage as 2 V, or a power as 1 W")
	}
	full := of.Chain(of.InputChannel).VoltsAtFS
	v := r.number(name, bare, 1e-6, 10000, "")
	switch {
	case math.IsNaN(full):
		r.add(name, "volts and watts need a calibrated output: do Output voltage first, or type the level in dBFS")
	case watts && !(of.RatedImpedanceOhm > 0):
		r.add(name, "watts need the rated impedance: type it below, or type the level in dBFS")
	case watts:
		v = level.VoltsForWatts(v, of.RatedImpedanceOhm)
	}
	if len(r.wrong) > 0 {
		return 0
	}
	return math.Round(level.DBFS(v, full)*1000) / 1000
}

// plain writes a number with no more figures than it needs.
func plain(v float64) string {
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// SweepLine tells the sweep in one line: "20 Hz–20 kHz, 2.7 s, −12.0 dBFS, 2 repeats".
func (s State) SweepLine() string {
	drive := quantity(s.Programme.LevelDBFS, 1, "dBFS")
	if v := s.driveVolts(s.Programme.LevelDBFS); !math.IsNaN(v) {
		drive = volts(v)
	}
	return sweepLine(s.Programme, drive)
}

func sweepLine(p excitation.Programme, drive string) string {
	line := fmt.Sprintf("%s, %s s, %s", band(p.LowHz, p.HighHz), plain(p.DurationS), drive)
	if p.Repeats > 1 {
		line += fmt.Sprintf(", %d repeats", p.Repeats)
	}
	return line
}

// SubjectRows are what stands in the head of the Take room: model, serial, angle
// and distance of what is measured next.
func (s State) SubjectRows() []Row {
	return []Row{
		{"Model", orDash(s.Subject.Model)},
		{"Serial", orDash(s.Subject.Serial)},
		{"Angle", degrees(s.Subject.AngleDeg)},
		{"Distance", quantity(s.Rig.DistanceM, 2, "m")},
	}
}

// RateLine is the sample rate of the rig.
func (s State) RateLine() string { return rateText(s.Rig.RateHz) }

func orDash(s string) string {
	if s == "" {
		return unknown
	}
	return s
}

// deviceWord says in short whether all is there.
func (s State) deviceWord() string {
	switch {
	case len(s.Missing) == 0:
		return "Both devices are there"
	case s.Rig.Kind == SoundCard && len(s.Devices) == 0:
		return "No sound device was found"
	case s.Rig.OutputDevice == "" || s.Rig.InputDevice == "":
		return "Choose the devices"
	}
	return "A device is missing"
}

// DeviceLine tells whether the rig's devices are there, and what is wrong if not.
func (s State) DeviceLine() (title, text string, ready bool) {
	title, ready = s.deviceWord(), len(s.Missing) == 0
	for i, m := range s.Missing {
		if i > 0 {
			text += "\n"
		}
		text += strings.ToUpper(m[:1]) + m[1:]
	}
	switch {
	case !ready && s.Rig.Kind == SoundCard && len(s.Devices) == 0:
		text = "Connect an interface, switch it on, and press Look again. If another program uses it alone, close that program."
	case !ready:
	case s.Rig.Kind == Simulated:
		title, text = "A simulated rig: no hardware is used", "It plays, records and disturbs as a real one does, and measures what stands in it."
	default:
		text = "Output: " + deviceName(s.Rig.OutputDevice) + ", channel " + strconv.Itoa(s.Rig.OutputChannel+1) +
			". Input: " + deviceName(s.Rig.InputDevice) + ", channel " + strconv.Itoa(s.Rig.InputChannel+1) + "."
	}
	return title, text, ready
}
