package control

import "math"

// Change is an output from a time on.
type Change struct {
	Time  float64 // s
	Value float64 // in the output's unit, until the next change
}

// Verdict says how an output behaved over a span of time.
type Verdict struct {
	Changes int     // how often the output changed
	PerHour float64 // changes per hour
	AtZero  float64 // s at exactly 0
	Hunts   bool    // it goes up and down by itself: see Hunting

	// Of the row of reversals that makes it hunt, else 0:
	Reversals int     // how many, each followed by a half swing
	Lasts     float64 // s, from the first to the end of the last half swing
	Period    float64 // s, mean time from one reversal to the next but one
	Swing     float64 // mean size of a half swing, in the output's unit
}

// What counts as the same again. Own choice.
const (
	likeSwing  = 2.0 // the greatest half swing over the least
	likePeriod = 1.5 // the longest period over the shortest
	reversals  = 3   // the fewest that make hunting
)

// Hunting judges a record of an output between two times (s), from below to. In
// changes, times rise; the first is the output at the start of the record, and
// not itself a change; a change at from belongs to the span, one at to does not.
//
// The output hunts if it reverses at least three times in a row, each time
// going on by a comparable amount (no half swing more than twice another) and in
// a regular rhythm (no period, from one reversal to the next but one, more than
// one and a half times another). A half swing runs from one reversal to the next;
// the last may run to the end of the span. Small reversals on the way of a large
// swing do not break it: the coarsest scale is looked at first (swings of at
// least a half of what the output spans, then a quarter, and so on), and the
// first at which the output hunts decides; period and swing are then those with
// every reversal of at least half that swing counted, if they are regular too.
// Whether the load swings is for the caller to say: choose spans of constant
// load. So is whether it matters: an output that dithers by one step of its
// resolution can hunt by this measure, with that swing.
func Hunting(changes []Change, from, to float64) Verdict {
	span := within(changes, from, to)
	if len(span) == 0 {
		return Verdict{}
	}
	v := count(span, from, to)
	low, high, least := spread(span)
	if v.Changes < reversals {
		return v
	}
	for scale := (high - low) / 2; ; scale /= 2 {
		if found := judge(turns(span, scale)); found.swings >= reversals {
			return v.hunting(span, found)
		}
		if scale <= least {
			return v
		}
	}
}

// hunting returns the verdict with the figures of a row of half swings, or of
// the row that half its mean swing as scale gives: a scale close to the swing
// itself may pass over some of its reversals.
func (v Verdict) hunting(span []Change, found run) Verdict {
	finer := judge(turns(span, found.swing.mean()/2))
	if finer.swings >= reversals {
		found = finer
	}
	v.Hunts, v.Reversals, v.Lasts = true, found.swings, found.end-found.begin
	v.Period, v.Swing = found.period.mean(), found.swing.mean()
	return v
}

// within returns the values that hold in the span, the first of them the one
// that holds at from or, if the record begins later, its beginning. Entries that
// repeat a value are left out.
func within(changes []Change, from, to float64) []Change {
	var span []Change
	for _, c := range changes {
		switch {
		case c.Time >= to:
			return span
		case len(span) > 0 && c.Value == span[len(span)-1].Value:
		case len(span) == 1 && c.Time < from:
			span[0] = c
		default:
			span = append(span, c)
		}
	}
	return span
}

// count fills in the figures that need no reversals.
func count(span []Change, from, to float64) Verdict {
	v := Verdict{Changes: len(span) - 1}
	if to > from {
		v.PerHour = float64(v.Changes) / (to - from) * 3600
	}
	for i, c := range span {
		end := to
		if i+1 < len(span) {
			end = span[i+1].Time
		}
		if c.Value == 0 {
			v.AtZero += end - math.Max(c.Time, from)
		}
	}
	return v
}

// spread returns the least and the greatest value and the smallest change.
func spread(span []Change) (low, high, least float64) {
	low, high, least = span[0].Value, span[0].Value, math.Inf(1)
	for i, c := range span[1:] {
		low, high = min(low, c.Value), max(high, c.Value)
		least = min(least, math.Abs(c.Value-span[i].Value))
	}
	return low, high, least
}

// turns returns the reversals of an output, each followed by a swing of at least
// scale, which is above 0, and after them the furthest that the last swing went.
func turns(span []Change, scale float64) []Change {
	var found []Change
	low, high := span[0], span[0] // before the first swing
	extreme, up, swings := span[0], false, false
	for _, c := range span[1:] {
		switch {
		case !swings:
			if c.Value > high.Value {
				high = c
			}
			if c.Value < low.Value {
				low = c
			}
			up = c.Value-low.Value >= scale
			swings = up || high.Value-c.Value >= scale
			extreme = c
		case up && c.Value > extreme.Value, !up && c.Value < extreme.Value:
			extreme = c
		case math.Abs(c.Value-extreme.Value) >= scale:
			found = append(found, extreme)
			extreme, up = c, !up
		}
	}
	return append(found, extreme)
}

// run is a row of half swings: how many, their sizes and periods, and the times
// of its ends (s).
type run struct {
	swings        int
	swing, period extent
	begin, end    float64
}

// extent is the least and the greatest of some figures, and their sum.
type extent struct {
	low, high, sum float64
	n              int
}

func (e extent) with(x float64) extent {
	if e.n == 0 {
		return extent{x, x, x, 1}
	}
	return extent{min(e.low, x), max(e.high, x), e.sum + x, e.n + 1}
}

func (e extent) mean() float64 { return e.sum / float64(e.n) }

// single returns the row of half swing k alone.
func single(ends []Change, k int) run {
	return run{swings: 1, swing: extent{}.with(size(ends, k)), begin: ends[k].Time, end: ends[k+1].Time}
}

// with returns the row with one more half swing, beside it in time, and the
// period that the two make.
func (r run) with(size, period float64) run {
	r.swings++
	r.swing, r.period = r.swing.with(size), r.period.with(period)
	return r
}

// alike reports whether all half swings and all periods of the run are.
func (r run) alike() bool {
	return r.swing.high <= likeSwing*r.swing.low && r.period.high <= likePeriod*r.period.low
}

// size returns the size of half swing k, from turn k to the next.
func size(ends []Change, k int) float64 { return math.Abs(ends[k+1].Value - ends[k].Value) }

// period returns the time from the turn before half swing k to the turn after it, s.
func period(ends []Change, k int) float64 { return ends[k+1].Time - ends[k-1].Time }

// judge returns the longest row of half swings that are alike, of two the first.
func judge(ends []Change) run {
	var best, r run
	for k := range len(ends) - 1 {
		if k == 0 {
			r = single(ends, k)
		} else if r = r.with(size(ends, k), period(ends, k)); !r.alike() {
			r = back(ends, k)
		}
		r.end = ends[k+1].Time
		if r.swings > best.swings {
			best = r
		}
	}
	return best
}

// back returns the longest row that ends with half swing k.
func back(ends []Change, k int) run {
	r := single(ends, k)
	for s := k - 1; s >= 0; s-- {
		longer := r.with(size(ends, s), period(ends, s+1))
		if !longer.alike() {
			break
		}
		r = longer
		r.begin = ends[s].Time
	}
	return r
}
