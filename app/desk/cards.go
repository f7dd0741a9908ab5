package desk

import (
	"fmt"
	"math"
	"time"

	"stillroom/app/calibrate"
	"stillroom/app/rig"
)

// Todo is the verdict of a card whose work was not done yet; it shows its number.
const Todo = "to do"

// CardView is a card as it is shown.
type CardView struct {
	Card    Card
	Number  int // from 1
	Title   string
	Text    string // what it is, or what to do
	Verdict string // Clean, Remark or Todo
	Result  string
	Age     string
	Advice  string // what to do on the open page
	Caution string // empty: nothing sounds
	Rows    []Row  // of the result that waits, or of what is kept
	Remark  string
	Refused string
	Waits   bool // a result waits to be kept
	Running bool
}

// Cards are the cards of the bench as they stand.
func (d *Desk) Cards(s State) []CardView {
	now := d.now()
	views := []CardView{s.outputView(now), s.interfaceView(now), s.inputView(now), s.curveView(now), s.fixtureView(now), s.noiseView(now), s.levelView(now)}
	for i := range views {
		v := &views[i]
		v.Number = i + 1
		v.Running = s.Bench.Running == v.Card
		if s.Bench.RefusedCard == v.Card {
			v.Refused = s.Bench.Refused
		}
		if f := s.Bench.Found; f != nil && f.Card == v.Card {
			v.Waits, v.Rows, v.Remark = true, f.Rows, f.Remark
		}
	}
	return views
}

// line finds one line of the rig's status.
func (s State) line(what string, channel int, now time.Time) rig.Line {
	for _, l := range s.Rig.Status(now) {
		if l.What == what && l.Channel == channel {
			return l
		}
	}
	return rig.Line{State: rig.Missing, AgeDays: math.NaN()}
}

// stand puts how a calibration stands into a view.
func (v *CardView) stand(l rig.Line, stamp rig.Stamp) {
	switch l.State {
	case rig.Done:
		v.Verdict = Clean
	case rig.Missing:
		v.Verdict, v.Result, v.Age = Todo, "", "not done yet"
		return
	default:
		v.Verdict = Remark
	}
	v.Age = signed(stamp) + ", " + rig.Ago(l.AgeDays)
	if l.State == rig.Old {
		v.Age += ": do it again"
	}
	if l.State == rig.Foreign {
		v.Age = "made on another device, channel or rate: not used"
	}
}

// signed is day and person of a calibration.
func signed(s rig.Stamp) string {
	day := s.At.Local().Format("2 Jan")
	if s.Person == "" {
		return day
	}
	return day + ", " + s.Person
}

func (s State) outputView(now time.Time) CardView {
	v := CardView{Card: OutputCard, Title: "Output voltage", Text: "A steady tone, read on a voltmeter", Caution: calibrate.OutputCaution,
		Advice: "Set a voltmeter to alternating voltage and hold it across the output. Play the tone, wait until the reading is steady, and type it."}
	if c := s.Rig.Calibrations.Output; c != nil {
		v.Text = fmt.Sprintf("Tone of %s at %s, read on a voltmeter", round(c.FrequencyHz), quantity(c.LevelDBFS, 0, "dBFS"))
		v.Result = quantity(c.VoltsAtFS, 2, "V at full scale")
		v.stand(s.line("output", s.Rig.OutputChannel, now), c.Stamp)
		return v
	}
	v.stand(rig.Line{State: rig.Missing}, rig.Stamp{})
	return v
}

func (s State) interfaceView(now time.Time) CardView {
	v := CardView{Card: InterfaceCard, Title: "Interface response", Text: "A sweep over a wire, taken out of every take", Caution: calibrate.LoopCaution,
		Advice: "Connect the output to the input with a wire and nothing else, and start the sweep. Its shape is taken out of every take on that input."}
	c, ok := s.interfaceShown()
	if !ok {
		v.stand(rig.Line{State: rig.Missing}, rig.Stamp{})
		return v
	}
	v.Text = fmt.Sprintf("Sweep over a wire to input %d, taken out of every take on it", c.Channel+1)
	v.Result = flatness(c.Curve)
	l := rig.Line{State: rig.Done, AgeDays: c.AgeDays(now)}
	switch {
	case c.RateHz != s.Rig.RateHz || c.InputDevice != s.Rig.InputDevice || c.OutputDevice != s.Rig.OutputDevice || c.OutputChannel != s.Rig.OutputChannel:
		l.State = rig.Foreign
	case c.Old(now):
		l.State = rig.Old
	}
	v.stand(l, c.Stamp)
	return v
}

