// Package settings keeps what a person chose: the look of the window, who
// measures, where the records are, which rig was used last. It is a TOML file in
// the user's configuration folder (XDG Base Directory Specification 0.8).
//
// It holds nothing that a measurement depends on, and never a password.
package settings

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/BurntSushi/toml"
)

// Settings are the choices of one person on one machine.
type Settings struct {
	Theme  string // "daylight", "lamplight", or empty: as the system is
	Person string // who measures
	Store  string // URL of the records; empty: DefaultStore
	Rig    string // name of the rig used last; empty: none yet
	Window Window
}

// Window is the size of the window in the toolkit's units; 0: the usual size.
type Window struct {
	Width  float64
	Height float64
}

// The themes.
const (
	Daylight  = "daylight"
	Lamplight = "lamplight"
)

// Load reads the settings. Where there is no file yet they are empty. Each warning
// is one line for the person: a key that is not known, a value that was put
// aside. A file that cannot be read is an error that names its line; the
// settings returned with it are usable.
func Load() (s Settings, warnings []string, err error) {
	path := File()
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Settings{}, nil, nil
	}
	if err != nil {
		return Settings{}, nil, fmt.Errorf("reading the settings: %w; allow reading it, or remove it", err)
	}
	s, warnings, err = parse(string(text))
	if err != nil {
		return Settings{}, nil, fmt.Errorf("reading the settings %s: %w; correct the line, or remove the file", path, err)
	}
	for i, warning := range warnings {
		warnings[i] = path + ": " + warning
	}
	return s, warnings, nil
}

// Save writes the settings: all of them, or none and an error. A password in the
// address of the records is left out, and a warning says so.
func (s Settings) Save() (warnings []string, err error) {
	clean, had := WithoutPassword(s.Store)
	if had {
		warnings = append(warnings, "the password was taken out of the address of the records: passwords are never stored")
	}
	s.Store = clean
	var text bytes.Buffer
	text.WriteString("# The choices made in Stillroom. The program writes this file anew.\n")
	if err := toml.NewEncoder(&text).Encode(fileOf(s)); err != nil {
		return warnings, fmt.Errorf("writing the settings: %w", err)
	}
	if err := replace(File(), text.Bytes()); err != nil {
		return warnings, fmt.Errorf("writing the settings: %w; allow writing to the folder", err)
	}
	return warnings, nil
}

// file is the form of the settings in TOML.
type file struct {
	Theme  string     `toml:"theme"`
	Person string     `toml:"person"`
	Store  string     `toml:"store"`
	Rig    string     `toml:"rig"`
	Window fileWindow `toml:"window"`
}

type fileWindow struct {
	Width  float64 `toml:"width"`
	Height float64 `toml:"height"`
}

func fileOf(s Settings) file {
	return file{s.Theme, s.Person, s.Store, s.Rig, fileWindow(s.Window)}
}

// parse reads the text of a settings file.
func parse(text string) (Settings, []string, error) {
	var f file
	meta, err := toml.Decode(text, &f)
	if err != nil {
		return Settings{}, nil, plain(err)
	}
	var warnings []string
	for _, key := range meta.Undecoded() {
		warnings = append(warnings, fmt.Sprintf("the setting %s is not known and is left aside", key))
	}
	s := Settings{Theme: f.Theme, Person: f.Person, Store: f.Store, Rig: f.Rig, Window: Window(f.Window)}
	return s.checked(warnings)
}

// checked puts aside values that cannot be meant.
func (s Settings) checked(warnings []string) (Settings, []string, error) {
	switch s.Theme {
	case "", Daylight, Lamplight:
	default:
		warnings = append(warnings, fmt.Sprintf("the theme %q is not known; there are %s and %s", s.Theme, Daylight, Lamplight))
		s.Theme = ""
	}
	if !isSize(s.Window.Width) || !isSize(s.Window.Height) {
		warnings = append(warnings, "the size of the window makes no sense; the usual one is taken")
		s.Window = Window{}
	}
	return s, warnings, nil
}

// isSize tells whether a window can be so wide or high. A number that is none fails.
func isSize(value float64) bool { return value >= 0 && value <= 32000 }

// plain turns the parser's error into one line with the line number first.
func plain(err error) error {
	var parse toml.ParseError
	if errors.As(err, &parse) {
		return fmt.Errorf("line %d: %s", parse.Position.Line, parse.Message)
	}
	return errors.New(strings.TrimPrefix(err.Error(), "toml: "))
}

// replace writes a file beside path and moves it there, so that a reader, or the
// next start, sees the old text or the new one and never a part.
func replace(path string, text []byte) error {
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return err
	}
	draft, err := os.CreateTemp(folder, ".settings-*")
	if err != nil {
		return err
	}
	defer os.Remove(draft.Name()) // gone already when all went well
	_, err = draft.Write(text)
	if err == nil {
		err = draft.Sync()
	}
	if err = errors.Join(err, draft.Close()); err != nil {
		return err
	}
	return os.Rename(draft.Name(), path)
}
