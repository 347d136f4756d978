package work

import (
	"errors"
	"fmt"
	"math"
)

// Series is a power over time as measured or computed elsewhere: values at
// stamps.
type Series struct {
	Times  []float64 // s, ascending, the first 0
	Values []float64 // W or shares, one a stamp
	Linear bool      // join the values by lines; if not, each holds until the next stamp
	Last   float64   // s, how long the last value holds; 0: as long as the interval before it
}

// Replay returns the pattern that repeats a series, cycles times (cycles 0: for
// ever), and then rests at rest. At its stamps of the first cycle it has exactly
// the series' values; in later ones the stamps are shifted by whole cycles,
// which last from the first stamp to the end of the last value.
//
// The pattern keeps the two slices, which must not be changed afterwards, and no
// copy of them. It fails if they differ in length or are empty, if stamps do not
// ascend from 0, if a value is not finite, and if a single value does not say
// how long it holds.
func Replay(s Series, cycles int, rest float64) (Pattern, error) {
	last, err := s.check()
	if err != nil {
		return Pattern{}, err
	}
	n := len(s.Times)
	sc := &script{starts: s.Times, length: s.Times[n-1] + last, first: s.Values}
	if s.Linear {
		sc.final = s.Values[1:] // one less than the pieces: the last value holds
	}
	return repeat(sc, cycles, rest)
}

// check returns how long the last value holds, s.
func (s Series) check() (float64, error) {
	n := len(s.Times)
	switch {
	case n != len(s.Values):
		return 0, fmt.Errorf("work: a series has %d stamps, but %d values", n, len(s.Values))
	case n == 0:
		return 0, errors.New("work: a series needs at least one value")
	case s.Times[0] != 0:
		return 0, fmt.Errorf("work: a series starts at %g s, but its stamps must count from 0", s.Times[0])
	case !(s.Last >= 0) || math.IsInf(s.Last, 0):
		return 0, fmt.Errorf("work: the last value of a series cannot hold for %g s", s.Last)
	}
	for i, v := range s.Values {
		if !finite(v) {
			return 0, fmt.Errorf("work: value %d of a series is %g", i+1, v)
		}
		if i > 0 && (!(s.Times[i] > s.Times[i-1]) || math.IsInf(s.Times[i], 0)) {
			return 0, fmt.Errorf("work: stamp %d of a series is %g s, after one of %g s", i+1, s.Times[i], s.Times[i-1])
		}
	}
	last := s.Last
	if last == 0 && n > 1 {
		last = s.Times[n-1] - s.Times[n-2]
	}
	if !(s.Times[n-1]+last > s.Times[n-1]) {
		return 0, errors.New("work: the last value of a series does not last: say how long it holds")
	}
	return last, nil
}
