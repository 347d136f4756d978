package figure

import (
	"math"
	"strconv"
)

// scale is a range of values with marks.
type scale struct {
	low, high float64
	marks     []float64
	decimals  int // of the marks
}

// leastSpan is the smallest range of a scale, in the unit of its values: a machine
// that rests is drawn as a level line, not as rounding noise.
const leastSpan = 1

// newScale returns a scale over low to high with some room beyond, and at most so many
// marks (at least 2).
func newScale(low, high float64, most int) scale {
	span := max(high-low, leastSpan, 1e-9*max(math.Abs(low), math.Abs(high)))
	middle := low + (high-low)/2
	const room = 0.05 // of the span, on either side
	s := scale{low: middle - (0.5+room)*span, high: middle + (0.5+room)*span}
	s.markDecimal(most)
	return s
}

// loadScale returns the scale of a power: from zero, or below, to somewhat over its
// highest.
func loadScale(low, high float64, most int) scale {
	low, high = min(low, 0), max(high, 0)
	s := scale{low: low, high: high + 0.08*max(high-low, leastSpan)}
	s.markDecimal(most)
	return s
}

// markDecimal sets the marks by 1, 2 or 5: at most so many, or one more if that is what
// the step for so many intervals gives.
func (s *scale) markDecimal(most int) {
	s.mark(decimalStep(s.high-s.low, most+1))
	if len(s.marks) > most {
		s.mark(decimalStep(s.high-s.low, most))
	}
}

// mark sets the marks, multiples of step.
func (s *scale) mark(step float64) {
	s.marks = nil
	const slack = 1e-9 // of a step: a range may end where a mark is, but for rounding
	first, last := math.Ceil(s.low/step-slack), math.Floor(s.high/step+slack)
	for k := range int(last-first) + 1 {
		s.marks = append(s.marks, (first+float64(k))*step)
	}
	for s.decimals = 0; s.decimals < 12; s.decimals++ {
		x := step * math.Pow10(s.decimals)
		if math.Abs(x-math.Round(x)) <= 1e-6*x {
			return
		}
	}
}

// text returns a mark as it is printed.
func (s *scale) text(mark float64) string {
	if math.Abs(mark) >= 1e7 {
		return strconv.FormatFloat(mark, 'g', 7, 64)
	}
	return strconv.FormatFloat(mark, 'f', s.decimals, 64)
}

// at returns where a value lies, 0 at the low end and 1 at the high end.
func (s *scale) at(v float64) float64 { return (v - s.low) / (s.high - s.low) }

// decimalStep returns the smallest of 1, 2 and 5 times a power of ten of which at most
// so many (at least 2) mark a range of the given span.
func decimalStep(span float64, most int) float64 {
	least := span / float64(most)
	power := math.Pow(10, math.Floor(math.Log10(least)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= least {
			return m * power
		}
	}
	return 10 * power
}

// timeUnit is how times are printed.
type timeUnit struct {
	name    string
	seconds float64
	steps   []float64 // between marks, in the unit, as clocks are read
	upTo    float64   // s, the longest time that is printed so
}

// timeUnits from the shortest to the longest.
var timeUnits = [...]timeUnit{
	{"s", 1, []float64{1, 2, 5, 10, 15, 20, 30, 60}, 3 * 60},
	{"min", 60, []float64{0.5, 1, 2, 5, 10, 15, 20, 30, 60}, 3 * 3600},
	{"h", 3600, []float64{0.5, 1, 2, 3, 4, 6, 12, 24, 48}, math.Inf(1)},
}

// timeScale returns the scale of a time from and to in seconds, in the unit that it
// returns too. It begins and ends with the data.
func timeScale(from, to float64, most int) (scale, timeUnit) {
	to = max(to, from+1)
	longest := max(math.Abs(from), math.Abs(to))
	unit := timeUnits[len(timeUnits)-1]
	for i := len(timeUnits) - 1; i >= 0; i-- {
		if longest <= timeUnits[i].upTo {
			unit = timeUnits[i]
		}
	}
	s := scale{low: from / unit.seconds, high: to / unit.seconds}
	span := s.high - s.low
	step := decimalStep(span, most)
	for _, clock := range unit.steps {
		if step >= unit.steps[0] && clock*float64(most) >= span {
			step = clock
			break
		}
	}
	s.mark(step)
	return s, unit
}
