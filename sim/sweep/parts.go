package sweep

import (
	"fmt"
	"iter"
)

// Parts cuts the runs of a plan into slices of neighbouring numbers, all of one
// size but the last. Which run lies in which slice follows from the plan and the
// size alone.
type Parts struct{ runs, size int }

// Parts cuts the plan into slices of size runs, size >= 1.
func (p *Plan) Parts(size int) (Parts, error) {
	if size < 1 {
		return Parts{}, fmt.Errorf("sweep: a slice of %d runs: want at least one", size)
	}
	return Parts{runs: p.count, size: min(size, p.count)}, nil
}

// Count returns the number of slices.
func (x Parts) Count() int { return (x.runs + x.size - 1) / x.size }

// Slice returns the runs of slice k, 0 <= k < Count(): from, and up to before to.
func (x Parts) Slice(k int) (from, to int) {
	return k * x.size, min((k+1)*x.size, x.runs)
}

// Shard walks over the slices of shard i of n, 0 <= i < n: every n-th from i on.
// Runs that take long are often neighbours, since they share the value of a slow
// axis; dealt out in turn they are spread over all shards.
func (x Parts) Shard(i, n int) (iter.Seq[int], error) {
	if n < 1 || i < 0 || i >= n {
		return nil, fmt.Errorf("sweep: there is no shard %d of %d: the shards of n are numbered 0 to n-1", i, n)
	}
	return func(yield func(int) bool) {
		for k := i; k < x.Count(); k += n {
			if !yield(k) {
				return
			}
		}
	}, nil
}
