package log

import (
	"fmt"
	"math"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// windowSlack lets a window end at a stamp that rounding has put a hair before
// its width.
const windowSlack = 1e-9

// Merge returns a series with one step in place of all samples of a window, and
// a finding that says how many became how many. Windows follow each other from
// the first stamp to the last; each ends at the first stamp at least width
// after its beginning (s, finite, above 0), and what remains at the end belongs
// to the last one. Each step has the mean of the series over its window, so that
// the integral over any whole number of windows, and with it the energy of a
// logged power, stays the same. A last sample keeps the last stamp and value.
//
// The result holds its values (see spec.Series.Hold) whatever s does. A series
// that is no denser than the width comes back with as many samples.
func Merge(s *spec.Series, width float64) (merged *spec.Series, finding string, err error) {
	if !(width > 0) || math.IsInf(width, 0) {
		return nil, "", fmt.Errorf("merging a log: a window of %v s is not possible: use a time above 0, for example 1 s", width)
	}
	if err := s.Check(); err != nil {
		return nil, "", fmt.Errorf("merging a log: %w", err)
	}
	merged = &spec.Series{Hold: true}
	last := len(s.Times) - 1
	for begin := 0; begin < last; {
		end := windowEnd(s.Times, begin, width)
		merged.Times = append(merged.Times, s.Times[begin])
		merged.Values = append(merged.Values, s.Mean(s.Times[begin], s.Times[end]))
		begin = end
	}
	merged.Times = append(merged.Times, s.Times[last])
	merged.Values = append(merged.Values, s.Values[last])
	finding = fmt.Sprintf("merged: %s became %d, steps of at least %s with the same integral",
		plural(len(s.Times), "sample"), len(merged.Times), quantity.Format(width, spec.Time))
	return merged, finding, nil
}

// windowEnd returns the stamp at which the window that begins with another one
// ends: the last if less than a width would remain behind it.
func windowEnd(times []float64, begin int, width float64) int {
	last := len(times) - 1
	least := width * (1 - windowSlack)
	end := begin + 1
	for end < last && times[end]-times[begin] < least {
		end++
	}
	if times[last]-times[end] < least {
		return last
	}
	return end
}
