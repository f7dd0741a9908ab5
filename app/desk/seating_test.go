package desk_test

import (
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"stillroom/app/audio"
	"stillroom/app/audio/simulated"
	"stillroom/app/desk"
	"stillroom/app/records"
	"stillroom/app/records/database"
	"stillroom/app/rig"
	"stillroom/app/settings"
	"stillroom/app/take"
)

// headphones is a desk before a simulated headphone on an ear coupler.
func headphones(t *testing.T) *desk.Desk {
	d, _ := headphonesIn(t)
	return d
}

func headphonesIn(t *testing.T) (*desk.Desk, records.Store) {
	t.Helper()
	store, err := database.Open(t.Context(), filepath.Join(t.TempDir(), "records.db"))
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { store.Close() })
	sim, err := simulated.New(simulated.Options{})
	if err != nil {
		t.Fatal(err)
	}
	d, err := desk.New(t.Context(), desk.Parts{
		Makers: map[string]audio.Interface{desk.Simulated: sim}, Records: store,
		Settings: settings.Settings{Person: "MR"}, Save: func(settings.Settings) error { return nil }, Version: "test",
		Record: take.Record, Study: func(t *take.Take) (desk.Study, error) { return take.NewStudy(t) },
	})
	if err != nil {
		t.Fatal(err)
	}
	if err := d.PutSubject(t.Context(), "headphone"); err != nil {
		t.Fatal(err)
	}
	r := d.State().Rig
	r.Fixture, r.FixtureKind = "coupler", rig.EarCoupler
	if err := d.SetRig(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	shortSweep(t, d)
	return d, store
}

// measure confirms what is asked and measures so many seatings.
func measure(t *testing.T, d *desk.Desk, n int) {
	t.Helper()
	d.Confirm(d.State().SweepLevel())
	for range n {
		if err := d.Measure(t.Context()); err != nil {
			t.Fatal(err)
		}
	}
}

func line(s desk.State) string {
	lead, text := s.SeriesLine()
	return lead + " " + text
}

func TestASeriesIsOfferedAndNotForced(t *testing.T) {
	d := headphones(t)
	if d.State().Series.On() {
		t.Error("a series runs that nobody began")
	}
	f := d.State().SeriesForm()
	if f.Seatings != "5" || f.Side != "both" {
		t.Errorf("offered for an ear coupler: %+v", f)
	}
	for _, bad := range []string{"", "0", "11", "2.5", "many"} {
		if wrong := d.StartSeries(desk.SeriesForm{Seatings: bad, Side: "left"}); len(wrong) != 1 || d.State().Series.On() {
			t.Errorf("%q seatings: %v", bad, wrong)
		}
	}
}

// Two seatings of each side, by the lines that the person reads.
func TestLeftAndRightSeatedTwice(t *testing.T) {
	d := headphones(t)
	d.Confirm(d.State().SweepLevel())
	if wrong := d.StartSeries(desk.SeriesForm{Seatings: "2", Side: "both"}); len(wrong) > 0 {
		t.Fatal(wrong)
	}
	if err := d.Measure(t.Context()); !errors.Is(err, desk.ErrAsk) {
		t.Fatalf("a series does not ask before its first sound: %v", err)
	}
	for i, want := range []string{
		"Seating 1 of 2, left: put the headphone on the fixture with its left side, then press Space.",
		"Seating 2 of 2, left: lift the headphone off, put it back, then press Space.",
		"Seating 1 of 2, right: put the headphone on the fixture with its right side, then press Space.",
		"Seating 2 of 2, right: lift the headphone off, put it back, then press Space.",
	} {
		if got := line(d.State()); got != want {
			t.Errorf("before seating %d: %q, want %q", i, got, want)
		}
		measure(t, d, 1)
	}
	s := d.State()
	if got := line(s); !strings.Contains(got, "Keep the series") || s.Series.Next() >= 0 {
		t.Errorf("after the last: %q", got)
	}
	if err := d.Measure(t.Context()); err == nil || !strings.Contains(err.Error(), "keep it") {
		t.Errorf("a series that is complete and not kept is overrun: %v", err)
	}
	if len(s.Series.Means) != 2 || s.Series.Compared == nil || s.Series.Means[0].Count != 2 || s.Take.Subject.Side != take.Right {
		t.Fatalf("%d means, compared %v", len(s.Series.Means), s.Series.Compared)
	}
	// Seatings differ at the ends and not in the middle; the same unit sits on both sides.
	for _, m := range s.Series.Means {
		for _, o := range m.Octaves {
			if low := o.CentreHz > 400 && o.CentreHz < 2500; low && o.SpreadDB > 0.05 {
				t.Errorf("%s: octave of %s spreads by %.2f dB", m.Side, o.Name(), o.SpreadDB)
			}
		}
	}
	if s.Series.Compared.WorstDB > 1.5 || math.IsNaN(s.Series.Compared.WorstDB) {
		t.Errorf("one unit on both sides differs by %.2f dB", s.Series.Compared.WorstDB)
	}
	if rows := s.Findings(); len(rows) < 3 || !strings.HasPrefix(rows[0].Lead+rows[0].Text, "Left: ") {
		t.Errorf("findings: %+v", rows)
	}
	if _, response, _ := s.Charts(); len(response.Traces) != 8 { // four seatings, two bands, two means
		t.Errorf("%d traces", len(response.Traces))
	}
	if title, rows := s.OctaveRows(); !strings.Contains(title, "Left less right") || len(rows) != len(s.Series.Compared.Octaves) {
		t.Errorf("%s: %d rows", title, len(rows))
	}
}

