package database

import (
	"bytes"
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/records"
	"stillroom/app/take"
)

func TestTakeComesBackBitForBit(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		want := sampleTake(1, 3000)
		want.Capture.Channels[0][5] = float32(math.Inf(-1))
		want.Capture.Channels[0][6] = float32(math.Copysign(0, -1))
		want.Capture.Channels[1][7] = math.Float32frombits(0x7fc00123) // a NaN with a payload
		want.Capture.Channels[1][8] = math.SmallestNonzeroFloat32
		first := p.open(t)
		keepAll(t, first, want)
		if err := first.Close(); err != nil {
			t.Fatal(err)
		}

		got, err := p.open(t).Take(t.Context(), want.ID)
		if err != nil {
			t.Fatal(err)
		}
		if !sameBits(got.Capture.Channels, want.Capture.Channels) {
			t.Error("the recording has changed")
		}
		got.Capture.Channels, want.Capture.Channels = nil, nil
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("the take has changed (-kept +read):\n%s", diff)
		}
	})
}

func TestAnyPathWillDo(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a folder, 100% new?", "records #1.db")
	keepAll(t, openStore(t, path), sampleTake(1, 10))
	if _, err := os.Stat(path); err != nil {
		t.Error(err)
	}
}

func TestEmptyRecordingIsKept(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		for n, frames := range []int{0, 1} {
			want := sampleTake(n, frames)
			keepAll(t, store, want)
			got, err := store.Take(t.Context(), want.ID)
			if err != nil || !sameBits(got.Capture.Channels, want.Capture.Channels) {
				t.Errorf("%d frames: %v", frames, err)
			}
		}
	})
}

func TestKeepIsAllOrNothing(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		good := sampleTake(1, 100)
		keepAll(t, store, good)
		for name, test := range map[string]struct {
			change func(*take.Take, *records.Summary)
			want   string
		}{
			"same ID":        {func(t *take.Take, _ *records.Summary) { t.ID = good.ID }, "kept already"},
			"no ID":          {func(t *take.Take, _ *records.Summary) { t.ID = "" }, "no ID"},
			"uneven":         {func(t *take.Take, _ *records.Summary) { t.Capture.Channels[1] = nil }, "channel 2 has 0 frames"},
			"not a number":   {func(t *take.Take, _ *records.Summary) { t.Rig.RateHz = math.NaN() }, "cannot be written"},
			"too long curve": {func(_ *take.Take, s *records.Summary) { s.Curve = make([]float32, records.CurvePoints+1) }, "97 points"},
		} {
			bad, summary := sampleTake(2, 100), sampleSummary()
			test.change(bad, &summary)
			err := store.Keep(t.Context(), records.Kept{Take: bad, Summary: summary})
			if err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("%s: got %v, want %q", name, err, test.want)
			}
		}
		if n, err := store.Count(t.Context(), records.Query{}, 0); n.Takes != 1 || err != nil {
			t.Errorf("%d takes after the refusals, want 1 (%v)", n.Takes, err)
		}
	})
}

func TestSecondKeepOfAnIDIsErrExists(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		keepAll(t, store, sampleTake(1, 10))
		if err := store.Keep(t.Context(), records.Kept{Take: sampleTake(1, 10), Summary: sampleSummary()}); !errors.Is(err, records.ErrExists) {
			t.Errorf("got %v", err)
		}
	})
}

func TestDeleteRestoreAndHistory(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		one := sampleTake(1, 10)
		keepAll(t, store, one)
		ctx := records.By(t.Context(), "Jo Ferrer")
		if err := store.Delete(ctx, one.ID); err != nil {
			t.Fatal(err)
		}
		if _, err := store.Take(ctx, one.ID); !errors.Is(err, records.ErrNoTake) || !strings.Contains(err.Error(), "restore") {
			t.Errorf("reading a deleted take: %v", err)
		}
		if err := store.Delete(ctx, one.ID); !errors.Is(err, records.ErrNoTake) {
			t.Errorf("deleting twice: %v", err)
		}
		if rows, err := store.List(ctx, records.Query{}); len(rows) != 0 || err != nil {
			t.Errorf("a deleted take is listed: %v %v", rows, err)
		}
		if err := store.Restore(ctx, one.ID); err != nil {
			t.Fatal(err)
		}
		if err := store.Restore(ctx, one.ID); !errors.Is(err, records.ErrNoTake) {
			t.Errorf("restoring twice: %v", err)
		}
		if _, err := store.Take(ctx, one.ID); err != nil {
			t.Errorf("reading a restored take: %v", err)
		}

		events, err := store.History(ctx, records.AboutTake(one.ID))
		if err != nil {
			t.Fatal(err)
		}
		want := []records.Event{{Who: "Mara Lind", What: "keep"}, {Who: "Jo Ferrer", What: "delete"}, {Who: "Jo Ferrer", What: "restore"}}
		if diff := cmp.Diff(want, events, cmpopts.IgnoreFields(records.Event{}, "At")); diff != "" {
			t.Error(diff)
		}
	})
}

