package ui

import (
	"context"
	"io"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/app"

	"stillroom/app/desk"
	"stillroom/assets"
)

// appID names the program to the desktop.
const appID = "org.stillroom.Stillroom"

// Run opens the window on a desk and returns when it is closed; the output is
// silent then. It must be called from the main goroutine. trace may be nil: one
// line is written to it for each change of state, for scripts that drive the
// window from outside.
func Run(ctx context.Context, d *desk.Desk, trace io.Writer) error {
	f, err := readFaces()
	if err != nil {
		return err
	}
	a := app.NewWithID(appID)
	s := newShell(ctx, a, d, f, Trace{trace}, fyne.Do)
	stop := context.AfterFunc(ctx, func() { s.hop.run(s.close) })
	defer stop()
	size := d.State().Settings.Window
	s.window.Resize(fyne.NewSize(startSize(size.Width, 1440), startSize(size.Height, 900)))
	if icon, err := assets.Icon("app"); err == nil {
		s.window.SetIcon(fyne.NewStaticResource("stillroom.svg", icon))
	}
	s.window.Show()
	s.run(d.FirstStart)
	s.trace.line("open")
	a.Run()
	s.end()
	s.working.Wait()
	s.table.Wait()
	return d.Close()
}

// startSize is a size of the window that was kept, or the usual one.
func startSize(kept, usual float64) float32 {
	if kept >= 600 {
		return float32(kept)
	}
	return float32(usual)
}

// readFaces reads the built-in fonts.
func readFaces() (faces, error) {
	var f faces
	for _, want := range []struct {
		name string
		to   *fyne.Resource
	}{{assets.InterRegular, &f.regular}, {assets.InterSemiBold, &f.bold}, {assets.MonoRegular, &f.mono}} {
		data, err := assets.Font(want.name)
		if err != nil {
			return f, err
		}
		*want.to = fyne.NewStaticResource(want.name, data)
	}
	return f, nil
}
