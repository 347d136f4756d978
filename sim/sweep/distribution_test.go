package sweep

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
	"pgregory.net/rapid"
)

// moments integrates a quantile function over all shares: mean and variance of
// what it draws. Gauss-Legendre over pieces that shorten towards both ends, where
// the slope may be infinite.
func moments(q quantile) (mean, variance float64) {
	piece := func(f func(float64) float64) float64 {
		sum, end := 0.0, 0.5
		for range 45 {
			sum += quad.Fixed(f, end/2, end, 40, nil, 0) + quad.Fixed(f, 1-end, 1-end/2, 40, nil, 0)
			end /= 2
		}
		return sum
	}
	mean = piece(q)
	variance = piece(func(u float64) float64 { d := q(u) - mean; return d * d })
	return mean, variance
}

// TestMoments compares with the closed forms of N. L. Johnson, S. Kotz, N.
// Balakrishnan, Continuous Univariate Distributions, 2nd ed. (1994, 1995), of the
// uniform (26.1), triangular (26.9) and doubly truncated normal distribution
// (13.10.1); numbers of equations from memory, not checked against the source.
func TestMoments(t *testing.T) {
	truncated := func(mean, deviation, low, high float64) (m, v float64) {
		n := distuv.UnitNormal
		a, b := (low-mean)/deviation, (high-mean)/deviation
		z := n.CDF(b) - n.CDF(a)
		shift := (n.Prob(a) - n.Prob(b)) / z
		return mean + deviation*shift, deviation * deviation * (1 + (a*n.Prob(a)-b*n.Prob(b))/z - shift*shift)
	}
	type moment struct{ mean, variance float64 }
	tn := func(mean, deviation, low, high float64) moment {
		m, v := truncated(mean, deviation, low, high)
		return moment{m, v}
	}
	ratio := math.Log(9. / 2)
	for name, c := range map[string]struct {
		q    quantile
		want moment
	}{
		"uniform":            {uniform(2, 5), moment{3.5, 9. / 12}},
		"log uniform":        {logUniform(2, 9), moment{7 / ratio, (81-4)/(2*ratio) - 49/(ratio*ratio)}}, // integrals of e^x and e^2x
		"triangular":         {triangular(1, 2, 5), moment{8. / 3, (1 + 4 + 25 - 2 - 5 - 10) / 18.}},
		"right angle, low":   {triangular(1, 1, 4), moment{2, 9. / 18}},
		"right angle, high":  {triangular(1, 4, 4), moment{3, 9. / 18}},
		"normal":             {truncatedNormal(20, 1.5, 20-100, 20+100), moment{20, 2.25}},
		"truncated":          {truncatedNormal(20, 2, 18, 25), tn(20, 2, 18, 25)},
		"truncated, one leg": {truncatedNormal(20, 2, 21, 30), tn(20, 2, 21, 30)},
		"truncated, tail":    {truncatedNormal(0, 1, 4, 6), tn(0, 1, 4, 6)},
		"truncated, low leg": {truncatedNormal(0, 1, -6, -4), tn(0, 1, -6, -4)},
	} {
		mean, variance := moments(c.q)
		if math.Abs(mean-c.want.mean) > 1e-9*math.Abs(c.want.mean) || math.Abs(variance-c.want.variance) > 2e-7*c.want.variance {
			t.Errorf("%s: mean %.12g and variance %.12g, want %.12g and %.12g", name, mean, variance, c.want.mean, c.want.variance)
		}
	}
}

// TestQuantiles compares with those of gonum, which are programmed otherwise.
func TestQuantiles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.Float64Range(1e-6, 1-1e-6).Draw(t, "share")
		low := rapid.Float64Range(-5, 5).Draw(t, "low")
		mode := low + rapid.Float64Range(0.1, 3).Draw(t, "rise")
		high := mode + rapid.Float64Range(0.1, 3).Draw(t, "fall")
		same := func(name string, got, want float64) {
			if math.Abs(got-want) > 1e-9*(1+math.Abs(want)) {
				t.Fatalf("%s: %v, want %v", name, got, want)
			}
		}
		same("triangular", triangular(low, mode, high)(u), distuv.NewTriangle(low, high, mode, nil).Quantile(u))
		same("uniform", uniform(low, high)(u), distuv.Uniform{Min: low, Max: high}.Quantile(u))
		same("normal", truncatedNormal(mode, 0.7, mode-40, mode+40)(u), distuv.Normal{Mu: mode, Sigma: 0.7}.Quantile(u))
		n := distuv.Normal{Mu: mode, Sigma: 0.9}
		x := truncatedNormal(mode, 0.9, low, high)(u)
		same("share below a truncated value", (n.CDF(x)-n.CDF(low))/(n.CDF(high)-n.CDF(low)), u)
	})
}

// TestQuantilesRiseWithinBounds: more of the share is never less, and nothing
// lies outside of what is stated, at shares next to the ends as well.
func TestQuantilesRiseWithinBounds(t *testing.T) {
	shares := []float64{0x1p-53, 1e-12, 1e-6, 0.01, 0.3, 0.5, 0.7, 0.99, 1 - 1e-6, 1 - 1e-12, 1 - 0x1p-53}
	for name, c := range map[string]struct {
		q         quantile
		low, high float64
	}{
		"uniform":     {uniform(-1, 2), -1, 2},
		"log":         {logUniform(0.1, 7), 0.1, 7},
		"whole":       {whole(2, 6), 2, 6},
		"triangular":  {triangular(0, 0.1, 1), 0, 1},
		"normal":      {truncatedNormal(3, 1, -30, 30), -30, 30},
		"cut":         {truncatedNormal(3, 1, 2, 3.5), 2, 3.5},
		"cut above":   {truncatedNormal(3, 1, 5, 8), 5, 8},
		"nearly none": {truncatedNormal(0, 1, 5.9, 40), 5.9, 40},
	} {
		last := math.Inf(-1)
		for _, u := range shares {
			x := c.q(u)
			if !(x >= last) || x < c.low*(1-1e-15)-1e-15 || x > c.high*(1+1e-15)+1e-15 {
				t.Errorf("%s: %v at %v, after %v", name, x, u, last)
			}
			last = x
		}
	}
}

// TestWholeIsEven: each whole number has the same share.
func TestWholeIsEven(t *testing.T) {
	q := whole(2, 5)
	for u, want := range map[float64]float64{0.001: 2, 0.249: 2, 0.251: 3, 0.499: 3, 0.501: 4, 0.749: 4, 0.751: 5, 0.999: 5} {
		if got := q(u); got != want {
			t.Errorf("%v gives %v, want %v", u, got, want)
		}
	}
}
