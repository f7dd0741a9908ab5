package main

import (
	"time"

	"stillroom/app/rig"
)

// rigJSON is a rig as --json prints it: as it is kept, and how its calibrations
// stand.
type rigJSON struct {
	Name        string       `json:"name"`
	PascalAtFS  number       `json:"pascalAtFs"` // of the first microphone
	VoltsAtFS   number       `json:"voltsAtFs"`
	HighestDBFS number       `json:"highestDbfs"` // that may be played
	Status      []statusJSON `json:"status"`
	Rig         rig.Rig      `json:"rig"`
}

type statusJSON struct {
	What    string `json:"what"`
	Channel int    `json:"channel"` // from 1
	State   string `json:"state"`
	AgeDays number `json:"ageDays"`
	Text    string `json:"text"`
}

func rigOf(r rig.Rig, now time.Time) rigJSON {
	c := r.Chain(r.InputChannel)
	highest, _ := r.HighestDBFS()
	out := rigJSON{Name: r.Name, PascalAtFS: number(c.PascalAtFS), VoltsAtFS: number(c.VoltsAtFS), HighestDBFS: number(highest), Status: []statusJSON{}, Rig: r}
	for _, l := range r.Status(now) {
		out.Status = append(out.Status, statusJSON{l.What, l.Channel + 1, string(l.State), number(l.AgeDays), l.Text})
	}
	return out
}

func rigsJSON(rigs []rig.Rig, now time.Time) []rigJSON {
	out := []rigJSON{}
	for _, r := range rigs {
		out = append(out, rigOf(r, now))
	}
	return out
}
