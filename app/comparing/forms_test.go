package comparing

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"image/png"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"stillroom/app/board"
	"stillroom/app/desk"
)

// Every form, filled in with what is there, changes nothing; with another value it
// changes that, in one step that is undone as one.
func TestFormsChangeOneThingAndAreUndone(t *testing.T) {
	table, _, _ := laid(t)
	forms := map[string]func() []desk.Field{
		"align": func() []desk.Field {
			return table.SetAlign(AlignForm{On: "off", FromHz: "400", ToHz: "4000", CloseFromHz: "300", CloseTo: "9000"})
		},
		"smoothing": func() []desk.Field { table.SetSmoothing("erb"); return nil },
		"gate": func() []desk.Field {
			f := table.State().GateForm()
			f.Kind, f.CloseMS = string(board.Fixed), "4,7"
			return table.SetGate(f)
		},
		"trace": func() []desk.Field {
			return table.SetTrace("2", TraceForm{Name: "Proto B", OffsetDB: "-3", Color: "4", Dash: "2"})
		},
		"charts": func() []desk.Field {
			f := table.State().ChartsForm()
			f.Views, f.Unit, f.LastsMS = append(f.Views, string(board.DecayView)), inPercent, "8"
			return table.SetCharts(f)
		},
		"target": func() []desk.Field {
			return table.SetTarget(TargetForm{Target: publishedAs + board.Published()[1].Name, Mean: true})
		},
		"average":    func() []desk.Field { return table.AddAverage([]string{"1", "2"}, string(board.PowerMean)) },
		"difference": func() []desk.Field { return table.AddDifference("1", "2") },
		"sum": func() []desk.Field {
			return table.AddSum([]PartForm{{Trace: "1", DelayMS: "0.1"}, {Trace: "2", GainDB: "-2", Polarity: inverted}, {Trace: NoTrace}})
		},
		"join": func() []desk.Field {
			return table.AddJoin(JoinForm{Cone: "1", Far: "2", Port: NoTrace, ConeRadiusMM: "65", BaffleWidthMM: "200"})
		},
	}
	for name, change := range forms {
		before := table.State().Board
		if wrong := change(); len(wrong) > 0 {
			t.Errorf("%s: %v", name, wrong)
			continue
		}
		if reflect.DeepEqual(table.State().Board, before) {
			t.Errorf("%s changes nothing", name)
		}
		if err := table.State().Board.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		table.Undo(t.Context())
		if !reflect.DeepEqual(table.State().Board, before) {
			t.Errorf("%s is not undone", name)
		}
	}
	table.Wait()
}

// What cannot be used is told at its line, and nothing is changed.
func TestFormsTellWhatIsWrong(t *testing.T) {
	table, _, _ := laid(t)
	before := table.State().Board
	for want, wrong := range map[string][]desk.Field{
		"To":                 table.SetAlign(AlignForm{FromHz: "2000", ToHz: "500", CloseFromHz: "200", CloseTo: "900"}),
		"Closeness from":     table.SetAlign(AlignForm{FromHz: "500", ToHz: "2000", CloseFromHz: "low", CloseTo: "900"}),
		"Closes":             table.SetGate(GateForm{Kind: string(board.Fixed), CloseMS: "0", Level: levelAsKept}),
		"Periods":            table.SetGate(GateForm{Kind: string(board.Cycles), Periods: "900", Level: levelAsKept}),
		"Offset":             table.SetTrace("1", TraceForm{Name: "a", OffsetDB: "loud", Color: "0", Dash: "0"}),
		"Name":               table.SetTrace("1", TraceForm{Name: "Wren tweeter, WRT-2202", OffsetDB: "0", Color: "0", Dash: "0"}),
		"Charts":             table.SetCharts(ChartsForm{}),
		"Made of":            table.AddAverage([]string{"1"}, string(board.PowerMean)),
		"Made of ":           table.AddDifference("1", "1"),
		"Delay 2":            table.AddSum([]PartForm{{Trace: "1"}, {Trace: "2", DelayMS: "x"}}),
		"Cone radius":        table.AddJoin(JoinForm{Cone: "1", Far: "2", ConeRadiusMM: "0"}),
		"Made of, join":      table.AddJoin(JoinForm{Cone: "1", Far: "1", ConeRadiusMM: "65"}),
		"File":               table.AddFile(""),
		"File, gone":         table.AddFile("/nowhere/at all.txt"),
		"File of a target":   table.SetTarget(TargetForm{Target: targetFile, File: "/nowhere/target.txt"}),
		"Name, of the board": table.SetName("  "),
	} {
		name, _, _ := strings.Cut(strings.TrimSpace(want), ",")
		if len(wrong) == 0 || !strings.HasPrefix(name, wrong[0].Name) || wrong[0].Message == "" {
			t.Errorf("%s: %v", want, wrong)
		}
	}
	if !reflect.DeepEqual(table.State().Board, before) {
		t.Error("a wrong form has changed the board")
	}
}

