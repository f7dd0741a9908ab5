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
	Findings     []findingJSON  `json:"findings"`
	Gate         gateJSON       `json:"gate"`
	Reflection   *reflection    `json:"reflection"`
	Response     responseJSON   `json:"response"`
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
	ValidFromHz number   `json:"validFromHz"`
	ValidToHz   number   `json:"validToHz"`
	Smoothing   int      `json:"smoothing"` // 1/n octave; 0: none
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
}

// documentOf lays an analysis down for --json. In the response what lies outside
// its valid range is null, as is every value that cannot be known.
func documentOf(a *take.Analysis) document {
	r := a.Response
	d := document{
		SampleRateHz: number(a.RateHz), DelayS: number(a.DelayS), Polarity: a.Polarity, DriftPPM: number(a.DriftPPM),
		Excitation: excitationJSON{a.Excitation.Kind, number(a.Excitation.StartHz), number(a.Excitation.EndHz), number(a.Excitation.DurationS)},
		Findings:   []findingJSON{}, Harmonics: []harmonicJSON{},
		Gate: gateJSON{a.Settings.Gate.Auto, number(a.Settings.Gate.OpenS), number(a.Settings.Gate.CloseS)},
		Response: responseJSON{numbers(r.FrequencyHz), numbers(r.MagnitudeDB), numbers(r.PhaseDeg), numbers(r.GroupS),
			number(r.ValidFromHz), number(r.ValidToHz), a.Settings.Smoothing},
		Noise:    noiseJSON{numbers(a.Noise.FrequencyHz), numbers(a.Noise.LevelDB), number(a.Noise.RMSDBFS), number(a.Noise.SNRDB)},
		Readings: readingsJSON{number(a.Readings.MeanDB), number(a.Readings.LowHz), number(a.Readings.HighHz), number(a.Noise.PeakDBFS)},
	}
	for _, f := range a.Findings {
		d.Findings = append(d.Findings, findingJSON{f.Code, string(f.Severity), number(f.Value), f.Unit, f.Message})
	}
	if x := a.Reflection; x != nil {
		d.Reflection = &reflection{number(x.DelayS), number(x.LevelDB), number(x.PathM)}
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

func harmonicOf(h take.Harmonic) harmonicJSON {
	return harmonicJSON{h.Order, numbers(h.FrequencyHz), numbers(h.LevelDB), numbers(h.FloorDB), number(h.FromHz), number(h.ToHz)}
}
