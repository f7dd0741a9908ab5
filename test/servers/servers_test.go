package servers

import (
	"os"
	"testing"
)

// A server can be stopped, killed and started again, and keeps what it has.
func TestServerComesBack(t *testing.T) {
	s, err := Start(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if _, err := s.Run(t.Context(), "postgres", "CREATE TABLE kept (n int); INSERT INTO kept VALUES (7)"); err != nil {
		t.Fatal(err)
	}
	for _, end := range []func() error{s.Stop, s.Kill} {
		if err := end(); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Run(t.Context(), "postgres", "SELECT n FROM kept"); err == nil {
			t.Error("it answers though it was ended")
		}
		if err := s.Resume(t.Context()); err != nil {
			t.Fatal(err)
		}
		if out, err := s.Run(t.Context(), "postgres", "SELECT n FROM kept"); out != "7" || err != nil {
			t.Errorf("%q %v", out, err)
		}
	}
	if out, err := s.Run(t.Context(), "postgres", "SHOW fsync"); out != "on" || err != nil {
		t.Errorf("fsync is %q (%v): nothing would be proved", out, err)
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	if _, err := os.Stat(s.Folder); !os.IsNotExist(err) {
		t.Errorf("the folder is left: %v", err)
	}
}