// A curve from a file stands at its levels; an impulse of one sample is level and has no
// delay. Both stay with the board.
func TestFilesAreLaidOnTheBoard(t *testing.T) {
	d, _ := shop(t)
	table := New(t.Context(), d)
	folder := t.TempDir()
	curve := filepath.Join(folder, "target.txt")
	if err := os.WriteFile(curve, []byte("20 80\n1000 90\n20000 100\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	click := filepath.Join(folder, "click.wav")
	if out, err := exec.Command("/usr/bin/python3", "-c", fmt.Sprintf(`
import numpy, scipy.io.wavfile
x = numpy.zeros(4800, dtype=numpy.float32); x[480] = 0.5
scipy.io.wavfile.write(%q, 48000, x)`, click)).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, path := range []string{curve, click} {
		if wrong := table.AddFile(path); len(wrong) > 0 {
			t.Fatal(wrong)
		}
	}
	table.SetAlign(AlignForm{On: "off", FromHz: "500", ToHz: "2000", CloseFromHz: "200", CloseTo: "9000"})
	table.SetSmoothing("0")
	table.Wait()
	s := table.State()
	if f := s.Result.Findings(); len(f) > 0 && f[0].Verdict == desk.Void {
		t.Fatal(f)
	}
	_, rows := s.Result.AtCursor(1000)
	if rows[0] != (desk.Row{Label: "target", Value: "90.0 dB"}) || rows[1] != (desk.Row{Label: "click", Value: "-6.0 dB"}) {
		t.Errorf("%v", rows)
	}
}

// The difference of two traces, exported as a table, is the difference of their levels in
// the table of the magnitude.
func TestExportOfWhatIsSeen(t *testing.T) {
	table, _, _ := laid(t)
	table.SetName("spacer: trials")
	table.Wait()
	s := table.State()
	folder := t.TempDir()
	if path := s.ExportForm().Path; filepath.Base(path) != "spacer- trials.pdf" {
		t.Errorf("suggested %q", path)
	}
	form := s.ExportForm().WithKind(CSV)
	form.Path = filepath.Join(folder, "trials.csv")
	shown := s.Result.Charts
	if wrong := table.CheckExport(form, shown); len(wrong) > 0 {
		t.Fatal(wrong)
	}
	if err := table.Export(t.Context(), form, shown); err != nil {
		t.Fatal(err)
	}
	magnitude, difference := readTable(t, filepath.Join(folder, "trials-magnitude.csv")), readTable(t, filepath.Join(folder, "trials-difference.csv"))
	compared := 0
	for hz, levels := range magnitude {
		d, ok := difference[hz]
		if !ok || len(d) < 4 || math.IsNaN(d[2]) { // after the band of uncertainty
			continue
		}
		if want := levels[1] - levels[0]; math.Abs(d[2]-want) > 1e-9 {
			t.Fatalf("at %v Hz the difference is %v, want %v", hz, d[2], want)
		}
		compared++
	}
	if compared < 500 {
		t.Errorf("%d rows were compared", compared)
	}
	if wrong := table.CheckExport(form, shown); len(wrong) != 1 || wrong[0].Name != "File" {
		t.Errorf("a file that is there is written over: %v", wrong)
	}
	form.Over = writeOver
	if wrong := table.CheckExport(form, shown); len(wrong) > 0 {
		t.Errorf("%v", wrong)
	}
}

// readTable reads the numbers of a table by their frequency.
func readTable(t *testing.T, path string) map[float64][]float64 {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	out := map[float64][]float64{}
	for _, row := range rows[1:] {
		var values []float64
		for _, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				v = math.NaN()
			}
			values = append(values, v)
		}
		out[values[0]] = values[1:]
	}
	return out
}

// Pictures have the size that was asked for; the other kinds begin as their standards
// say (PDF: ISO 32000-1, 7.5.2; SVG is XML).
func TestExportOfPictures(t *testing.T) {
	table, _, _ := laid(t)
	shown := table.State().Result.Charts
	folder := t.TempDir()
	for kind, begins := range map[string]string{PNG: "\x89PNG", SVG: "<", PDF: "%PDF-"} {
		form := table.State().ExportForm().WithKind(kind)
		form.Path, form.Width, form.Height, form.Fineness = filepath.Join(folder, "trials."+kind), "800", "600", "2"
		if wrong := table.CheckExport(form, shown); len(wrong) > 0 {
			t.Fatal(wrong)
		}
		if err := table.Export(t.Context(), form, shown); err != nil {
			t.Fatal(err)
		}
		text, err := os.ReadFile(form.Path)
		if err != nil || !strings.HasPrefix(string(text), begins) {
			t.Errorf("%s: %v, begins %q", kind, err, text[:min(len(text), 8)])
		}
		if kind != PNG {
			continue
		}
		if size, err := png.DecodeConfig(bytes.NewReader(text)); err != nil || size.Width != 1600 || size.Height != 1200 {
			t.Errorf("%d × %d, %v", size.Width, size.Height, err)
		}
	}
	form := table.State().ExportForm()
	form.Path = filepath.Join(folder, "nowhere", "x.pdf")
	if wrong := table.CheckExport(form, shown); len(wrong) != 1 || !strings.Contains(wrong[0].Message, "no folder") {
		t.Errorf("%v", wrong)
	}
	if left, _ := filepath.Glob(filepath.Join(folder, ".stillroom-*")); len(left) > 0 {
		t.Errorf("left behind: %v", left)
	}
}
