package settings

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestChangesAreWrittenAtOnce(t *testing.T) {
	home(t)
	held, warnings := Hold()
	if len(warnings) != 0 || held.RigName() != "" {
		t.Fatal(warnings, held.RigName())
	}
	if err := held.SetRigName("bench"); err != nil {
		t.Fatal(err)
	}
	if err := held.Change(func(s *Settings) { s.Window = Window{1200, 800} }); err != nil {
		t.Fatal(err)
	}
	again, _ := Hold()
	if want := (Settings{Rig: "bench", Window: Window{1200, 800}}); again.Settings() != want {
		t.Errorf("%+v", again.Settings())
	}
}

func TestDamagedFileIsMovedAsideNotOverwritten(t *testing.T) {
	home(t)
	write(t, "person = Mara\n")
	held, warnings := Hold()
	if len(warnings) != 1 || !strings.Contains(warnings[0], "line 1") || !strings.Contains(warnings[0], "settings.damaged.toml") {
		t.Errorf("%q", warnings)
	}
	if err := held.SetRigName("bench"); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(filepath.Join(filepath.Dir(File()), "settings.damaged.toml"))
	if err != nil || string(text) != "person = Mara\n" {
		t.Errorf("%q %v", text, err)
	}
	if _, warnings := Hold(); len(warnings) != 0 {
		t.Errorf("the new file is not sound: %q", warnings)
	}
}

func TestChangeThatCannotBeWrittenStillHolds(t *testing.T) {
	home(t)
	if err := os.MkdirAll(filepath.Join(File(), "x"), 0o700); err != nil {
		t.Fatal(err)
	}
	held := &Held{}
	if err := held.SetRigName("bench"); err == nil {
		t.Error("no error")
	}
	if held.RigName() != "bench" {
		t.Error("the change is lost")
	}
}
