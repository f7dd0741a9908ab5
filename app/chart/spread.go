package chart

import (
	"cmp"
	"math"
	"slices"
)

// Spread moves labels along a line so that none overlaps another and none leaves
// [lo, hi]. wanted is where their middles would best lie, sizes how long they are.
// The order of the wanted places is kept (that of the slice where they are equal) and
// the sum of the squared displacements is the least possible. It is false where they
// have no room or a wanted place is not known.
//
// With the room of the labels before it taken off, the places need only not fall: an
// isotonic regression, solved by pooling adjacent violators (Barlow et al.,
// "Statistical Inference under Order Restrictions", 1972, section 1.2); limits cut
// the free solution off.
func Spread(wanted, sizes []float64, lo, hi float64) ([]float64, bool) {
	n := len(wanted)
	order := make([]int, n)
	for i := range order {
		order[i] = i
		if !finite(wanted[i]) {
			return nil, false
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(wanted[a], wanted[b]) })
	room := rooms(sizes, order)
	if n == 0 || room[n-1]+(sizes[order[0]]+sizes[order[n-1]])/2 > hi-lo {
		return nil, n == 0
	}
	free := make([]float64, n)
	for i, k := range order {
		free[i] = wanted[k] - room[i]
	}
	pool(free)
	least, most := lo+sizes[order[0]]/2, hi-sizes[order[n-1]]/2-room[n-1]
	out := make([]float64, n)
	for i, k := range order {
		out[k] = math.Min(math.Max(free[i], least), most) + room[i]
	}
	return out, true
}

// rooms is how far the middle of each label lies from that of the first where all
// touch.
func rooms(sizes []float64, order []int) []float64 {
	out := make([]float64, len(order))
	for i := 1; i < len(order); i++ {
		out[i] = out[i-1] + (sizes[order[i-1]]+sizes[order[i]])/2
	}
	return out
}

// pool makes v not fall with the least change of squares: values that fall are
// replaced by their mean.
func pool(v []float64) {
	type block struct {
		mean  float64
		count int
	}
	blocks := make([]block, 0, len(v))
	for _, x := range v {
		b := block{x, 1}
		for len(blocks) > 0 && blocks[len(blocks)-1].mean > b.mean {
			last := blocks[len(blocks)-1]
			total := last.count + b.count
			b = block{(last.mean*float64(last.count) + b.mean*float64(b.count)) / float64(total), total}
			blocks = blocks[:len(blocks)-1]
		}
		blocks = append(blocks, b)
	}
	i := 0
	for _, b := range blocks {
		for range b.count {
			v[i] = b.mean
			i++
		}
	}
}
