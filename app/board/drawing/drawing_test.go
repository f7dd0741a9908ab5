package drawing

import (
	"bytes"
	"context"
	"flag"
	"image"
	"image/draw"
	"image/png"
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"stillroom/app/audio/simulated"
	"stillroom/app/board"
	"stillroom/app/board/curves"
	"stillroom/app/chart"
	"stillroom/app/rig"
	"stillroom/app/take"
)

// Goldens are the pictures that were looked at. After a wanted change:
//
//	go test ./app/board/drawing -run Golden -update
//
// and look at testdata again.
var update = flag.Bool("update", false, "write the golden pictures anew")

// tweeters are three units of one model, and the first one off axis, as it were: with a
// microphone that is deaf on top.
func tweeters(t testing.TB) func(context.Context, string) (*take.Take, error) {
	t.Helper()
	takes := map[string]*take.Take{}
	for _, serial := range []string{"WRT-2201", "WRT-2202", "WRT-2203"} {
		takes[serial] = measure(t, "tweeter", serial, -20)
	}
	takes["loud"] = measure(t, "tweeter", "WRT-2201", -8)
	return func(_ context.Context, id string) (*take.Take, error) {
		if one, ok := takes[id]; ok {
			return one, nil
		}
		return nil, os.ErrNotExist
	}
}

func measure(t testing.TB, subject, serial string, levelDBFS float64) *take.Take {
	t.Helper()
	sim, err := simulated.New(simulated.Options{Subject: subject, Serial: serial})
	if err != nil {
		t.Fatal(err)
	}
	r := rig.Rig{Name: "bench", Kind: simulated.Kind, OutputDevice: simulated.DeviceID, InputDevice: simulated.DeviceID,
		RateHz: 48000, LevelDBFS: levelDBFS, LimitDBFS: 0, FixtureKind: rig.DampedBox}
	p := take.DefaultProgramme(r)
	p.DurationS, p.LowHz = 1, 100
	one, err := take.Record(t.Context(), sim, r, p, take.Subject{Serial: serial}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return one
}

func trials() board.Board {
	b := board.New("Wren tweeter, spacer trials")
	for i, name := range []string{"Proto A, 0.8 mm spacer", "Proto B, 1.0 mm spacer", "Proto C, felt ring"} {
		b, _ = b.Add(name, board.Source{Take: &board.TakeSource{ID: []string{"WRT-2201", "WRT-2202", "WRT-2203"}[i]}}, chart.Series)
	}
	b.Gate = board.GateRule{Kind: board.Fixed, CloseS: 0.0047}
	return b
}

func TestGoldenCharts(t *testing.T) {
	r := curves.NewReader(tweeters(t), curves.Room)
	target := board.Published()[1]
	for name, b := range map[string]board.Board{
		"board": trials(),
		"phase": trials().WithViews(board.PhaseView, board.UnwrappedView, board.MinimumPhaseView, board.ExcessPhaseView),
		"delay": trials().WithViews(board.GroupDelayView, board.ExcessGroupDelayView),
		"time":  trials().WithViews(board.ImpulseView, board.StepView, board.EnergyTimeView),
		"distortion": func() board.Board {
			b := trials().WithViews(board.HarmonicView(2), board.THDView, board.EIDView, board.CompressionView)
			b, _ = b.Remove("2").Remove("3").Add("Proto A, 12 dB louder", board.Source{Take: &board.TakeSource{ID: "loud"}}, chart.Series)
			b.Distortion.Percent = true
			return b
		}(),
		"maps": trials().WithViews(board.DecayView, board.DecayPeriodsView, board.SpectrogramView),
		"group": func() board.Board {
			b := trials().WithViews(board.MagnitudeView, board.BandLevelsView)
			b.Group, b.Target = board.Group{Mean: true, Extremes: true, Deviation: true}, &target
			return b
		}(),
		"surface": func() board.Board {
			b := trials().WithViews(board.DecayView, board.DecayPeriodsView)
			b.Decay.Surface = true
			return b
		}(),
	} {
		s, err := r.Lay(t.Context(), b)
		if err != nil {
			t.Fatal(err)
		}
		charts, err := Charts(t.Context(), s)
		if err != nil {
			t.Fatal(err)
		}
		var out bytes.Buffer
		if err := chart.WritePNG(&out, chart.Page{WidthMM: 200, DPI: 110, Heading: b.Name, FreeAspect: true}, charts...); err != nil {
			t.Fatal(err)
		}
		golden(t, name, out.Bytes())
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	path := filepath.Join("testdata", name+".png")
	if *update {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	a, b := pixels(t, got), pixels(t, want)
	if a.Rect != b.Rect {
		t.Fatalf("%s: size %v, want %v", name, a.Rect, b.Rect)
	}
	tolerance, count := 0, 0 // other processors fuse multiplications and may round apart
	if runtime.GOARCH != "amd64" {
		tolerance = 2
	}
	for i := range a.Pix {
		if d := int(a.Pix[i]) - int(b.Pix[i]); d > tolerance || d < -tolerance {
			count++
		}
	}
	if count > 0 {
		t.Errorf("%s: %d values differ", name, count)
	}
}

func pixels(t *testing.T, data []byte) *image.RGBA {
	t.Helper()
	img, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	out := image.NewRGBA(img.Bounds())
	draw.Draw(out, out.Rect, img, image.Point{}, draw.Src)
	return out
}
