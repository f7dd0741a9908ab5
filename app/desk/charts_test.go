package desk_test

import (
	"math"
	"strings"
	"testing"

	"stillroom/app/chart"
	"stillroom/app/desk"
	"stillroom/app/take"
)

// sample is a small analysis with a gate of 5 ms.
func sample() *take.Analysis {
	f := []float64{20, 200, 2000, 20000}
	return &take.Analysis{
		Settings:   take.Settings{Gate: take.Gate{OpenS: -0.002, CloseS: 0.005}, Smoothing: 24},
		Excitation: take.Excitation{StartHz: 20, EndHz: 20000},
		Impulse:    take.Impulse{TimeS: []float64{-0.1, 0, 0.001, 0.1}, Value: []float64{9, -0.5, 0.25, 9}},
		Reflection: &take.Reflection{DelayS: 0.006, PathM: 2.06},
		Response:   take.Response{FrequencyHz: f, MagnitudeDB: []float64{-30, -12, -11, -13}, PhaseDeg: []float64{170, -170, 0, 10}, ValidFromHz: 200, ValidToHz: 16000},
		Harmonics: []take.Harmonic{
			{Order: 2, FrequencyHz: f, LevelDB: []float64{-20, -40, -45, -50}, FloorDB: []float64{-80, -80, -80, -80}, FromHz: 100, ToHz: 9000},
			{Order: 7, FrequencyHz: f, LevelDB: []float64{-20, -40, -45, -50}, FloorDB: []float64{-80, -80, -80, -80}, FromHz: 100, ToHz: 2000},
		},
	}
}

func TestChartsShowWhatIsValidAndSayWhyNot(t *testing.T) {
	_, response, distortion := desk.TakeCharts(sample())
	if len(response.Shades) != 2 || !strings.Contains(response.Shades[0].Why, "below 200 Hz the gate is too short") || !strings.Contains(response.Shades[1].Why, "above 16.0 kHz nothing was played") {
		t.Errorf("shades: %+v", response.Shades)
	}
	if y := response.Y; y.Max < -11 || y.Min > -30 || math.Mod(y.Max, 10) != 0 {
		t.Errorf("level axis from %v to %v", y.Min, y.Max)
	}
	if !strings.Contains(response.Subtitle, "not calibrated") {
		t.Errorf("subtitle %q", response.Subtitle)
	}
	if len(distortion.Traces) != 2 || distortion.Traces[1].Name != "2nd" {
		t.Fatalf("traces: %+v", distortion.Traces)
	}
	y := distortion.Traces[1].Y
	if !math.IsNaN(y[0]) || y[1] != -40 || !math.IsNaN(y[3]) {
		t.Errorf("outside its range a harmonic is drawn: %v", y)
	}
}

func TestImpulseChartIsTheVisiblePartWithItsPeakAtOne(t *testing.T) {
	a := sample()
	a.Impulse.Value[0], a.Impulse.Value[3] = 0.1, 0.1
	impulse, _, _ := desk.TakeCharts(a)
	tr := impulse.Traces[0]
	if len(tr.X) != 2 || tr.Y[0] != -1 || tr.Y[1] != 0.5 || tr.Color != chart.Ink {
		t.Errorf("impulse %v at %v", tr.Y, tr.X)
	}
	if len(impulse.Marks) != 1 || impulse.Marks[0].X != 6 {
		t.Errorf("marks %+v", impulse.Marks)
	}
	a.Settings.Gate.CloseS = 0.3
	if long, _, _ := desk.TakeCharts(a); long.X.Max < 300 {
		t.Errorf("a gate of 300 ms lies outside a chart up to %v ms", long.X.Max)
	}
}

func TestEmptyChartsKeepTheirSheets(t *testing.T) {
	full, empty := desk.ResponseChart(sample()), desk.ResponseChart(nil)
	if empty.X != full.X || len(empty.Traces) != 0 {
		t.Error("an empty sheet has another frequency axis")
	}
}

func TestFindingsSayTheWorstFirstAndWhatIsClean(t *testing.T) {
	a := sample()
	a.Noise = take.Noise{SNRDB: 34.4, SNRFromHz: 20, SNRToHz: 40}
	a.Findings = []take.Finding{
		{Code: "gate-short", Severity: take.Note, Message: "The gate is short. Move the microphone."},
		{Code: "hum", Severity: take.Remark, Message: "Mains hum at 150 Hz, 48 dB under the signal. Move the cable."},
	}
	rows := desk.FindingRows(a, 2)
	if rows[0].Verdict != desk.Remark || rows[0].Lead != "Mains hum at 150 Hz" || rows[1].Lead != "The gate is short." {
		t.Errorf("findings: %+v", rows[:2])
	}
	var clean []string
	for _, r := range rows[2:] {
		clean = append(clean, r.Text)
	}
	want := "Level, clipping, lost samples: clean|Signal to noise 34 dB in the worst octave, 20–40 Hz|2 repeats agree"
	if got := strings.Join(clean, "|"); got != want {
		t.Errorf("clean: %s", got)
	}
	if desk.Worst(a.Findings) != desk.Remark || desk.Worst(nil) != desk.Clean {
		t.Error("the worst finding is not told")
	}
}
