package database

import (
	"context"
	"hash/fnv"
	"time"
)

// The number of a take sorts as its time, and names it in the tables that a search
// walks through: the microsecond times 1024, and ten bits of its ID to keep takes of
// one microsecond apart.
const numbersInMicrosecond = 1 << 10

func numberOf(id string, at time.Time) int64 {
	hash := fnv.New32a() // FNV-1a, by Fowler, Noll and Vo
	hash.Write([]byte(id))
	return at.UnixMicro()*numbersInMicrosecond + int64(hash.Sum32()%numbersInMicrosecond)
}

// numbers gives each take a number that none has.
func (w *writing) numbers(ctx context.Context, takes []packedTake) ([]int64, error) {
	numbers, taken := make([]int64, len(takes)), map[int64]bool{}
	for i, p := range takes {
		numbers[i] = numberOf(p.Take.ID, p.Take.At)
	}
	err := chunked(numbers, func(some []int64) error {
		found, err := collect(ctx, w.session, "SELECT number FROM take WHERE number IN ("+marks(len(some))+")", anys(some), whole)
		for _, n := range found {
			taken[n] = true
		}
		return err
	})
	for i := range numbers {
		for taken[numbers[i]] && err == nil {
			numbers[i]++
			if !taken[numbers[i]] {
				taken[numbers[i]], err = w.isTaken(ctx, numbers[i])
			}
		}
		taken[numbers[i]] = true
	}
	return numbers, err
}

func (w *writing) isTaken(ctx context.Context, number int64) (bool, error) {
	var n int
	err := w.row(ctx, "SELECT count(*) FROM take WHERE number = ?", []any{number}, &n)
	return n > 0, err
}

// whole reads a row of one whole number.
func whole(r scanner) (int64, error) {
	var n int64
	err := r.Scan(&n)
	return n, err
}
