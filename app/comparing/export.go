package comparing

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"

	"stillroom/app/chart"
	"stillroom/app/desk"
)

// ExportForm is what is written of the charts, and where.
type ExportForm struct {
	Kind          string // of KindChoices
	Which         string // of WhichChoices
	Width, Height string // in units of 1/96 inch; both empty: a sheet of paper
	Fineness      string // of FinenessChoices, of a picture
	Over          string // of OverChoices
	Path          string
}

// The kinds of files.
const (
	PNG = "png"
	SVG = "svg"
	PDF = "pdf"
	CSV = "csv"
)

// KindChoices are the kinds of files that charts are written to.
func KindChoices() []desk.Choice {
	return []desk.Choice{{ID: PDF, Label: "a document (PDF)"}, {ID: PNG, Label: "a picture (PNG)"}, {ID: SVG, Label: "a drawing (SVG)"}, {ID: CSV, Label: "a table of what is seen (CSV)"}}
}

// allCharts is the choice of all charts.
const allCharts = "all"

// WhichChoices are the charts that can be written.
func (s State) WhichChoices() []desk.Choice {
	list := []desk.Choice{{ID: allCharts, Label: "all charts"}}
	if s.Result != nil {
		for i, c := range s.Result.Charts {
			list = append(list, desk.Choice{ID: strconv.Itoa(i), Label: c.Title})
		}
	}
	return list
}

// FinenessChoices are how fine a picture is.
func FinenessChoices() []desk.Choice {
	return []desk.Choice{{ID: "1", Label: "1×"}, {ID: "2", Label: "2×, twice as fine"}, {ID: "3", Label: "3×"}}
}

// The choices for a file that is there already.
const keepOld, writeOver = "keep", "over"

// OverChoices are what is done with a file of the same name.
func OverChoices() []desk.Choice {
	return []desk.Choice{{ID: keepOld, Label: "is kept, and I am told"}, {ID: writeOver, Label: "is written over"}}
}

// ExportForm is a form filled in: a document in the home folder, named as the board is.
func (s State) ExportForm() ExportForm {
	folder, err := os.UserHomeDir()
	if err != nil {
		folder = "."
	}
	name := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, s.Title())
	return ExportForm{Kind: PDF, Which: allCharts, Fineness: "2", Over: keepOld, Path: filepath.Join(folder, name+"."+PDF)}
}

// WithKind is the form for another kind of file: the ending of its path follows.
func (f ExportForm) WithKind(kind string) ExportForm {
	if end := filepath.Ext(f.Path); strings.EqualFold(strings.TrimPrefix(end, "."), f.Kind) {
		f.Path = strings.TrimSuffix(f.Path, end) + "." + kind
	}
	f.Kind = kind
	if kind == PNG && strings.TrimSpace(f.Width+f.Height) == "" {
		f.Width, f.Height = "1600", "1200"
	}
	return f
}

// CheckExport returns the lines of a form that cannot be used. It writes nothing.
func (t *Table) CheckExport(f ExportForm, shown []chart.Chart) []desk.Field {
	var in reader
	in.page(f)
	charts := chosenCharts(f.Which, shown)
	if len(charts) == 0 {
		in.add("File", "there is no chart to write yet: wait until the board is worked out")
	}
	if len(in.wrong) == 0 {
		in.checkFiles(f, t.files(f, charts, chart.Page{}))
	}
	return in.wrong
}

// page is the sheet that a form asks for.
func (r *reader) page(f ExportForm) chart.Page {
	var page chart.Page
	if strings.TrimSpace(f.Width+f.Height) != "" {
		page.WidthPX = int(r.number("Width", f.Width, 200, 12000, ""))
		page.HeightPX = int(r.number("Height", f.Height, 150, 12000, ""))
	}
	page.Scale = r.number("Width", f.Fineness, 1, 4, "times")
	return page
}

// Export writes charts, as they are shown, to a file; of a table with several charts, to
// one file each. The form was checked before.
func (t *Table) Export(_ context.Context, f ExportForm, shown []chart.Chart) error {
	var in reader
	page := in.page(f)
	page.Heading = t.State().Board.Name
	files := t.files(f, chosenCharts(f.Which, shown), page)
	for _, one := range files {
		if err := written(one.path, one.fill); err != nil {
			return t.desk.TellError(fmt.Errorf("the file cannot be written: %w", err))
		}
	}
	t.desk.Tell(fmt.Sprintf("Written: %s.", filesText(files)))
	return nil
}

