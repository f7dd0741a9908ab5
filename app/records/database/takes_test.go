package database

import (
	"context"
	"errors"
	"math"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"stillroom/app/records"
	"stillroom/app/take"
)

func TestTakeComesBackBitForBit(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a folder, 100% new?", "records #1.db")
	want := sampleTake(1, 3000)
	want.Capture.Channels[0][5] = float32(math.Inf(-1))
	want.Capture.Channels[0][6] = float32(math.Copysign(0, -1))
	want.Capture.Channels[1][7] = math.Float32frombits(0x7fc00123) // a NaN with a payload
	want.Capture.Channels[1][8] = math.SmallestNonzeroFloat32
	first := openStore(t, path)
	keepAll(t, first, want)
	if err := first.Close(); err != nil {
		t.Fatal(err)
	}

	got, err := openStore(t, path).Take(t.Context(), want.ID)
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
}

func TestEmptyRecordingIsKept(t *testing.T) {
	store := newStore(t)
	for n, frames := range []int{0, 1} {
		want := sampleTake(n, frames)
		keepAll(t, store, want)
		got, err := store.Take(t.Context(), want.ID)
		if err != nil || !sameBits(got.Capture.Channels, want.Capture.Channels) {
			t.Errorf("%d frames: %v", frames, err)
		}
	}
}

func TestKeepIsAllOrNothing(t *testing.T) {
	store := newStore(t)
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
}

func TestSecondKeepOfAnIDIsErrExists(t *testing.T) {
	store := newStore(t)
	keepAll(t, store, sampleTake(1, 10))
	if err := store.Keep(t.Context(), records.Kept{Take: sampleTake(1, 10), Summary: sampleSummary()}); !errors.Is(err, records.ErrExists) {
		t.Errorf("got %v", err)
	}
}

func TestDeleteRestoreAndHistory(t *testing.T) {
	store := newStore(t)
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
}

func TestMissingTakeIsErrNoTake(t *testing.T) {
	if _, err := newStore(t).Take(t.Context(), "nothing"); !errors.Is(err, records.ErrNoTake) {
		t.Errorf("got %v", err)
	}
}

// Each way in which a file may rot must be found when the take is read.
func TestDamageIsFound(t *testing.T) {
	for _, rot := range []string{
		"UPDATE recording SET sha256 = zeroblob(32)",
		"UPDATE recording SET frames = frames - 1",
		"UPDATE recording SET frames = -1",
		"UPDATE recording SET channels = 1, frames = 2 * frames",
		"UPDATE recording SET packed = x''",
		"UPDATE recording SET packed = x'02' || substr(packed, 2)",
		"UPDATE recording SET packed = substr(packed, 1, length(packed) - 9)",
		"UPDATE take_document SET body = replace(body, '48000', '44100')",
		"UPDATE take_document SET sha256 = zeroblob(32)",
	} {
		store := newStore(t)
		one := sampleTake(1, 500)
		keepAll(t, store, one)
		if _, err := store.db.ExecContext(context.Background(), rot); err != nil {
			t.Fatal(err)
		}
		got, err := store.Take(t.Context(), one.ID)
		if rot == "UPDATE recording SET channels = 1, frames = 2 * frames" {
			// The planes of two channels read as those of one: only the checksum sees it.
			if err == nil || !strings.Contains(err.Error(), "checksum") {
				t.Errorf("%s: %v", rot, err)
			}
		}
		if got != nil || !errors.Is(err, records.ErrDamaged) || !strings.Contains(err.Error(), one.ID) {
			t.Errorf("%s: got %v", rot, err)
		}
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
	store := newStore(t)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if err := store.Keep(ctx, records.Kept{Take: sampleTake(1, 10), Summary: sampleSummary()}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v", err)
	}
	if n, _ := store.Count(t.Context(), records.Query{}, 0); n.Takes != 0 {
		t.Errorf("%d takes", n.Takes)
	}
}
