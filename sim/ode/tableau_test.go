package ode

import (
	"math"
	"testing"
)

// original returns the coefficients of the method's usual form: the full matrices alpha_ij and gamma_ij,
// from A = alpha Gamma^-1 and C = I/gamma - Gamma^-1.
func original(t tableau) (alpha, gamma [maxStages]row) {
	for i := range t.stages {
		// Row i of Gamma solves g (I/gamma - C) = e_i.
		var unit row
		unit[i] = 1
		gamma[i] = t.slopeWeights(unit)
		a := t.a[min(i, t.base)]
		for j := t.base; j < i; j++ {
			a[j] = 1
		}
		alpha[i] = t.slopeWeights(a)
	}
	return alpha, gamma
}

// The nodes and the coefficients of the time derivative are row sums of the full coefficients, so a slip in any
// entry shows.
func TestRowSums(t *testing.T) {
	for _, m := range []Method{Rodas4{}, Rodas5P{}} {
		tab := m.tableau()
		alpha, gamma := original(tab)
		for i := range tab.stages {
			sumA, sumG := 0.0, 0.0
			for j := range tab.stages {
				sumA += alpha[i][j]
				sumG += gamma[i][j]
			}
			if math.Abs(sumA-tab.alpha[i]) > 3e-14 {
				t.Errorf("%s: alpha_%d = %v, row sum %v", m.Name(), i+1, tab.alpha[i], sumA)
			}
			if math.Abs(sumG-tab.d[i]) > 3e-14 {
				t.Errorf("%s: d_%d = %v, row sum %v", m.Name(), i+1, tab.d[i], sumG)
			}
		}
	}
}

// The order conditions of trees with up to three nodes (Hairer & Wanner, Solving ODEs II, 2nd ed., table IV.7.1), for the
// result, for the embedded formula, and for the interpolant as polynomials in theta.
func TestOrderConditions(t *testing.T) {
	for _, m := range []Method{Rodas4{}, Rodas5P{}} {
		tab := m.tableau()
		alpha, gamma := original(tab)
		result := tab.resultWeights()
		embedded := result
		embedded[tab.stages-1] = 0
		check := func(what string, weights row, theta float64) {
			b := tab.slopeWeights(weights)
			var s1, s2, s3, s4 float64
			for i := range tab.stages {
				s1 += b[i]
				s3 += b[i] * tab.alpha[i] * tab.alpha[i]
				for j := range tab.stages {
					beta := alpha[i][j] + gamma[i][j]
					s2 += b[i] * beta
					for k := range tab.stages {
						s4 += b[i] * beta * (alpha[j][k] + gamma[j][k])
					}
				}
			}
			got := [4]float64{s1, s2, s3, s4}
			want := [4]float64{theta, theta * theta / 2, theta * theta * theta / 3, theta * theta * theta / 6}
			for k := range got {
				if math.Abs(got[k]-want[k]) > 1e-12 {
					t.Errorf("%s, %s: condition %d gives %v, want %v", m.Name(), what, k+1, got[k], want[k])
				}
			}
		}
		check("result", result, 1)
		check("embedded", embedded, 1)
		for _, th := range []float64{0.2, 0.5, 0.8} {
			var w row
			for j := range w {
				k := tab.dense[0][j] + th*(tab.dense[1][j]+th*tab.dense[2][j])
				w[j] = th * (result[j] + (1-th)*k)
			}
			check("interpolant", w, th)
		}
	}
}

// Both methods are L-stable: on y' = lambda y the result and the interpolant's slope weights vanish for
// lambda h to minus infinity, and never grow on the imaginary axis.
func TestStability(t *testing.T) {
	for _, m := range []Method{Rodas4{}, Rodas5P{}} {
		for _, z := range []float64{-1e-3, -0.1, -1, -10, -1e3, -1e9} {
			sys := newLinear(1, nil)
			sys.vals[0] = z
			it, err := New(sys, m, Settings{Fixed: 1})
			if err != nil {
				t.Fatal(err)
			}
			if err := it.Start(0, []float64{1}); err != nil {
				t.Fatal(err)
			}
			if err := it.Step(1); err != nil {
				t.Fatal(err)
			}
			r := it.State()[0]
			// The function decays like 1/z (both methods), so that 20/|z| bounds it.
			if math.Abs(r) > 1 || math.Abs(r) > 20/math.Abs(z) {
				t.Errorf("%s: R(%g) = %g", m.Name(), z, r)
			}
		}
		// y'' = -w^2 y, energy must not grow.
		for _, w := range []float64{0.1, 0.5, 1, 3, 10, 1e3, 1e6} {
			osc := &linear{n: 2, p: Pattern{RowStart: []int{0, 1, 2}, Col: []int{1, 0}}, vals: []float64{w, -w}}
			it, err := New(osc, m, Settings{Fixed: 1})
			if err != nil {
				t.Fatal(err)
			}
			if err := it.Start(0, []float64{1, 0}); err != nil {
				t.Fatal(err)
			}
			if err := it.Step(1); err != nil {
				t.Fatal(err)
			}
			if e := math.Hypot(it.State()[0], it.State()[1]); e > 1+1e-12 {
				t.Errorf("%s: |R(%gi)| = %v", m.Name(), w, e)
			}
		}
	}
}

func TestFit(t *testing.T) {
	for _, c := range []struct {
		h, remaining, size float64
		last               bool
	}{
		{1, 0.5, 0.5, true}, {1, 1, 1, true}, {1, 1.01, 0.505, false}, {1, 1.99, 0.995, false}, {1, 2, 1, false},
		{1, 5, 1, false}, {1, math.Inf(1), 1, false}, {math.Inf(1), 3, 3, true},
	} {
		if size, last := fit(c.h, c.remaining); size != c.size || last != c.last {
			t.Errorf("fit(%g, %g) = %g, %v; want %g, %v", c.h, c.remaining, size, last, c.size, c.last)
		}
	}
	if size, last := fitFixed(0.1, 0.1+1e-17); size != 0.1+1e-17 || !last {
		t.Errorf("fitFixed leaves a remainder: %g, %v", size, last)
	}
	if size, last := fitFixed(0.1, 0.15); size != 0.1 || last {
		t.Errorf("fitFixed(0.1, 0.15) = %g, %v", size, last)
	}
}

func TestController(t *testing.T) {
	for _, exponent := range []int{4, 5} {
		c := controller{exponent: exponent}
		if got := c.accept(1, 0); got != maxGrow {
			t.Errorf("after an exact step the size is multiplied by %g, want %g", got, maxGrow)
		}
		c.forget()
		want := 0.9 / math.Pow(0.2, 1/float64(exponent))
		if got := c.accept(1, 0.2); math.Abs(got-want) > 1e-15 {
			t.Errorf("exponent %d: %g after error 0.2, want %g", exponent, got, want)
		}
		// The error grows from step to step: the predictive rule is more careful than the elementary one.
		if got := c.accept(1, 0.8); got >= 0.9/math.Pow(0.8, 1/float64(exponent)) {
			t.Errorf("exponent %d: %g after growing errors", exponent, got)
		}
		if got := c.divisor(1e9); got != maxShrink {
			t.Errorf("divisor after a huge error %g", got)
		}
	}
}
