package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/user"
	"runtime"

	"stillroom/app/audio"
	"stillroom/app/desk"
	"stillroom/app/settings"
	"stillroom/app/take"
	"stillroom/ui"
)

// window opens the window where there is a display for it.
func (p *program) window(ctx context.Context) error {
	if runtime.GOOS == "linux" && p.env("DISPLAY") == "" && p.env("WAYLAND_DISPLAY") == "" {
		return errors.New("there is no display for the window: stillroom demo --out FOLDER does the same job without one, stillroom --help lists the commands")
	}
	return p.openWindow(ctx)
}

// openWindow opens the window on a desk and returns when it is closed. A sound
// interface that cannot be opened is said on errs, and the window opens without it.
func (p *program) openWindow(ctx context.Context) (err error) {
	chosen := p.choices()
	store, err := p.openSpooled(ctx, chosen.Settings())
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, store.Close()) }()
	makers, shut := p.openMakers()
	defer shut()
	d, err := desk.New(ctx, desk.Parts{
		Makers: makers, Records: store,
		Settings: chosen.Settings(), Save: func(s settings.Settings) error {
			return chosen.Change(func(held *settings.Settings) { *held = s })
		},
		Version: version(), Person: loginName(),
		Record: take.Record, Study: func(t *take.Take) (desk.Study, error) { return take.NewStudy(t) },
	})
	if err != nil {
		return err
	}
	trace, done, err := p.trace()
	if err != nil {
		return err
	}
	defer done()
	return ui.Run(ctx, d, trace)
}

// openMakers opens every sound interface that can be opened.
func (p *program) openMakers() (map[string]audio.Interface, func()) {
	opened := map[string]audio.Interface{}
	var closers []func() error
	for _, m := range p.makers {
		sound, shut, err := m.open()
		if err != nil {
			fmt.Fprintf(p.errs, "stillroom: the %s interface is left out: %s\n", m.kind, oneLine(err))
			continue
		}
		opened[m.kind], closers = sound, append(closers, shut)
	}
	return opened, func() {
		for _, shut := range closers {
			if err := shut(); err != nil {
				fmt.Fprintf(p.errs, "stillroom: %s\n", oneLine(err))
			}
		}
	}
}

// trace opens the file that STILLROOM_TRACE names: one line for each change of
// state, for scripts that drive the window.
func (p *program) trace() (io.Writer, func(), error) {
	path := p.env("STILLROOM_TRACE")
	if path == "" {
		return nil, func() {}, nil
	}
	f, err := os.OpenFile(path, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
	if err != nil {
		return nil, nil, fmt.Errorf("the trace cannot be written: %w", err)
	}
	return f, func() { f.Close() }, nil
}

// loginName is who measures, where no name was chosen.
func loginName() string {
	if u, err := user.Current(); err == nil {
		return u.Username
	}
	return ""
}
