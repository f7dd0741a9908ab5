package main

import (
	"path/filepath"
	"strings"
	"testing"

	"stillroom/app/model"
	"stillroom/app/records"
	"stillroom/app/records/database"
)

// What is kept of a model binds a take on the command line; a flag may say otherwise.
func TestTakeKeepsTheLimitsOfAModel(t *testing.T) {
	path := filepath.Join(t.TempDir(), "records.db")
	store, err := database.Open(t.Context(), path)
	if err != nil {
		t.Fatal(err)
	}
	if err := records.Models(store).Put(t.Context(), model.Model{Name: "Wren tweeter", LowestHz: 800}); err != nil {
		t.Fatal(err)
	}
	if err := store.Close(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		more  string
		says  string
		fails bool
	}{
		{"", "may be driven from 800 Hz up", true},
		{"--from 1600", "", false},
		{"--lowest-hz 500 --from 1000", "", false},
		{"--lowest-hz 2500 --from 1600", "may be driven from 2500 Hz up", true},
		{"--from 1600 --highest-volts 2", "cannot be checked", true},
		{"--from 1600 --highest-volts 2 --accept-unchecked-volts", "", false},
		{"--from 1600 --highest-volts -2", "give a number above 0", true},
		{"--seatings 2", "may be driven from 800 Hz up", true},
	} {
		args := append([]string{"take", "--store", path, "--simulate", "tweeter", "--model", "Wren tweeter", "--length", "0.5s", "--json"}, strings.Fields(c.more)...)
		status, _, errs := command(t, args...)
		if (status != 0) != c.fails || !strings.Contains(errs, c.says) {
			t.Errorf("%q: status %d, %s", c.more, status, errs)
		}
	}
}
