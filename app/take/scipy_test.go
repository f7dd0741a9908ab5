package take

import (
	"encoding/binary"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"stillroom/app/audio/simulated"
	"stillroom/dsp/impulse"
	"stillroom/dsp/response"
)

// job is what testdata/scipy/sweep_analysis.py reads: one take as samples and
// numbers.
type job struct {
	Rate        float64    `json:"rate"`
	StartHz     float64    `json:"startHz"`
	EndHz       float64    `json:"endHz"`
	DurationS   float64    `json:"durationS"`
	Peak        float64    `json:"peak"`
	Stimulus    string     `json:"stimulus"`
	Recording   string     `json:"recording"`
	QuietFile   string     `json:"quietFile"`
	DelayS      float64    `json:"delayS"`
	Gate        [4]float64 `json:"gate"`
	PauseS      float64    `json:"pauseS"`
	Orders      int        `json:"orders"`
	Frequencies []float64  `json:"frequencies"`
	Rounds      int        `json:"rounds"`
}

// writeJob lays a study down for the script and returns the path of the job.
func writeJob(t testing.TB, s *Study, g Gate, peak float64, f []float64) string {
	t.Helper()
	folder := t.TempDir()
	save := func(name string, x []float64) string {
		path := filepath.Join(folder, name)
		raw := make([]byte, 0, 8*len(x))
		for _, v := range x {
			raw = binary.LittleEndian.AppendUint64(raw, math.Float64bits(v))
		}
		if err := os.WriteFile(path, raw, 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	// the piece of the recording that the deconvolution saw
	lag := int(math.Round((s.delayS - s.lagS) * s.rateHz))
	from := s.stimulus.Layout.Sweeps[0].From + lag
	frames := int(leadS*s.rateHz) + len(s.stimulus.Samples) + int(s.pauseS*s.rateHz)
	j := job{Rate: s.rateHz, StartHz: s.stimulus.Sweep.StartHz, EndHz: s.stimulus.Sweep.EndHz, DurationS: s.stimulus.Sweep.DurationS,
		Peak: peak, Stimulus: save("stimulus", s.stimulus.Samples), Recording: save("recording", s.recording[from:from+frames]),
		QuietFile: save("quiet", s.recording[s.quiet.From:s.quiet.To]), DelayS: s.lagS,
		Gate: [4]float64{g.OpenS, g.CloseS, g.OpenTaperS, g.CloseTaperS}, PauseS: s.pauseS, Orders: 9, Frequencies: f, Rounds: 7}
	raw, err := json.Marshal(j)
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(folder, "job.json")
	if err := os.WriteFile(path, raw, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// scipy runs the script and reads its answer.
func scipy(t testing.TB, mode, path string, answer any) {
	t.Helper()
	cmd := exec.Command("/usr/bin/python3", "../../testdata/scipy/sweep_analysis.py", mode, path)
	cmd.Stderr = os.Stderr
	// what a machine sets for other libraries would slow numpy down
	for _, v := range os.Environ() {
		if len(v) < 9 || v[:9] != "OPENBLAS_" {
			cmd.Env = append(cmd.Env, v)
		}
	}
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("scipy's opinion is needed (Debian package python3-scipy): %v", err)
	}
	if err := json.Unmarshal(out, answer); err != nil {
		t.Fatal(err)
	}
}

// The same recordings through numpy and scipy: response and harmonics agree within
// 0.005 dB.
func TestAgainstScipy(t *testing.T) {
	for _, subject := range []string{"two-way", "woofer", "headphone"} {
		sim, r := simulatedRig(t, simulated.Options{Subject: subject, Serial: "HR6-00007", Seed: 5})
		p := DefaultProgramme(r)
		p.LevelDBFS = -8
		one := record(t, sim, r, p)
		s, err := NewStudy(one)
		if err != nil {
			t.Fatal(err)
		}
		f := logSpace(25, 19000, 120)
		a, err := s.AnalyseAt(Settings{Gate: Gate{Auto: true}, Orders: 9}, f)
		if err != nil {
			t.Fatal(err)
		}
		var want struct {
			MagnitudeDb, PhaseDeg []float64
			Harmonics             [][]*float64
		}
		scipy(t, "at", writeJob(t, s, a.Settings.Gate, p.Amplitude(), f), &want)
		db, deg, harmonic, compared := 0.0, 0.0, 0.0, 0
		for i := range f {
			db = math.Max(db, math.Abs(a.Response.MagnitudeDB[i]-want.MagnitudeDb[i]))
			deg = math.Max(deg, math.Abs(math.Remainder(a.Response.PhaseDeg[i]-want.PhaseDeg[i], 360)))
			for k, h := range a.Harmonics {
				if v := want.Harmonics[k][i]; v != nil && !math.IsNaN(h.LevelDB[i]) {
					harmonic = math.Max(harmonic, math.Abs(h.LevelDB[i]-*v))
					compared++
				}
			}
		}
		t.Logf("%s: response %.5f dB, %.4f°; %d harmonic levels %.5f dB", subject, db, deg, compared, harmonic)
		if !(db < 0.005) || !(deg < 0.05) || !(harmonic < 0.005) || compared < 100 {
			t.Errorf("%s: response %.5f dB, %.4f°; %d harmonic levels %.5f dB from scipy's", subject, db, deg, compared, harmonic)
		}
	}
}

// The same work in the same run, here and in numpy and scipy: deconvolution, gate,
// 1/24 octave, orders 2 to 9 and noise floor of one take. The metric "of-scipy" is
// our time over its; "whole" is all that the window does with a take, its judgement
// included.
func BenchmarkAnalysis(b *testing.B) {
	for _, c := range []struct {
		name       string
		rate, secs float64
	}{{"5s-48kHz", 48000, 5}, {"20s-96kHz", 96000, 20}} {
		sim, r := simulatedRig(b, simulated.Options{Subject: "two-way", Serial: "HR6-00007", Seed: 5})
		r.RateHz = c.rate
		p := DefaultProgramme(r)
		p.DurationS = c.secs
		one, err := Record(b.Context(), sim, r, p, Subject{}, nil)
		if err != nil {
			b.Fatal(err)
		}
		s, err := NewStudy(one)
		if err != nil {
			b.Fatal(err)
		}
		set := DefaultSettings()
		a, err := s.Analyse(set)
		if err != nil {
			b.Fatal(err)
		}
		var reference struct{ Seconds, SecondsKept float64 }
		scipy(b, "bench", writeJob(b, s, a.Settings.Gate, p.Amplitude(), nil), &reference)
		f := logSpace(20, 20000, 960)
		ours := func(b *testing.B, kept *impulse.Deconvolver, theirs float64) {
			for b.Loop() {
				sameWork(s, kept, a.Settings.Gate, f)
			}
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/theirs, "of-scipy")
			b.ReportMetric(theirs*1e3, "scipy-ms")
		}
		b.Run(c.name, func(b *testing.B) { ours(b, nil, reference.Seconds) })
		kept := impulse.NewDeconvolver(s.stimulus.Samples, s.rateHz, len(s.mean), s.stimulus.Band)
		b.Run(c.name+"/sweep-kept", func(b *testing.B) { ours(b, kept, reference.SecondsKept) })
		b.Run(c.name+"/whole", func(b *testing.B) {
			for b.Loop() {
				again, err := NewStudy(one)
				if err != nil {
					b.Fatal(err)
				}
				if _, err := again.Analyse(set); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(c.name+"/other-gate", func(b *testing.B) {
			for b.Loop() {
				if _, err := s.Analyse(set); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// sameWork is what the script does, with what the program does it with.
func sameWork(s *Study, kept *impulse.Deconvolver, g Gate, f []float64) {
	if kept == nil {
		kept = impulse.NewDeconvolver(s.stimulus.Samples, s.rateHz, len(s.mean), s.stimulus.Band)
	}
	again := *s
	again.impulse, again.density = kept.Impulse(s.mean), kept.Density
	again.noise = response.DensityOf(s.recording[s.quiet.From:s.quiet.To], s.rateHz)
	piece := again.impulse.Gated(s.lagS, impulse.Gate{OpenS: g.OpenS, CloseS: g.CloseS, OpenTaperS: g.OpenTaperS, CloseTaperS: g.CloseTaperS})
	again.response(piece, Settings{Gate: g, Smoothing: 24}, f, 0)
	again.harmonics(Settings{Gate: g, Smoothing: 24, Orders: 9}, f)
}