// interfaceShown is the response of the interface at the microphone that is looked
// at, else at the loopback.
func (s State) interfaceShown() (rig.InterfaceResponse, bool) {
	for _, channel := range []int{s.Bench.Channel, s.Rig.LoopbackChannel - 1} {
		for _, c := range s.Rig.Calibrations.Interfaces {
			if c.Channel == channel {
				return c, true
			}
		}
	}
	return rig.InterfaceResponse{}, false
}

func (s State) inputView(now time.Time) CardView {
	v := CardView{Card: InputCard, Title: "Microphone level", Text: "An acoustic calibrator, or the microphone's sheet",
		Advice: "Put the calibrator on the microphone, switch it on and hold still for five seconds. Nothing is played. Without one, type what the microphone's sheet and the preamplifier's dial say."}
	if s.Bench.Running == InputCard {
		v.Advice = "Listening to the calibrator: hold still for five seconds."
	}
	for _, c := range s.Rig.Calibrations.Inputs {
		if c.Channel != s.Bench.Channel {
			continue
		}
		v.Text = fmt.Sprintf("From the sheet, input %d", c.Channel+1)
		if k := c.Calibrator; k != nil {
			v.Text = fmt.Sprintf("Calibrator of %s at %s, input %d", quantity(k.LevelDB, 0, "dB"), round(k.NominalHz), c.Channel+1)
		}
		v.Result = quantity(c.PascalAtFS, 2, "Pa at full scale")
		v.stand(s.line("input", c.Channel, now), c.Stamp)
		return v
	}
	v.stand(rig.Line{State: rig.Missing}, rig.Stamp{})
	return v
}

func (s State) curveView(now time.Time) CardView {
	v := CardView{Card: CurveCard, Title: "Microphone curve", Text: "A file of frequency, level and, where it has one, phase",
		Advice: "Choose the file that came with the microphone. Several angles of one microphone add up; one of them is in use."}
	for _, c := range s.Rig.Calibrations.Curves {
		a, ok := c.Current()
		if c.Channel != s.Bench.Channel || !ok {
			continue
		}
		f := a.Curve.FrequencyHz
		v.Text = a.File + ", " + angles(c) + ", " + band(f[0], f[len(f)-1])
		v.Result = degrees(a.AngleDeg) + " in use"
		v.stand(s.line("curve", c.Channel, now), c.Stamp)
		return v
	}
	v.stand(rig.Line{State: rig.Missing}, rig.Stamp{})
	return v
}

// angles lists the angles of a microphone: "0° and 90°".
func angles(c rig.MicrophoneCurve) string {
	out := ""
	for i, a := range c.Angles {
		switch {
		case i == 0:
		case i == len(c.Angles)-1:
			out += " and "
		default:
			out += ", "
		}
		out += degrees(a.AngleDeg)
	}
	return out
}

// AngleChoices are the angles of the microphone that is looked at, and the one in use.
func (s State) AngleChoices() (list []Choice, inUse string) {
	for _, c := range s.Rig.Calibrations.Curves {
		if c.Channel != s.Bench.Channel {
			continue
		}
		for i, a := range c.Angles {
			list = append(list, Choice{plain(a.AngleDeg), degrees(a.AngleDeg) + ", " + a.File})
			if i == c.InUse {
				inUse = plain(a.AngleDeg)
			}
		}
	}
	return list, inUse
}

