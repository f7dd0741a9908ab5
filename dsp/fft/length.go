package fft

import "math/bits"

// GoodLength returns the smallest length of at least n that a Real plan takes
// and does fast: even, with no prime factor above 5 and few factors of 3 and 5.
// It is at most a quarter longer than n, for n above 16.
func GoodLength(n int) int {
	if n <= 16 {
		return 16
	}
	best := 1 << bits.Len(uint(n-1))
	for _, odd := range []int{3, 5, 9, 15} {
		l := odd
		for l < n {
			l *= 2
		}
		if l%2 == 0 && l < best {
			best = l
		}
	}
	return best
}

// smooth reports whether n has no prime factor above 5.
func smooth(n int) bool {
	for _, p := range []int{2, 3, 5} {
		for n > 0 && n%p == 0 {
			n /= p
		}
	}
	return n == 1
}
