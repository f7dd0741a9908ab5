package database

import (
	"math"
	"sort"
	"strings"
	"time"
)

// span is a range of numbers of takes, its ends included.
type span struct{ first, last int64 }

func always() span { return span{math.MinInt64, math.MaxInt64} }

func (s span) meet(o span) span { return span{max(s.first, o.first), min(s.last, o.last)} }

func (s span) isEmpty() bool { return s.first > s.last }

// before and after are what is left of one span outside another.
func (s span) before(o span) span {
	if o.first == math.MinInt64 {
		return span{1, 0}
	}
	return s.meet(span{math.MinInt64, o.first - 1})
}

func (s span) after(o span) span {
	if o.last == math.MaxInt64 {
		return span{1, 0}
	}
	return s.meet(span{o.last + 1, math.MaxInt64})
}

// daysFrom is the span of the days whose names begin so, in the time of this place:
// 2026, 2026-1 (October to December), 2026-11-2. It is false where there are none.
func daysFrom(begin string) (span, bool) {
	if strings.Trim(begin, "0123456789-") != "" {
		return span{}, false
	}
	const behindDigits = ":"
	first, end := numberAt(dayNamed(begin)), numberAt(dayNamed(begin+behindDigits))
	if first == end {
		return span{}, false
	}
	return span{first, end - 1}, true
}

// dayNamed is the first day whose name, as 2026-11-24, is not before the one given.
func dayNamed(name string) time.Time {
	const days = 9999 * 366
	day := func(n int) time.Time { return time.Date(1, 1, 1+n, 0, 0, 0, 0, time.Local) }
	return day(sort.Search(days, func(n int) bool { return day(n).Format(time.DateOnly) >= name }))
}

// numberAt is the least number that a take of that time has. Times that no number
// can tell count as the nearest that one can.
func numberAt(at time.Time) int64 {
	const least, most = math.MinInt64 / numbersInMicrosecond, math.MaxInt64 / numbersInMicrosecond
	return min(max(at.UnixMicro(), least), most) * numbersInMicrosecond
}
