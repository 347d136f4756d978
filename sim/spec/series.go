package spec

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"slices"
)

// seriesVersion changes whenever the form that Digest hashes does.
const seriesVersion = "soakledger series 1"

// Series is a quantity over time that has been read already: a measured log or
// a schedule. Times are seconds from its start, at least 0 and strictly rising;
// Values are in SI units, one for each time. Before the first stamp the first
// value holds, from the last one on the last.
//
// A Series is treated as immutable, so that everything that uses it may share
// its memory. Its methods other than Check need a series that Check accepts.
type Series struct {
	Times  []float64 // s
	Values []float64 // SI
	Hold   bool      // each value holds until the next stamp; otherwise straight lines join them
}

// Check says what keeps the series from being one: no samples, lengths that
// differ, a time or a value that is not finite, a time below 0, times that do
// not rise. Samples are counted from 1.
func (s *Series) Check() error {
	switch {
	case len(s.Times) != len(s.Values):
		return fmt.Errorf("series: %d times and %d values: each value needs one time", len(s.Times), len(s.Values))
	case len(s.Times) == 0:
		return errors.New("series: it has no samples: it needs one at least")
	case s.Times[0] < 0:
		return fmt.Errorf("series: sample 1 lies at %v s: times count from the start, 0 s", s.Times[0])
	}
	for i, t := range s.Times {
		switch {
		case !finite(t):
			return fmt.Errorf("series: the time of sample %d is %v, not a finite number", i+1, t)
		case !finite(s.Values[i]):
			return fmt.Errorf("series: the value of sample %d, at %v s, is %v, not a finite number", i+1, t, s.Values[i])
		case i > 0 && t <= s.Times[i-1]:
			return fmt.Errorf("series: sample %d lies at %v s and the one before it at %v s: times must rise", i+1, t, s.Times[i-1])
		}
	}
	return nil
}

// Duration returns the time of the last stamp, s from the start.
func (s *Series) Duration() float64 { return s.Times[len(s.Times)-1] }

// At returns the value at t, a finite time in s from the start. At a stamp it
// is the value of that stamp, exactly.
func (s *Series) At(t float64) float64 { return s.within(s.segment(t), t) }

// segment returns the index of the last stamp at or before t, -1 if t lies
// before the first.
func (s *Series) segment(t float64) int {
	i, found := slices.BinarySearch(s.Times, t)
	if found {
		return i
	}
	return i - 1
}

// within returns the value at t, which lies in the segment that begins with
// stamp i.
func (s *Series) within(i int, t float64) float64 {
	switch {
	case i < 0:
		return s.Values[0]
	case s.Hold || i == len(s.Times)-1 || t == s.Times[i]:
		return s.Values[i]
	}
	share := (t - s.Times[i]) / (s.Times[i+1] - s.Times[i])
	return s.Values[i] + share*(s.Values[i+1]-s.Values[i])
}

// Integral returns the integral of the value over time from one time to
// another, finite and in s from the start; its unit is that of the values times
// s. Each segment is integrated exactly and the sum is compensated, so that a
// long log loses nothing but the rounding of its segments. Taken the other way
// round the integral changes its sign.
func (s *Series) Integral(from, to float64) float64 {
	if to < from {
		return -s.Integral(to, from)
	}
	var area compensated
	begin, value := from, s.At(from)
	for i := s.segment(from); begin < to; i++ {
		end, next := to, 0.0
		if i+1 < len(s.Times) && s.Times[i+1] <= to {
			end, next = s.Times[i+1], s.Values[i+1]
		} else {
			next = s.within(i, to)
		}
		mean := value
		if !s.Hold {
			mean = value/2 + next/2
		}
		area.add(mean * (end - begin))
		begin, value = end, next
	}
	return area.sum + area.lost
}

// Mean returns the mean over an interval whose ends are finite times in s from
// the start, in either order: the exact integral by the length; over no length
// at all the value there.
func (s *Series) Mean(from, to float64) float64 {
	if from == to {
		return s.At(from)
	}
	return s.Integral(from, to) / (to - from)
}

// Clone returns a copy with memory of its own.
func (s *Series) Clone() *Series {
	return &Series{Times: slices.Clone(s.Times), Values: slices.Clone(s.Values), Hold: s.Hold}
}

// Digest returns the SHA-256, in hexadecimal, of the samples and of Hold: what
// the series contributes to the hash of a scenario. Where the samples were read
// from does not show.
//
// The canonical form is a line of seriesVersion, "hold" or "linear" and the
// number of samples, then time and value of each sample as IEEE 754 binary64,
// most significant byte first (zero without a sign).
func (s *Series) Digest() string {
	kind := "linear"
	if s.Hold {
		kind = "hold"
	}
	h := sha256.New()
	fmt.Fprintf(h, "%s %s %d\n", seriesVersion, kind, len(s.Times))
	block := make([]byte, 0, 8192)
	for i, t := range s.Times {
		block = appendBits(appendBits(block, t), s.Values[i])
		if len(block) == cap(block) {
			h.Write(block)
			block = block[:0]
		}
	}
	h.Write(block)
	return hex.EncodeToString(h.Sum(nil))
}

func appendBits(b []byte, x float64) []byte {
	if x == 0 {
		x = 0 // drops the sign of a negative zero
	}
	return binary.BigEndian.AppendUint64(b, math.Float64bits(x))
}

// compensated is a sum that keeps what each addition rounds off (A. Neumaier,
// Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen,
// Zeitschrift für angewandte Mathematik und Mechanik 54, 1974, algorithm IV;
// value from memory, not checked against the source).
type compensated struct{ sum, lost float64 }

func (c *compensated) add(x float64) {
	total := c.sum + x
	if math.Abs(c.sum) >= math.Abs(x) {
		c.lost += (c.sum - total) + x
	} else {
		c.lost += (x - total) + c.sum
	}
	c.sum = total
}
