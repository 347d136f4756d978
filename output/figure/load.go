package figure

import "math"

// likeLoad is by how much loads may differ, over the greatest, and still be drawn as
// one: a fan that turns faster draws a little more.
const likeLoad = 0.05

// sharedLoad returns the run with the longest load, and by how much (W) the loads of
// the others differ from it at most while they last. Without loads it returns -1.
func (f *Figure) sharedLoad() (longest int, differ float64) {
	longest = -1
	for i := range f.Runs {
		r := &f.Runs[i]
		if r.Load != nil && (longest < 0 || r.end() > f.Runs[longest].end()) {
			longest = i
		}
	}
	for i := range f.Runs {
		if r := &f.Runs[i]; r.Load != nil {
			s := &f.Runs[longest]
			differ = max(differ, r.differs(s), s.differs(r))
		}
	}
	return longest, differ
}

func (r *Run) end() float64 { return r.Times[len(r.Times)-1] }

// differs returns by how much at most the load of s differs from that of r at those
// times of r that s has.
func (r *Run) differs(s *Run) float64 {
	most, k := 0.0, 0
	for i, t := range r.Times {
		if t < s.Times[0] || t > s.end() {
			continue
		}
		for s.Times[k] < t {
			k++
		}
		load := s.Load[k]
		if s.Times[k] > t {
			share := (t - s.Times[k-1]) / (s.Times[k] - s.Times[k-1])
			load = s.Load[k-1] + share*(load-s.Load[k-1])
		}
		most = max(most, math.Abs(load-r.Load[i]))
	}
	return most
}
