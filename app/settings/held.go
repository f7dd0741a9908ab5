package settings

import (
	"fmt"
	"os"
	"path/filepath"
	"sync"
)

// Held is the settings of a running program: read once, and written at each
// change. It is safe for use from several goroutines.
type Held struct {
	mu  sync.Mutex
	now Settings
}

// Hold loads the settings. Each warning is one line for the person. A file that
// cannot be understood is moved aside, so that the next change does not write
// over what somebody typed, and the settings start anew; a warning says so.
func Hold() (*Held, []string) {
	s, warnings, err := Load()
	if err != nil {
		warnings = append(warnings, setAside(err))
	}
	return &Held{now: s}, warnings
}

// setAside moves the file away and returns the line that says why.
func setAside(why error) string {
	aside := filepath.Join(filepath.Dir(File()), "settings.damaged.toml")
	if err := os.Rename(File(), aside); err != nil {
		return why.Error()
	}
	return fmt.Sprintf("%v; it is now %s, and the settings start anew", why, aside)
}

// Settings are the choices as they are now.
func (h *Held) Settings() Settings {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.now
}

// Change applies fn and writes the result. The change holds for this run also
// where writing fails.
func (h *Held) Change(fn func(*Settings)) error {
	h.mu.Lock()
	defer h.mu.Unlock()
	before := h.now
	fn(&h.now)
	if h.now == before {
		return nil
	}
	_, err := h.now.Save()
	return err
}

// RigName is the rig used last; empty: none yet.
func (h *Held) RigName() string { return h.Settings().Rig }

// SetRigName remembers the rig in use.
func (h *Held) SetRigName(name string) error {
	return h.Change(func(s *Settings) { s.Rig = name })
}