func (s State) noiseView(now time.Time) CardView {
	v := CardView{Card: NoiseCard, Title: "Noise in this place", Text: "Ten seconds of silence", Verdict: Todo, Age: "not listened to since the start",
		Advice: "Be as quiet as during a take: close the door, switch off what need not run. Nothing is played."}
	seen := s.Bench.Noise
	if seen == nil || seen.Floor.Channel != s.Bench.Channel {
		return v
	}
	n := seen.Floor
	v.Verdict, v.Remark = Clean, n.Remark
	if n.Remark != "" {
		v.Verdict = Remark
	}
	v.Result = noiseText(n)
	v.Age = today(seen.At, now)
	v.Rows = []Row{{"Level", quantity(n.LevelDBFS, 1, "dBFS")}, {"Peak", quantity(n.PeakDBFS, 1, "dBFS")}, {"A-weighted", quantity(n.LevelDBA, 1, "dB(A)")},
		{"Hum", quantity(n.HumDBFS, 1, "dBFS")}, {"Offset", percentOf(n.DCFS)}}
	return v
}

func noiseText(n calibrate.NoiseFloor) string {
	text := quantity(n.LevelDBFS, 0, "dBFS")
	if !math.IsNaN(n.LevelDBA) {
		text = quantity(n.LevelDBA, 0, "dB(A)")
	}
	if n.MainsHz > 0 {
		return text + ", hum " + quantity(n.HumDBFS, 0, "dBFS")
	}
	return text + ", no hum"
}

func (s State) levelView(now time.Time) CardView {
	v := CardView{Card: LevelCard, Title: "Level check", Text: "Short sweeps that rise from quiet until the signal stands clear of the noise", Verdict: Todo, Age: "not done since the start",
		Caution: calibrate.LevelCaution, Advice: "Put the device in its place with the microphone before it. " + fmt.Sprintf("The sweeps cover %s, as the take does.", band(s.Programme.LowHz, s.Programme.HighHz))}
	if seen := s.Bench.Level; seen != nil {
		v.Verdict, v.Result, v.Age, v.Remark = Clean, quantity(seen.Advice.LevelDBFS, 1, "dBFS"), today(seen.At, now), weak(seen.Advice)
		v.Advice = seen.Advice.Text
		if v.Remark != "" {
			v.Verdict = Remark
		}
		v.Rows = levelFound(seen.Advice).Rows
	}
	return v
}

// poorSNRDB is where a level check ends with less than a curve to trust needs.
const poorSNRDB = 40

// weak says of a level check that its signal stands too little out of the noise.
func weak(a calibrate.Advice) string {
	if a.SNRDB >= poorSNRDB {
		return ""
	}
	return fmt.Sprintf("Signal to noise is only %s. The curve will move from take to take.", quantity(a.SNRDB, 0, "dB"))
}

func today(at, now time.Time) string {
	return rig.Ago(now.Sub(at).Hours()/24) + ", " + at.Local().Format("15:04")
}

// flatness is how far a curve lies above and below its level at 1 kHz from 20 Hz to
// 20 kHz: "+0.0 / -0.4 dB, 20 Hz–20 kHz".
func flatness(c rig.Curve) string {
	low, high := math.Inf(1), math.Inf(-1)
	from, to := math.Inf(1), math.Inf(-1)
	reference := c.LevelDB(rig.ReferenceHz)
	for i, f := range c.FrequencyHz {
		if f >= lowestShownHz*0.99 && f <= highestShownHz*1.01 {
			low, high = math.Min(low, c.MagnitudeDB[i]-reference), math.Max(high, c.MagnitudeDB[i]-reference)
			from, to = math.Min(from, f), math.Max(to, f)
		}
	}
	if low > high {
		return unknown
	}
	return "+" + number(math.Max(high, 0), 1) + " / −" + number(math.Max(-low, 0), 1) + " dB, " + band(roundHz(from), roundHz(to))
}

// roundHz gives a band's end to two figures, as people say it.
func roundHz(f float64) float64 {
	step := math.Pow(10, math.Floor(math.Log10(f))-1)
	return math.Round(f/step) * step
}

func change(db float64) string {
	if math.IsNaN(db) {
		return "first time"
	}
	if db >= 0 {
		return "+" + quantity(db, 2, "dB")
	}
	return quantity(db, 2, "dB")
}

func volts(v float64) string {
	if math.Abs(v) < 0.1 {
		return quantity(v*1000, 1, "mV")
	}
	return quantity(v, 3, "V")
}

func percentOf(v float64) string { return quantity(100*v, 3, "%") }