// The mean of the desk is the power mean of its seatings, in closed form.
func TestTheMeanIsThatOfTheSeatingsThatCount(t *testing.T) {
	d := headphones(t)
	d.StartSeries(desk.SeriesForm{Seatings: "3", Side: "left"})
	measure(t, d, 3)
	check := func(counted ...int) {
		t.Helper()
		s := d.State()
		m := s.Series.Means[0]
		if m.Count != len(counted) {
			t.Fatalf("%d seatings count, want %d", m.Count, len(counted))
		}
		for k := 100; k < len(m.Mean.MagnitudeDB); k += 50 {
			power := 0.0
			for _, i := range counted {
				power += math.Pow(10, s.Series.Seats[i].Analysis.Response.MagnitudeDB[k]/10) / float64(len(counted))
			}
			if want := 10 * math.Log10(power); math.Abs(m.Mean.MagnitudeDB[k]-want) > 1e-9 {
				t.Fatalf("point %d: %g dB, want %g", k, m.Mean.MagnitudeDB[k], want)
			}
		}
	}
	check(0, 1, 2)
	if err := d.LeaveOut(1); err != nil {
		t.Fatal(err)
	}
	check(0, 2)
	if got := line(d.State()); !strings.Contains(got, "Seating 2 of 3, left is left out: seat it anew") {
		t.Errorf("%q", got)
	}
	before := d.State().Series.Seats[1].Take.ID
	measure(t, d, 1)
	check(0, 1, 2)
	if d.State().Series.Seats[1].Take.ID == before {
		t.Error("the seating left out was not measured again")
	}
	d.LeaveOut(2)
	d.LeaveOut(2)
	check(0, 1, 2)

	d.SetSmoothing(3)
	d.Wait()
	for _, x := range d.State().Series.Seats {
		if x.Analysis.Settings.Smoothing != 3 {
			t.Error("another smoothing does not reach all seatings")
		}
	}
	check(0, 1, 2)
	if err := d.ShowSeat(0); err != nil || d.State().Take.Series.Number != 1 || len(d.State().Analysis.Harmonics) == 0 {
		t.Errorf("the first seating is not shown: %v", err)
	}
}

