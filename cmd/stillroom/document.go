package main

import (
	"encoding/json"
	"math"

	"stillroom/app/take"
)

// number is a figure in a JSON document: null where it cannot be known.
type number float64

func (n number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

func numbers(v []float64) []number {
	out := make([]number, len(v))
	for i, x := range v {
		out[i] = number(x)
	}
	return out
}

// document is what analyze and take print with --json.
type document struct {
	ID           string         `json:"id,omitempty"` // of a take that was kept
	SampleRateHz number         `json:"sampleRateHz"`
	Excitation   excitationJSON `json:"excitation"`
	DelayS       number         `json:"delayS"`
	Polarity     string         `json:"polarity"`
	DriftPPM     number         `json:"driftPpm"`
	DriftRemoved bool           `json:"driftCorrected"`
	TimeZero     string         `json:"timeZero"` // what phase counts from: "arrival" or "output"
	Repeats      repeatsJSON    `json:"repeats"`
	Findings     []findingJSON  `json:"findings"`
	Gate         gateJSON       `json:"gate"`
	Reflection   *reflection    `json:"reflection"`
	Response     responseJSON   `json:"response"`
	Microphones  []microphone   `json:"microphones,omitempty"` // each of several
	Average      *responseJSON  `json:"average,omitempty"`     // their power mean
	Harmonics    []harmonicJSON `json:"harmonics"`
	THD          *harmonicJSON  `json:"thd"`
	Noise        noiseJSON      `json:"noise"`
	Readings     readingsJSON   `json:"readings"`
}

type excitationJSON struct {
	Kind      string `json:"kind"`
	StartHz   number `json:"startHz"`
	EndHz     number `json:"endHz"`
	DurationS number `json:"durationS"`
}

type findingJSON struct {
	Code     string `json:"code"`
	Severity string `json:"severity"`
	Value    number `json:"value"`
	Unit     string `json:"unit"`
	Message  string `json:"message"`
}

type gateJSON struct {
	Auto   bool   `json:"auto"`
	OpenS  number `json:"openS"`
	CloseS number `json:"closeS"`
}

type reflection struct {
	DelayS  number `json:"delayS"`
	LevelDB number `json:"levelDb"`
	PathM   number `json:"pathM"`
}

type responseJSON struct {
	FrequencyHz []number `json:"frequencyHz"`
	MagnitudeDB []number `json:"magnitudeDb"`
	PhaseDeg    []number `json:"phaseDeg"`
	GroupDelayS []number `json:"groupDelayS"`
	Uncertainty []number `json:"uncertaintyDb"` // expanded, coverage factor 2
	Unit        string   `json:"unit"`
	ValidFromHz number   `json:"validFromHz"`
	ValidToHz   number   `json:"validToHz"`
	Smoothing   int      `json:"smoothing"` // 1/n octave; 0: none
}

type microphone struct {
	Name     string        `json:"name"`
	Response responseJSON  `json:"response"`
	Findings []findingJSON `json:"findings"`
}

type repeatsJSON struct {
	Played   int         `json:"played"`
	Averaged int         `json:"averaged"`
	Bands    []agreement `json:"bands"`
}

type agreement struct {
	FromHz   number `json:"fromHz"`
	ToHz     number `json:"toHz"`
	SpreadDB number `json:"spreadDb"`
}

type harmonicJSON struct {
	Order       int      `json:"order,omitempty"`
	FrequencyHz []number `json:"frequencyHz"`
	LevelDB     []number `json:"levelDb"`
	FloorDB     []number `json:"floorDb,omitempty"`
	FromHz      number   `json:"fromHz"`
	ToHz        number   `json:"toHz"`
}

type noiseJSON struct {
	FrequencyHz []number `json:"frequencyHz"`
	LevelDB     []number `json:"levelDb"`
	RMSDBFS     number   `json:"rmsDbfs"`
	WorstSNRDB  number   `json:"worstSnrDb"`
}

type readingsJSON struct {
	MeanDB   number `json:"meanDb"`
	LowHz    number `json:"lowHz"`
	HighHz   number `json:"highHz"`
	PeakDBFS number `json:"peakDbfs"`

	SensitivityDB number `json:"sensitivityDb"` // 300 Hz to 3 kHz, for 2.83 V at 1 m
	DriveVolts    number `json:"driveVolts"`
	DistanceM     number `json:"distanceM"` // by time of flight
}

// documentOf lays an analysis down for --json. A value that cannot be known is null.
func documentOf(a *take.Analysis) document {
	d := document{
		SampleRateHz: number(a.RateHz), DelayS: number(a.DelayS), Polarity: a.Polarity,
		DriftPPM: number(a.DriftPPM), DriftRemoved: a.Clock.Corrected, TimeZero: a.TimeZero,
		Repeats:    repeatsJSON{a.Repeats.Played, a.Repeats.Averaged, []agreement{}},
		Excitation: excitationJSON{a.Excitation.Kind, number(a.Excitation.StartHz), number(a.Excitation.EndHz), number(a.Excitation.DurationS)},
		Findings:   findingsOf(a.Findings), Harmonics: []harmonicJSON{},
		Gate:     gateJSON{a.Settings.Gate.Auto, number(a.Settings.Gate.OpenS), number(a.Settings.Gate.CloseS)},
		Response: responseOf(a, a.Response),
		Noise:    noiseJSON{numbers(a.Noise.FrequencyHz), numbers(a.Noise.LevelDB), number(a.Noise.RMSDBFS), number(a.Noise.SNRDB)},
		Readings: readingsJSON{number(a.Readings.MeanDB), number(a.Readings.LowHz), number(a.Readings.HighHz), number(a.Noise.PeakDBFS),
			number(a.Readings.SensitivityDB), number(a.Readings.DriveVolts), number(a.Readings.DistanceM)},
	}
	for _, b := range a.Repeats.Bands {
		d.Repeats.Bands = append(d.Repeats.Bands, agreement{number(b.FromHz), number(b.ToHz), number(b.SpreadDB)})
	}
	if x := a.Reflection; x != nil {
		d.Reflection = &reflection{number(x.DelayS), number(x.LevelDB), number(x.PathM)}
	}
	for _, m := range a.Microphones {
		d.Microphones = append(d.Microphones, microphone{m.Name, responseOf(a, m.Response), findingsOf(m.Findings)})
	}
	if a.Average != nil {
		mean := responseOf(a, *a.Average)
		d.Average = &mean
	}
	for _, h := range a.Harmonics {
		d.Harmonics = append(d.Harmonics, harmonicOf(h))
	}
	if len(a.Harmonics) > 0 {
		total := harmonicOf(a.THD)
		d.THD = &total
	}
	return d
}

func findingsOf(all []take.Finding) []findingJSON {
	out := []findingJSON{}
	for _, f := range all {
		out = append(out, findingJSON{f.Code, string(f.Severity), number(f.Value), f.Unit, f.Message})
	}
	return out
}

func responseOf(a *take.Analysis, r take.Response) responseJSON {
	return responseJSON{numbers(r.FrequencyHz), numbers(r.MagnitudeDB), numbers(r.PhaseDeg), numbers(r.GroupS), numbers(r.UncertaintyDB),
		a.Unit, number(r.ValidFromHz), number(r.ValidToHz), a.Settings.Smoothing}
}

func harmonicOf(h take.Harmonic) harmonicJSON {
	return harmonicJSON{h.Order, numbers(h.FrequencyHz), numbers(h.LevelDB), numbers(h.FloorDB), number(h.FromHz), number(h.ToHz)}
}
