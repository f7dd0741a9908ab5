package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"stillroom/app/audio/simulated"
	"stillroom/app/chart"
	"stillroom/app/desk"
	"stillroom/app/records/database"
	"stillroom/app/soundfile"
	"stillroom/app/take"
)

// demo is the command that shows the whole job with no window and no sound card.
func (p *program) demo() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Measure in the demo shop, with no window and no sound card",
		Long:  "Measure the demo shop's loudspeaker on the simulated rig and write the take, its charts, its numbers and a one-page report.",
		Args:  cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if out == "" {
				return usageError("give --out, the folder for the results")
			}
			return p.runDemo(cmd.Context(), out)
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder for the results; it is made where there is none")
	return cmd
}

// demoResult is one file of the demo.
type demoResult struct {
	File string `json:"file"`
	What string `json:"what"`
}

// shown is what the demo measured.
type shown struct {
	one     *take.Take
	a       *take.Analysis
	folder  string
	results []demoResult
}

func (p *program) runDemo(ctx context.Context, folder string) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("the folder for the results cannot be made: %w", err)
	}
	s, study, err := p.demoTake(ctx, folder)
	if err != nil {
		return err
	}
	for _, write := range []func() error{s.charts, s.tables, s.sounds, s.document} {
		if err := write(); err != nil {
			return err
		}
	}
	store, err := database.Open(ctx, filepath.Join(folder, "records.db"))
	if err != nil {
		return err
	}
	defer store.Close()
	if err := p.keep(ctx, store, s.one, study, s.one.Settings); err != nil {
		return err
	}
	s.add("records.db", "the records, with the take and its raw recording: stillroom --store records.db")
	if p.json {
		return p.printJSON(map[string]any{"folder": folder, "files": s.results})
	}
	fmt.Fprintf(p.out, "The demo shop's loudspeaker, %s %s, was measured on the simulated rig. The results are in %s:\n", s.one.Subject.Model, s.one.Subject.Serial, folder)
	for _, r := range s.results {
		fmt.Fprintf(p.out, "  %-16s %s\n", r.File, r.What)
	}
	return nil
}

// demoTake measures.
func (p *program) demoTake(ctx context.Context, folder string) (*shown, *take.Study, error) {
	r := desk.SimulatedRig()
	r.OutputDevice, r.InputDevice = simulated.DeviceID, simulated.DeviceID
	subject := take.Subject{Model: "Heron 6", Serial: r.Simulated.Serial, Batch: "2026-41", Note: "demo shop: every name in it is invented"}
	one, err := p.recordOn(ctx, r, take.DefaultProgramme(r), measuring{subject: subject})
	if err != nil {
		return nil, nil, err
	}
	one.Person, one.Version = "demo", version()
	study, err := take.NewStudy(one)
	if err != nil {
		return nil, nil, err
	}
	a, err := study.Analyse(one.Settings)
	return &shown{one: one, a: a, folder: folder}, study, err
}

func (s *shown) add(file, what string) { s.results = append(s.results, demoResult{file, what}) }

// write makes one file of the demo from what fill puts into it.
func (s *shown) write(file, what string, fill func(io.Writer) error) error {
	var b bytes.Buffer
	if err := fill(&b); err != nil {
		return fmt.Errorf("%s: %w", file, err)
	}
	if err := os.WriteFile(filepath.Join(s.folder, file), b.Bytes(), 0o644); err != nil {
		return fmt.Errorf("the demo's results cannot be written: %w", err)
	}
	s.add(file, what)
	return nil
}

func (s *shown) charts() error {
	impulse, response, distortion := desk.TakeCharts(s.a)
	impulse.Subtitle = ""
	page := chart.Page{Heading: fmt.Sprintf("%s %s, batch %s, %s", s.one.Subject.Model, s.one.Subject.Serial, s.one.Subject.Batch, s.one.At.Format("2 January 2006"))}
	if err := s.write("report.pdf", "the take on one page", func(w io.Writer) error {
		return chart.WritePDF(w, page, impulse, response, distortion)
	}); err != nil {
		return err
	}
	if err := s.write("take.png", "the same as a picture", func(w io.Writer) error {
		return chart.WritePNG(w, page, impulse, response, distortion)
	}); err != nil {
		return err
	}
	return s.write("response.svg", "the response alone, for a web page", func(w io.Writer) error {
		return chart.WriteSVG(w, chart.Page{}, response)
	})
}

func (s *shown) tables() error {
	_, response, distortion := desk.TakeCharts(s.a)
	if err := s.write("response.csv", "magnitude and phase in columns", func(w io.Writer) error { return chart.WriteCSV(w, response) }); err != nil {
		return err
	}
	return s.write("distortion.csv", "harmonics in columns", func(w io.Writer) error { return chart.WriteCSV(w, distortion) })
}

func (s *shown) sounds() error {
	rate := s.one.Programme.RateHz
	for _, f := range []struct {
		file, what string
		samples    []float64
	}{
		{"stimulus.wav", "what was played", widen(s.one.Programme.Render())},
		{"recording.wav", "what was recorded: stillroom analyze reads the two", widen(s.one.Capture.Channels[0])},
		{"impulse.wav", "the impulse response", s.a.Impulse.Value},
	} {
		sound := soundfile.Sound{RateHz: rate, Channels: [][]float64{f.samples}}
		if err := soundfile.Write(filepath.Join(s.folder, f.file), sound, soundfile.WAVFloat32); err != nil {
			return err
		}
		s.add(f.file, f.what)
	}
	return nil
}

func (s *shown) document() error {
	return s.write("take.json", "all of it as one JSON document", func(w io.Writer) error {
		return json.NewEncoder(w).Encode(documentOf(s.a))
	})
}

func widen(x []float32) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = float64(v)
	}
	return out
}
