package upkeep

import (
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"hash/fnv"
	"math"

	"stillroom/app/records"
	"stillroom/app/take"
)

// Verification says how records are verified.
type Verification struct {
	Sample    int    // how many results are worked out anew, about; below 0: all
	Seed      uint64 // which ones: the same seed chooses the same
	Summarise Summarise
}

// Verified is what was found.
type Verified struct {
	Takes, Units, Documents int // that could be read
	Recomputed              int
	Damaged                 []string // one line each: what cannot be read
	Differing               []string // one line each: what says another thing now than it did
}

// Sound tells whether nothing is amiss.
func (v Verified) Sound() bool { return len(v.Damaged)+len(v.Differing) == 0 }

// alikeDB is how far a level may lie from what was kept. The same program gives the
// same bits; another version of it, or another kind of computer, rounds elsewhere.
const alikeDB = 0.01

// Verify reads all that is kept, comparing the checksums of takes and recordings, and
// works out a sample of the results from their recordings. What it finds is in the
// Verified; the error is for a store that cannot be read at all.
func Verify(ctx context.Context, store records.Store, how Verification, progress Progress) (Verified, error) {
	var v Verified
	all, err := allOf(ctx, store)
	if err != nil {
		return v, err
	}
	for whole, err := range store.Everything(ctx) {
		switch {
		case errors.Is(err, records.ErrDamaged):
			v.Damaged = append(v.Damaged, err.Error())
		case err != nil:
			return v, err
		case whole.Unit != nil:
			v.Units++
		case whole.Document != nil:
			v.Documents++
		case whole.Take != nil:
			v.Takes++
			if how.chooses(whole.Take.Take.ID, all) {
				v.compare(whole.Take.Kept, how.Summarise)
			}
		}
		progress.tell(v.Takes+len(v.Damaged), all)
		if err := ctx.Err(); err != nil {
			return v, err
		}
	}
	return v, nil
}

// chooses tells whether a take belongs to the sample: its ID and the seed make a
// number that is even over takes.
func (how Verification) chooses(id string, all int) bool {
	if how.Sample < 0 || how.Sample >= all {
		return true
	}
	hash := fnv.New64a() // FNV-1a, by Fowler, Noll and Vo
	hash.Write(binary.LittleEndian.AppendUint64(nil, how.Seed))
	hash.Write([]byte(id))
	return mixed(hash.Sum64()) < uint64(float64(how.Sample)/float64(all)*math.MaxUint64)
}

// mixed spreads the bits of a number over all of it (the finaliser of MurmurHash3, by
// A. Appleby, public domain).
func mixed(x uint64) uint64 {
	x = (x ^ x>>33) * 0xff51afd7ed558ccd
	x = (x ^ x>>33) * 0xc4ceb9fe1a85ec53
	return x ^ x>>33
}

// compare works a result out anew.
func (v *Verified) compare(kept records.Kept, summarise Summarise) {
	v.Recomputed++
	now, err := recompute(kept.Take, summarise)
	why := ""
	switch {
	case errors.Is(err, take.ErrNoSignal) && kept.Summary.Worst == take.Void:
		return // nothing could be read from it then either
	case err != nil:
		why = err.Error()
	default:
		why = difference(kept.Summary, now)
	}
	if why != "" {
		v.Differing = append(v.Differing, fmt.Sprintf("take %s: %s", kept.Take.ID, why))
	}
}

// difference says in what two summaries differ; empty where they do not.
func difference(then, now records.Summary) string {
	switch off, at := curvesApart(then.Curve, now.Curve); {
	case apart(then.MeanDB, now.MeanDB) > alikeDB:
		return fmt.Sprintf("its mean level is %.3f dB, and %.3f dB was kept", now.MeanDB, then.MeanDB)
	case len(then.Curve) != len(now.Curve) && len(then.Curve) > 0:
		return fmt.Sprintf("its small curve has %d points, and %d were kept", len(now.Curve), len(then.Curve))
	case off > alikeDB:
		return fmt.Sprintf("its small curve is off by %.3f dB at point %d of %d", off, at+1, len(now.Curve))
	case then.Worst != now.Worst:
		return fmt.Sprintf("its worst finding is %s, and %s was kept", orNone(string(now.Worst)), orNone(string(then.Worst)))
	}
	return ""
}

func curvesApart(a, b []float32) (off float64, at int) {
	for i := range min(len(a), len(b)) {
		if d := apart(float64(a[i]), float64(b[i])); d > off {
			off, at = d, i
		}
	}
	return off, at
}

func orNone(text string) string {
	if text == "" {
		return "none"
	}
	return text
}
