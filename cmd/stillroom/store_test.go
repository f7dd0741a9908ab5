package main

import (
	"testing"

	"stillroom/app/settings"
)

func TestRecordsAreNamedByFlagThenVariableThenSettings(t *testing.T) {
	t.Setenv("XDG_DATA_HOME", "/data")
	for _, test := range []struct{ flag, variable, kept, want string }{
		{"a.db", "b.db", "c.db", "a.db"},
		{"", "b.db", "c.db", "b.db"},
		{"", "", "c.db", "c.db"},
		{"", "", "", "/data/stillroom/records.db"},
	} {
		p := &program{store: test.flag, env: func(string) string { return test.variable }}
		if got := p.storeURL(settings.Settings{Store: test.kept}); got != test.want {
			t.Errorf("%+v: got %s", test, got)
		}
	}
}
