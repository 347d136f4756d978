package fit

import "math"

// residual is measured minus modelled at the samples within a run, at least one.
type residual struct {
	at  []float64 // s, rising
	k   []float64 // K
	gap float64   // s, the longest step that is no gap
}

// gaps returns how many steps are gaps, and their length together, s.
func (r *residual) gaps() (count int, length float64) {
	for i := 1; i < len(r.at); i++ {
		if step := r.at[i] - r.at[i-1]; step > r.gap {
			count, length = count+1, length+step
		}
	}
	return count, length
}

// sum returns the figures of the residual less an offset (K), with a tail of the
// given length, s.
func (r *residual) sum(tail, offset float64) Difference {
	d := Difference{Largest: r.k[0] - offset, LargestAt: r.at[0]}
	for i, k := range r.k {
		if math.Abs(k-offset) > math.Abs(d.Largest) {
			d.Largest, d.LargestAt = k-offset, r.at[i]
		}
	}
	mean, square := r.means(r.at[0], offset)
	d.Mean, d.RMS = mean, math.Sqrt(square)
	d.Tail, _ = r.means(r.at[len(r.at)-1]-tail, offset)
	return d
}

// means returns the means over time, from a time (s) on, of the residual less an
// offset and of its square. A step that contains from counts with the part behind
// it. Samples that stand alone between gaps have no time of their own; where there
// are no others, they count alike.
func (r *residual) means(from, offset float64) (mean, square float64) {
	var length float64
	for i := 1; i < len(r.at); i++ {
		begin, end := r.at[i-1], r.at[i]
		if end <= from || end-begin > r.gap {
			continue
		}
		x, y := r.k[i-1]-offset, r.k[i]-offset
		if begin < from {
			x += (from - begin) / (end - begin) * (y - x)
			begin = from
		}
		mean += (x + y) / 2 * (end - begin)
		square += (x*x + y*y) / 2 * (end - begin)
		length += end - begin
	}
	if length == 0 {
		return r.alone(from, offset)
	}
	return mean / length, square / length
}

// alone returns the same means over the samples from a time on, each with the same
// weight. The time is not behind the last sample.
func (r *residual) alone(from, offset float64) (mean, square float64) {
	count := 0.0
	for i, at := range r.at {
		if at >= from {
			x := r.k[i] - offset
			mean, square, count = mean+x, square+x*x, count+1
		}
	}
	return mean / count, square / count
}
