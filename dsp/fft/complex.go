package fft

import (
	"runtime"
	"sync"
)

const (
	// block is how many columns or rows are transformed side by side: as many
	// complex numbers as two cache lines hold.
	block = 8
	// direct is the longest complex transform done in one piece.
	direct = 1 << 11
	// parallel is the shortest complex transform shared between processors.
	parallel = 1 << 14
)

// plan is a complex transform of length n, forward only.
type plan struct {
	n        int
	one      *stockham // for n up to direct
	n1, n2   int       // otherwise n = n1*n2
	cols     *stockham
	rows     *stockham
	twiddles roots
}

func newPlan(n int) *plan {
	if n <= direct {
		return &plan{n: n, one: newStockham(n)}
	}
	n1, n2 := split(n)
	return &plan{n: n, n1: n1, n2: n2, cols: newStockham(n1), rows: newStockham(n2), twiddles: newRoots(n)}
}

// split factors n into two numbers as near each other as n allows, the first a
// multiple of block where there is one of some size.
func split(n int) (n1, n2 int) {
	whole := 1
	for d := 1; d*d <= n; d++ {
		if n%d != 0 {
			continue
		}
		n1 = d
		if d%block == 0 {
			whole = d
		}
	}
	if 4*whole >= n1 {
		n1 = whole
	}
	return n1, n / n1
}

// roots holds e^{-j2πk/n} for all k as products of two short tables.
type roots struct {
	shift  uint
	mask   int
	coarse []complex128
	fine   []complex128
}

func newRoots(n int) roots {
	r := roots{}
	for 1<<(2*r.shift) < n {
		r.shift++
	}
	r.mask = 1<<r.shift - 1
	for k := 0; k <= n>>r.shift; k++ {
		r.coarse = append(r.coarse, root(k<<r.shift, n))
	}
	for k := 0; k <= r.mask; k++ {
		r.fine = append(r.fine, root(k, n))
	}
	return r
}

func (r *roots) at(k int) complex128 { return r.coarse[k>>r.shift] * r.fine[k&r.mask] }

// transform writes the transform of src to dst; both hold n values and must not
// overlap. scratch holds n values. src is left as it was.
func (p *plan) transform(dst, src, scratch []complex128) {
	if p.one != nil {
		copy(scratch, src)
		out := p.one.transform(scratch, dst, 1)
		if &out[0] != &dst[0] {
			copy(dst, out)
		}
		return
	}
	share(p.n2, p.n >= parallel, func(from, to int, x, y []complex128) { p.columns(scratch, src, from, to, x, y) }, p.n1)
	share(p.n1, p.n >= parallel, func(from, to int, x, y []complex128) { p.lines(dst, scratch, from, to, x, y) }, p.n2)
}

// columns transforms the columns from ≤ c < to of src, seen as n1 rows of n2, and
// turns each by its twiddle factor.
func (p *plan) columns(dst, src []complex128, from, to int, x, y []complex128) {
	for c := from; c < to; c += block {
		b := min(block, to-c)
		for j := 0; j < p.n1; j++ {
			copy(x[j*b:j*b+b], src[j*p.n2+c:])
		}
		out := p.cols.transform(x[:p.n1*b], y[:p.n1*b], b)
		for k := 0; k < p.n1; k++ {
			in, to := out[k*b:k*b+b], dst[k*p.n2+c:][:b]
			w, step := p.twiddles.at(k*c), p.twiddles.at(k)
			for q, v := range in {
				to[q] = v * w
				w *= step
			}
		}
	}
}

// lines transforms the rows from ≤ r < to of src and writes them to dst as columns.
func (p *plan) lines(dst, src []complex128, from, to int, x, y []complex128) {
	for r := from; r < to; r += block {
		b := min(block, to-r)
		for q := 0; q < b; q++ {
			for j, v := range src[(r+q)*p.n2 : (r+q+1)*p.n2] {
				x[j*b+q] = v
			}
		}
		out := p.rows.transform(x[:p.n2*b], y[:p.n2*b], b)
		for k := 0; k < p.n2; k++ {
			copy(dst[k*p.n1+r:k*p.n1+r+b], out[k*b:k*b+b])
		}
	}
}

// share cuts 0 … n into whole blocks, one part for each processor, and waits for
// all. length is that of the transforms, for the scratch each part needs.
func share(n int, wide bool, work func(from, to int, x, y []complex128), length int) {
	parts := 1
	if wide {
		parts = min(runtime.GOMAXPROCS(0), 8)
	}
	size := (n/block/parts + 1) * block
	var wg sync.WaitGroup
	for from := 0; from < n; from += size {
		wg.Go(func() {
			buffer := make([]complex128, 2*length*block)
			work(from, min(from+size, n), buffer[:length*block], buffer[length*block:])
		})
	}
	wg.Wait()
}
