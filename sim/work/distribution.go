package work

import (
	"fmt"
	"math"
)

// Distribution says how lengths or levels of random bursts are spread. The zero
// Distribution draws nothing. Each draw takes one random share u of [0, 1) and
// returns the value below which that share of all draws lies; two distributions
// drawn with the same u are thereby as alike as they can be.
type Distribution struct {
	quantile  func(u float64) float64
	low, high float64
	mean      float64
}

// IsZero reports whether the distribution draws nothing.
func (d Distribution) IsZero() bool { return d.quantile == nil }

// Mean returns the mean of all draws.
func (d Distribution) Mean() float64 { return d.mean }

// Bounds returns the least value and one that no draw exceeds; it may be +Inf.
func (d Distribution) Bounds() (low, high float64) { return d.low, d.high }

// At returns the value below which the share u of all draws lies, 0 <= u < 1.
func (d Distribution) At(u float64) float64 {
	// Rounding must not lead out of the stated bounds.
	return max(d.low, min(d.high, d.quantile(u)))
}

// Uniform spreads draws evenly from low to high; both equal is that value
// always.
func Uniform(low, high float64) (Distribution, error) {
	if !finite(low) || !finite(high) || low > high {
		return Distribution{}, fmt.Errorf("work: draws cannot lie evenly from %g to %g", low, high)
	}
	return Distribution{
		quantile: func(u float64) float64 { return mix(low, high, u) },
		low:      low, high: high, mean: mix(low, high, 0.5),
	}, nil
}

// Choice draws one of values, each in proportion to its weight. The values must
// ascend, for a larger draw to be a larger value. It fails if there is no
// weight, or one is negative or not finite.
func Choice(values, weights []float64) (Distribution, error) {
	if len(values) == 0 || len(values) != len(weights) {
		return Distribution{}, fmt.Errorf("work: %d values to choose from have %d weights", len(values), len(weights))
	}
	total, moment := 0.0, 0.0
	values = append([]float64(nil), values...)
	upTo := make([]float64, len(weights))
	for i, w := range weights {
		if !(w >= 0) || math.IsInf(w, 0) {
			return Distribution{}, fmt.Errorf("work: the value %g to choose has the weight %g", values[i], w)
		}
		if !finite(values[i]) || i > 0 && !(values[i] > values[i-1]) {
			return Distribution{}, fmt.Errorf("work: value %d to choose is %g, but values must ascend", i+1, values[i])
		}
		total += w
		moment += float64(w * values[i])
		upTo[i] = total
	}
	if !(total > 0) || math.IsInf(total, 0) {
		return Distribution{}, fmt.Errorf("work: the weights of values to choose from add up to %g", total)
	}
	choose := func(u float64) float64 {
		last := len(values) - 1
		for i, limit := range upTo[:last] {
			if float64(u*total) < limit {
				return values[i]
			}
		}
		return values[last]
	}
	return Distribution{quantile: choose, low: values[0], high: values[len(values)-1], mean: moment / total}, nil
}

// Exponential spreads draws from low to high (it may be +Inf), each equal
// stretch longer being rarer by the same factor, so that mean is the mean of
// what is drawn. It must lie above low and, where there is a high, less than
// 0.499 of the way to it: at the middle the draws would be spread evenly.
func Exponential(mean, low, high float64) (Distribution, error) {
	width := high - low
	share := (mean - low) / width // 0 if there is no bound
	if !finite(low) || !finite(mean) || !(mean > low) || !(width > 0) || !(share < 0.499) {
		return Distribution{}, fmt.Errorf("work: draws from %g to %g that thin out evenly cannot have the mean %g", low, high, mean)
	}
	if math.IsInf(high, 1) {
		scale := mean - low
		return Distribution{
			quantile: func(u float64) float64 { return low - float64(scale*ln(1-u)) },
			low:      low, high: high, mean: mean,
		}, nil
	}
	// With y = width/scale the mean lies at 1/y - 1/(e^y - 1) of the width, by
	// integration; it falls from 1/2 at y = 0, and is less than 1/y.
	y := bisect(1e-3, 1/share, func(y float64) bool { return 1/y-1/(exp(y)-1) > share })
	scale, kept := width/y, 1-exp(-y)
	return Distribution{
		quantile: func(u float64) float64 { return low - float64(scale*ln(1-float64(u*kept))) },
		low:      low, high: high, mean: mean,
	}, nil
}

// Lognormal spreads the logarithm of draws normally, with the standard
// deviation spread before draws outside low (>= 0) and high (it may be +Inf) are
// left out, so that mean is the mean of what is drawn. It fails if the bounds
// would have to cut more than 99 % on one side for that.
func Lognormal(mean, spread, low, high float64) (Distribution, error) {
	if !finite(mean) || !(spread > 0 && spread <= 4) || !(low >= 0 && low < mean && mean < high) {
		return Distribution{}, fmt.Errorf("work: draws from %g to %g cannot have the mean %g and the logarithmic spread %g (0 to 4)", low, high, mean, spread)
	}
	// Without bounds the mean is exp(middle + spread^2/2), and a bound moves it to
	// one side only.
	const tail = 2.326347874 // 99 % of a standard normal distribution lie below
	b := logBounds{spread: spread, low: math.Inf(-1), high: math.Inf(1)}
	from := ln(mean) - float64(spread*spread)/2
	to := from
	if low > 0 {
		b.low = ln(low)
		from = b.low - float64(tail*spread)
	}
	if !math.IsInf(high, 1) {
		b.high = ln(high)
		to = b.high + float64(tail*spread)
	}
	middle := bisect(from, to, func(m float64) bool { return b.mean(m) < mean })
	if math.Abs(b.mean(middle)-mean) > 1e-9*mean {
		return Distribution{}, fmt.Errorf("work: draws with the logarithmic spread %g from %g to %g cannot have the mean %g: the bounds cut nearly all", spread, low, high, mean)
	}
	under, over := normalShare((b.low-middle)/spread), normalShare((b.high-middle)/spread)
	return Distribution{
		quantile: func(u float64) float64 {
			p := min(mix(under, over, u), 1-0x1p-53) // below 1, where the tail ends
			if !(p > 0) {
				return low
			}
			return exp(middle + float64(spread*normalQuantile(p)))
		},
		low: low, high: high, mean: mean,
	}, nil
}

// logBounds is a normal distribution of logarithms that is cut on both sides.
type logBounds struct {
	spread    float64
	low, high float64 // logarithms
}

// mean returns the mean of what is left with the middle at m:
// exp(m + s^2/2) (P(h-s) - P(l-s)) / (P(h) - P(l)), where P is the normal share
// and l, h are the bounds in spreads from the middle, by integration.
func (b logBounds) mean(m float64) float64 {
	l, h := (b.low-m)/b.spread, (b.high-m)/b.spread
	kept := normalShare(h) - normalShare(l)
	return exp(m+float64(b.spread*b.spread)/2) * (normalShare(h-b.spread) - normalShare(l-b.spread)) / kept
}

// bisect returns where below turns from true to false between from and to.
func bisect(from, to float64, below func(float64) bool) float64 {
	for {
		middle := from + (to-from)/2
		if !(middle > from && middle < to) {
			return middle
		}
		if below(middle) {
			from = middle
		} else {
			to = middle
		}
	}
}