// toWrite is a file and what goes into it.
type toWrite struct {
	path string
	fill func(io.Writer) error
}

func filesText(files []toWrite) string {
	var paths []string
	for _, f := range files {
		paths = append(paths, f.path)
	}
	return strings.Join(paths, ", ")
}

func chosenCharts(which string, shown []chart.Chart) []chart.Chart {
	if i, err := strconv.Atoi(which); err == nil && i >= 0 && i < len(shown) {
		return shown[i : i+1]
	}
	return shown
}

// files are the files of a form.
func (t *Table) files(f ExportForm, charts []chart.Chart, page chart.Page) []toWrite {
	path := home(f.Path)
	if f.Kind != CSV {
		draw := map[string]func(io.Writer, chart.Page, ...chart.Chart) error{PNG: chart.WritePNG, SVG: chart.WriteSVG, PDF: chart.WritePDF}[f.Kind]
		return []toWrite{{path, func(w io.Writer) error { return draw(w, page, charts...) }}}
	}
	var out []toWrite
	views := t.State().Board.Views
	for i, c := range charts {
		name := path
		if len(charts) > 1 && i < len(views) {
			end := filepath.Ext(path)
			name = strings.TrimSuffix(path, end) + "-" + string(views[i]) + end
		}
		out = append(out, toWrite{name, func(w io.Writer) error { return chart.WriteCSV(w, c) }})
	}
	return out
}

// checkFiles tells of a path that cannot be used.
func (r *reader) checkFiles(f ExportForm, files []toWrite) {
	if strings.TrimSpace(f.Path) == "" {
		r.add("File", "type the path of the file to write")
		return
	}
	if end := strings.ToLower(filepath.Ext(f.Path)); end != "."+f.Kind {
		r.add("File", fmt.Sprintf("the name of the file ends in .%s", f.Kind))
		return
	}
	for _, one := range files {
		if _, err := os.Stat(one.path); err == nil && f.Over != writeOver {
			r.add("File", fmt.Sprintf("there is a file %s already: give another name, or choose that it is written over", filepath.Base(one.path)))
			return
		}
		if info, err := os.Stat(filepath.Dir(one.path)); errors.Is(err, fs.ErrNotExist) || err == nil && !info.IsDir() {
			r.add("File", fmt.Sprintf("there is no folder %s: make it first, or choose another", filepath.Dir(one.path)))
			return
		}
	}
}

// written writes a file in whole or not at all.
func written(path string, fill func(io.Writer) error) error {
	part, err := os.CreateTemp(filepath.Dir(path), ".stillroom-*")
	if err != nil {
		return err
	}
	defer os.Remove(part.Name())
	if err := errors.Join(fill(part), part.Chmod(0o644), part.Close()); err != nil {
		return err
	}
	return os.Rename(part.Name(), path)
}

// CopyPicture puts the charts, as they are shown, on the clipboard as a picture twice as
// fine as an ordinary screen. The desktop's own program does it, xclip or wl-copy.
func (t *Table) CopyPicture(ctx context.Context, shown []chart.Chart) error {
	if len(shown) == 0 {
		return t.desk.TellError(errors.New("there is no chart to copy yet: lay something on the board"))
	}
	var picture bytes.Buffer
	page := chart.Page{Heading: t.State().Board.Name, WidthPX: 1200, HeightPX: 900, Scale: 2}
	if err := chart.WritePNG(&picture, page, shown...); err != nil {
		return t.desk.TellError(err)
	}
	if err := toClipboard(ctx, &picture); err != nil {
		return t.desk.TellError(err)
	}
	t.desk.Tell("Copied a picture of the charts: paste it where you want it.")
	return nil
}

// toClipboard hands a PNG to the clipboard.
func toClipboard(ctx context.Context, picture io.Reader) error {
	tools := [][]string{{"xclip", "-selection", "clipboard", "-t", "image/png"}}
	if os.Getenv("WAYLAND_DISPLAY") != "" {
		tools = append([][]string{{"wl-copy", "--type", "image/png"}}, tools...)
	}
	for _, tool := range tools {
		if _, err := exec.LookPath(tool[0]); err != nil {
			continue
		}
		cmd := exec.CommandContext(ctx, tool[0], tool[1:]...)
		cmd.Stdin = picture
		if err := cmd.Run(); err != nil {
			return fmt.Errorf("the picture cannot be copied, %s failed: %w; export it as a PNG instead", tool[0], err)
		}
		return nil
	}
	return errors.New("a picture cannot be copied without a program for it: install xclip, or wl-clipboard on Wayland, or export a PNG instead")
}
