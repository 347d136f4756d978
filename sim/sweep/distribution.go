package sweep

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// quantile returns the value below which a share of all draws lies. Shares lie
// between 0 and 1, both ends left out.
type quantile func(share float64) float64

// uniform spreads draws evenly.
func uniform(low, high float64) quantile {
	return func(u float64) float64 { return low + u*(high-low) }
}

// logUniform spreads the logarithm of draws evenly; low and high are above zero.
func logUniform(low, high float64) quantile {
	return func(u float64) float64 { return low * math.Exp(u*math.Log(high/low)) }
}

// whole draws the whole numbers from low to high, each as likely.
func whole(low, high float64) quantile {
	return func(u float64) float64 { return min(low+math.Floor(u*(high-low+1)), high) }
}

// truncatedNormal is a normal distribution of which only the part from low to
// high is drawn. Its quantile is that of the whole distribution at a share
// between those at both ends; above the mean everything is mirrored, so that
// shares near one are not rounded to one.
func truncatedNormal(mean, deviation, low, high float64) quantile {
	a, b := (low-mean)/deviation, (high-mean)/deviation
	if a > 0 {
		mirrored := truncatedNormal(-mean, deviation, -high, -low)
		return func(u float64) float64 { return -mirrored(1 - u) }
	}
	below, upTo := normalShare(a), normalShare(b)
	return func(u float64) float64 {
		z := mathext.NormalQuantile(min(below+u*(upTo-below), 1-0x1p-53))
		return mean + deviation*min(max(z, a), b)
	}
}

// normalShare returns the share of a standard normal distribution below z.
func normalShare(z float64) float64 { return math.Erfc(-z/math.Sqrt2) / 2 }

// triangular has a density that rises along a line from low to mode and falls
// along one to high. Its quantile is the inverse of two parabolas.
func triangular(low, mode, high float64) quantile {
	width := high - low
	turn := (mode - low) / width
	return func(u float64) float64 {
		if u < turn {
			return low + math.Sqrt(u*width*(mode-low))
		}
		return high - math.Sqrt((1-u)*width*(high-mode))
	}
}
