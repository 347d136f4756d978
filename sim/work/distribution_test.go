package work

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func must(t testing.TB) func(Distribution, error) Distribution {
	return func(d Distribution, err error) Distribution {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
}

// Check values: the closed forms of the truncated distributions, solved for the
// stated mean by bisection in 60-digit decimal arithmetic, by another program.
func TestQuantiles(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		name string
		d    Distribution
		at   map[float64]float64
		tol  float64
	}{
		{"uniform", must(t)(Uniform(2, 6)), map[float64]float64{0: 2, 0.25: 3, 0.5: 4}, 0},
		{"always the same", must(t)(Uniform(5, 5)), map[float64]float64{0: 5, 0.9: 5}, 0},
		{"choice", must(t)(Choice([]float64{20, 35, 60}, []float64{1, 2, 1})), map[float64]float64{0: 20, 0.249: 20, 0.25: 35, 0.749: 35, 0.75: 60, 1 - 0x1p-53: 60}, 0},
		{"never chosen", must(t)(Choice([]float64{1, 2, 3, 4}, []float64{0, 1, 1, 0})), map[float64]float64{0: 2, 0.5: 3, 1 - 0x1p-53: 3}, 0},
		{"exponential", must(t)(Exponential(6, 2, inf)), map[float64]float64{0: 2, 0.5: 2 + 4*math.Ln2, 0.75: 2 + 8*math.Ln2}, 1e-15},
		{"exponential, bounded", must(t)(Exponential(6, 2, 30)), map[float64]float64{0: 2, 0.25: 3.1571488169473878, 0.5: 4.7873025207557331, 0.9375: 13.107296470140207}, 1e-14},
		{"lognormal", must(t)(Lognormal(10, 0.5, 0, inf)), map[float64]float64{0: 0, 0.5: 10 * math.Exp(-0.125)}, 1e-14},
		{"lognormal, bounded", must(t)(Lognormal(8, 0.8, 2, 30)), map[float64]float64{0: 2, 0.25: 3.9829248362511906, 0.5: 6.324661869368474, 0.9375: 18.517750106568482}, 1e-13},
	} {
		for u, want := range c.at {
			if got := c.d.At(u); math.Abs(got-want) > c.tol*want {
				t.Errorf("%s: %v of all draws are less than %.17g, want %.17g", c.name, u, got, want)
			}
		}
	}
}

func TestDistributionsRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for name, d := range map[string]func() (Distribution, error){
		"uniform backwards":            func() (Distribution, error) { return Uniform(2, 1) },
		"uniform NaN":                  func() (Distribution, error) { return Uniform(nan, 1) },
		"uniform endless":              func() (Distribution, error) { return Uniform(0, inf) },
		"no choice":                    func() (Distribution, error) { return Choice(nil, nil) },
		"choice without weight":        func() (Distribution, error) { return Choice([]float64{1, 2}, []float64{1}) },
		"choice of zero weight":        func() (Distribution, error) { return Choice([]float64{1}, []float64{0}) },
		"choice of negative weight":    func() (Distribution, error) { return Choice([]float64{1, 2}, []float64{2, -1}) },
		"choice of endless weight":     func() (Distribution, error) { return Choice([]float64{1, 2}, []float64{2, inf}) },
		"choice of NaN":                func() (Distribution, error) { return Choice([]float64{nan}, []float64{1}) },
		"choice that descends":         func() (Distribution, error) { return Choice([]float64{2, 1}, []float64{1, 1}) },
		"exponential at its low":       func() (Distribution, error) { return Exponential(2, 2, 9) },
		"exponential at the middle":    func() (Distribution, error) { return Exponential(5, 0, 10) },
		"exponential backwards":        func() (Distribution, error) { return Exponential(5, 4, 3) },
		"exponential NaN":              func() (Distribution, error) { return Exponential(5, 4, nan) },
		"exponential endless":          func() (Distribution, error) { return Exponential(inf, 4, inf) },
		"lognormal below zero":         func() (Distribution, error) { return Lognormal(5, 1, -1, 10) },
		"lognormal without spread":     func() (Distribution, error) { return Lognormal(5, 0, 1, 10) },
		"lognormal of too much spread": func() (Distribution, error) { return Lognormal(5, 5, 1, 10) },
		"lognormal above its high":     func() (Distribution, error) { return Lognormal(5, 1, 1, 4) },
		"lognormal at its low":         func() (Distribution, error) { return Lognormal(1, 1, 1, 4) },
		"lognormal NaN":                func() (Distribution, error) { return Lognormal(nan, 1, 1, 4) },
		"lognormal cut away below":     func() (Distribution, error) { return Lognormal(4.001, 0.1, 4, inf) },
		"lognormal cut away above":     func() (Distribution, error) { return Lognormal(9.999, 0.1, 0, 10) },
		"lognormal cut away, both":     func() (Distribution, error) { return Lognormal(1.001, 0.1, 1, 10) },
	} {
		if _, err := d(); err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
}

// drawDistribution draws one of every kind, with its lower bound above zero.
func drawDistribution(t *rapid.T) Distribution {
	low := rapid.Float64Range(0.5, 5).Draw(t, "low")
	high := low * rapid.Float64Range(2, 20).Draw(t, "high")
	share := rapid.Float64Range(0.1, 0.45).Draw(t, "share")
	mean := mix(low, high, share)
	var d Distribution
	var err error
	switch rapid.IntRange(0, 3).Draw(t, "kind") {
	case 0:
		d, err = Uniform(low, high)
	case 1:
		d, err = Choice([]float64{low, mean, high}, []float64{share, 1, 2})
	case 2:
		d, err = Exponential(mean, low, high)
	default:
		d, err = Lognormal(mean, rapid.Float64Range(0.3, 1.5).Draw(t, "spread"), low, high)
		if err != nil { // bounds that cut nearly all are refused; an even spread stands in
			d, err = Uniform(low, high)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// Property: draws rise with the random share, stay inside their bounds, and
// their mean is the stated one: the mean over evenly spaced shares comes near
// it by the half width of a space at most, since draws rise.
func TestDrawsHaveTheStatedMean(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := drawDistribution(t)
		low, high := d.Bounds()
		const n = 5000
		sum, last := 0.0, low
		for k := range n {
			x := d.At((float64(k) + 0.5) / n)
			if x < last || x > high {
				t.Fatalf("%v after %v, between %v and %v", x, last, low, high)
			}
			sum, last = sum+x, x
		}
		if math.Abs(sum/n-d.Mean()) > 0.5*(high-low)/n {
			t.Fatalf("mean %v, stated %v, between %v and %v", sum/n, d.Mean(), low, high)
		}
		if x := d.At(1 - 0x1p-53); x < last || x > high {
			t.Fatalf("the largest draw is %v, between %v and %v", x, last, high)
		}
	})
}
