package take

import "fmt"

// Side is the side of a headphone.
type Side string

// The sides. Untold stands for one that nobody named, and for what has none.
const (
	Untold Side = ""
	Left   Side = "left"
	Right  Side = "right"
)

// Series says which of the seatings of a series a take is: a headphone lifted off
// its fixture and put back between takes. The zero value belongs to a take that
// stands alone.
type Series struct {
	ID      string `json:",omitzero"` // the same in all takes of the series
	Number  int    `json:",omitzero"` // of this seating on its side, from 1
	Of      int    `json:",omitzero"` // how many seatings were meant for each side
	LeftOut bool   `json:",omitzero"` // kept, but not part of the mean
}

// AnalyseSeries analyses n takes of one series, where analyse reads the take of an
// index. All are read with one gate: an automatic one is that of the first take.
func AnalyseSeries(n int, set Settings, analyse func(i int, set Settings) (*Analysis, error)) ([]*Analysis, error) {
	auto := set.Gate.Auto
	var out []*Analysis
	for i := range n {
		a, err := analyse(i, set)
		if err != nil {
			return nil, fmt.Errorf("seating %d of the series: %w", i+1, err)
		}
		set.Gate = a.Settings.Gate
		set.Gate.Auto = false
		b := *a
		b.Settings.Gate.Auto = auto
		out = append(out, &b)
	}
	return out, nil
}
