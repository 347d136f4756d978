package network

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

// exact returns e^x in 200 bits: the series at x/1024, squared ten times.
func exact(x float64) *big.Float {
	const bits = 200
	z := new(big.Float).SetPrec(bits).SetFloat64(x)
	z.Quo(z, big.NewFloat(1024))
	sum, term := new(big.Float).SetPrec(bits).SetInt64(1), new(big.Float).SetPrec(bits).SetInt64(1)
	for k := int64(1); k < 60; k++ {
		term.Mul(term, z)
		term.Quo(term, new(big.Float).SetInt64(k))
		sum.Add(sum, term)
	}
	for range 10 {
		sum.Mul(sum, sum)
	}
	return sum
}

// offBy returns how far got is from e^x, in units of its last place.
func offBy(got, x float64) float64 {
	d := new(big.Float).SetPrec(200).SetFloat64(got)
	d.Sub(d, exact(x))
	units, _ := d.Float64()
	return math.Abs(units) / (math.Nextafter(got, math.Inf(1)) - got)
}

// The result is within 1.5 units of the last place; that of math.Exp, whose
// assembly is off by up to 1.4, would pass as well.
func TestExponential(t *testing.T) {
	for _, x := range []float64{0, 1, -1, math.Ln2 / 256, -math.Ln2 / 256, 699.99, -699.99, 1e-300, -0.41613642437936726, 7.255298376083374} {
		if off := offBy(exponential(x), x); !(off <= 1.5) {
			t.Errorf("exponential(%v) = %v, off by %g units", x, exponential(x), off)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		for _, limit := range []float64{699, 1.5} {
			x := rapid.Float64Range(-limit, limit).Draw(t, "x")
			if off := offBy(exponential(x), x); !(off <= 1.5) {
				t.Fatalf("exponential(%v) = %v, off by %g units", x, exponential(x), off)
			}
		}
	})
}

func TestExponentialAtTheEnds(t *testing.T) {
	for _, c := range []struct{ x, want float64 }{
		{0, 1}, {math.Inf(1), math.Inf(1)}, {math.Inf(-1), 0}, {1e4, math.Inf(1)}, {-1e4, 0},
		{700, math.Exp(700)}, {-700, math.Exp(-700)}, {709.5, math.Exp(709.5)}, {-740, math.Exp(-740)},
	} {
		if got := exponential(c.x); got != c.want {
			t.Errorf("exponential(%g) = %g, want %g", c.x, got, c.want)
		}
	}
	if got := exponential(math.NaN()); !math.IsNaN(got) {
		t.Errorf("exponential(NaN) = %g", got)
	}
}