func TestMissingTakeIsErrNoTake(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		if _, err := p.open(t).Take(t.Context(), "nothing"); !errors.Is(err, records.ErrNoTake) {
			t.Errorf("got %v", err)
		}
	})
}

// Each way in which a place may rot must be found when the take is read.
func TestDamageIsFound(t *testing.T) {
	zeros := make([]byte, 32)
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		for n, rot := range []struct {
			column string
			change func(before []byte) any
			want   string
		}{
			{"recording.sha256", func([]byte) any { return zeros }, "checksum"},
			{"recording.frames", func([]byte) any { return 499 }, "bytes"},
			{"recording.frames", func([]byte) any { return -1 }, "claims"},
			{"recording.packed", func([]byte) any { return []byte{} }, "bytes"},
			{"recording.packed", func(b []byte) any { return append([]byte{2}, b[1:]...) }, "unknown format"},
			{"recording.packed", func(b []byte) any { return b[:len(b)-9] }, "bytes"},
			{"recording.packed", func(b []byte) any { b[len(b)/2] ^= 1; return b }, ""},
			{"take_document.body", func(b []byte) any { return bytes.Replace(b, []byte("48000"), []byte("44100"), 1) }, "checksum"},
			{"take_document.sha256", func([]byte) any { return zeros }, "checksum"},
		} {
			one := sampleTake(n, 500)
			keepAll(t, store, one)
			change(t, store, rot.column, one.ID, rot.change)
			got, err := store.Take(t.Context(), one.ID)
			if got != nil || !errors.Is(err, records.ErrDamaged) || !strings.Contains(err.Error(), one.ID) || !strings.Contains(err.Error(), rot.want) {
				t.Errorf("%d, %s: got %v", n, rot.column, err)
			}
		}
		// The planes of two channels read as those of one: only the checksum sees it.
		one := sampleTake(100, 500)
		keepAll(t, store, one)
		change(t, store, "recording.channels", one.ID, func([]byte) any { return 1 })
		change(t, store, "recording.frames", one.ID, func([]byte) any { return 1000 })
		if _, err := store.Take(t.Context(), one.ID); !errors.Is(err, records.ErrDamaged) || !strings.Contains(err.Error(), "checksum") {
			t.Errorf("got %v", err)
		}
		if _, err := store.read().exec(t.Context(), "DELETE FROM recording WHERE take_id = ?", one.ID); err != nil {
			t.Fatal(err)
		}
		if _, err := store.Take(t.Context(), one.ID); !errors.Is(err, records.ErrDamaged) {
			t.Errorf("a recording that is gone: %v", err)
		}
	})
}

// change changes one value of a take with no help of the package.
func change(t *testing.T, d *database, column, id string, with func([]byte) any) {
	t.Helper()
	table, name, _ := strings.Cut(column, ".")
	var before []byte
	if err := d.read().row(t.Context(), "SELECT "+name+" FROM "+table+" WHERE take_id = ?", []any{id}, &before); err != nil {
		t.Fatal(err)
	}
	n, err := d.read().exec(t.Context(), "UPDATE "+table+" SET "+name+" = ? WHERE take_id = ?", with(before), id)
	if err != nil || n != 1 {
		t.Fatal(n, err)
	}
}

// A description with a field of a later version is not read with that field dropped.
func TestUnknownFieldIsRefused(t *testing.T) {
	_, err := newStore(t).packer.unpackTake([]byte(`{"ID":"x","Polarisation":48}`))
	if err == nil || !strings.Contains(err.Error(), "Polarisation") {
		t.Errorf("got %v", err)
	}
}

func TestCancelledKeepKeepsNothing(t *testing.T) {
	both(t, func(t *testing.T, p place) {
		store := p.open(t)
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		if err := store.Keep(ctx, records.Kept{Take: sampleTake(1, 10), Summary: sampleSummary()}); !errors.Is(err, context.Canceled) {
			t.Errorf("got %v", err)
		}
		if n, _ := store.Count(t.Context(), records.Query{}, 0); n.Takes != 0 {
			t.Errorf("%d takes", n.Takes)
		}
	})
}