func TestAVoidSeatingDoesNotCount(t *testing.T) {
	d := headphones(t)
	d.StartSeries(desk.SeriesForm{Seatings: "2", Side: "left"})
	measure(t, d, 1)
	r := d.State().Rig
	r.Simulated.Faults = []string{"clip"}
	if err := d.SetRig(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	err := d.Measure(t.Context())
	s := d.State()
	if err == nil || !strings.Contains(s.Notice.Text, "Seating 2 of 2, left does not count") || !strings.Contains(s.Notice.Text, "again") || !s.Notice.Error {
		t.Errorf("%v; %q", err, s.Notice.Text)
	}
	if s.Series.Counted() != 1 || s.Series.Next() != 1 || s.Take.Series.Number != 1 {
		t.Errorf("%d count, next %d", s.Series.Counted(), s.Series.Next())
	}
	r.Simulated.Faults = nil
	if err := d.SetRig(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	measure(t, d, 1)
	if d.State().Series.Counted() != 2 {
		t.Error("it was not measured again")
	}
}

func TestASeriesIsKeptAndOpensAsOne(t *testing.T) {
	d := headphones(t)
	if err := d.Keep(t.Context()); err == nil {
		t.Error("nothing was kept")
	}
	d.StartSeries(desk.SeriesForm{Seatings: "3", Side: "right"})
	if err := d.Keep(t.Context()); err == nil || !strings.Contains(err.Error(), "no seating") {
		t.Errorf("an empty series: %v", err)
	}
	measure(t, d, 3)
	d.LeaveOut(0)
	before := d.State()
	if err := d.Keep(t.Context()); err != nil {
		t.Fatal(err)
	}
	s := d.State()
	if !s.Kept || len(s.Listing.Held()) != 3 || !strings.Contains(s.Notice.Text, "3 seatings") {
		t.Fatalf("kept %v, %d in the list, %q", s.Kept, len(s.Listing.Held()), s.Notice.Text)
	}
	if _, asks := s.Question(s.SweepLevel()); !asks {
		t.Error("the next series would not ask")
	}
	if err := d.LeaveOut(1); err == nil {
		t.Error("a kept series was changed")
	}
	d.Discard()
	d.EndSeries()
	if d.State().Series.On() {
		t.Fatal("the series goes on")
	}
	middle := before.Series.Seats[1].Take.ID
	if err := d.Open(t.Context(), middle); err != nil {
		t.Fatal(err)
	}
	after := d.State()
	if after.Series.ID != before.Series.ID || after.Series.Measured() != 3 || after.Series.Counted() != 2 || !after.Series.Seats[0].LeftOut || after.Series.Shown != 1 || after.Take.ID != middle || !after.Kept {
		t.Fatalf("opened: %+v", after.Series)
	}
	for i, v := range before.Series.Means[0].Mean.MagnitudeDB {
		if w := after.Series.Means[0].Mean.MagnitudeDB[i]; v != w && !(math.IsNaN(v) && math.IsNaN(w)) {
			t.Fatalf("point %d of the mean: %g, was %g", i, w, v)
		}
	}
	measure(t, d, 1)
	if next := d.State(); next.Kept || next.Series.ID == after.Series.ID || next.Series.Measured() != 1 || next.Series.Of != 3 {
		t.Errorf("after a kept series: %d measured, kept %v", next.Series.Measured(), next.Kept)
	}
	if err := d.Delete(t.Context(), middle); err != nil {
		t.Fatal(err)
	}
	if err := d.Open(t.Context(), before.Series.Seats[2].Take.ID); err != nil {
		t.Fatal(err)
	}
	if s := d.State(); s.Series.Measured() != 2 || !strings.Contains(s.Notice.Text, "one seating of this series is not in Records") {
		t.Errorf("with one removed: %d, %q", s.Series.Measured(), s.Notice.Text)
	}
}

func TestASeriesIsKeptWholeOrNotAtAll(t *testing.T) {
	d, store := headphonesIn(t)
	d.StartSeries(desk.SeriesForm{Seatings: "2", Side: "left"})
	measure(t, d, 2)
	second := d.State().Series.Seats[1].Take // in the way of the series
	if err := store.Keep(t.Context(), records.Kept{Take: second}); err != nil {
		t.Fatal(err)
	}
	if err := d.Keep(t.Context()); err == nil || !strings.Contains(err.Error(), "the series is not kept") || d.State().Kept {
		t.Fatalf("%v", err)
	}
	rows, err := store.List(t.Context(), records.Query{})
	if err != nil || len(rows) != 1 || rows[0].ID != second.ID {
		t.Fatalf("%d takes are kept of a series that is not: %v", len(rows), err)
	}
}

func TestDiscardAndEnd(t *testing.T) {
	d := headphones(t)
	d.StartSeries(desk.SeriesForm{Seatings: "2", Side: "none"})
	first := d.State().Series.ID
	measure(t, d, 1)
	d.Discard()
	if s := d.State(); s.Series.Measured() != 0 || !s.Series.On() || s.Series.ID == first || s.Take != nil {
		t.Errorf("discarded: %+v", s.Series)
	}
	d.EndSeries()
	measure(t, d, 1)
	if s := d.State(); s.Series.On() || s.Take == nil || s.Take.Series.ID != "" {
		t.Error("single takes do not follow")
	}
}
