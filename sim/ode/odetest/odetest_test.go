package odetest_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

func all() []odetest.Problem {
	return []odetest.Problem{
		odetest.HIRES(), odetest.ROBER(), odetest.OREGO(), odetest.VDPOL(), odetest.POLLU(),
		odetest.ProtheroRobinson(-50), odetest.Mixed(), odetest.Cascade(6), odetest.Ring(7, 0.4, 3, 0.1),
	}
}

// Every problem has the derivatives it claims, at random points of the size of its solution.
func TestDerivatives(t *testing.T) {
	for _, p := range all() {
		n, m := p.System.Dim()
		rapid.Check(t, func(rt *rapid.T) {
			y := make([]float64, n+m)
			for i := range y {
				y[i] = rapid.Float64Range(0.3, 2).Draw(rt, "y")
			}
			if w := odetest.CheckJacobian(p.System, rapid.Float64Range(0, 3).Draw(rt, "t"), y); w.Relative > 1e-8 {
				rt.Fatalf("%s: %+v", p.Name, w)
			}
		})
	}
}

// A closed form satisfies its differential equation: its difference quotient is the right-hand side.
func TestClosedForms(t *testing.T) {
	for _, p := range all() {
		if p.Exact == nil {
			continue
		}
		k := len(p.Y0)
		y, up, down, f := make([]float64, k), make([]float64, k), make([]float64, k), make([]float64, k)
		p.Exact(p.T0, y)
		for i := range y {
			if math.Abs(y[i]-p.Y0[i]) > 1e-14 {
				t.Errorf("%s: component %d starts at %g, Y0 is %g", p.Name, i, y[i], p.Y0[i])
			}
		}
		for _, at := range []float64{0.1, 0.5, 0.9} {
			when := p.T0 + at*(p.T1-p.T0)
			const h = 1e-5
			p.Exact(when, y)
			p.Exact(when+h, up)
			p.Exact(when-h, down)
			p.System.F(when, y, f)
			for i := range f {
				if d := (up[i] - down[i]) / (2 * h); math.Abs(d-f[i]) > 1e-8*(1+math.Abs(f[i])) {
					t.Errorf("%s: component %d at %g changes at %g, f is %g", p.Name, i, when, d, f[i])
				}
			}
		}
	}
}

// Sizes agree everywhere.
func TestShapes(t *testing.T) {
	for _, p := range all() {
		n, m := p.System.Dim()
		if len(p.Y0) != n+m || len(p.Scale) != n || p.End != nil && len(p.End) != n || p.Name == "" || p.Source == "" || !(p.T1 > p.T0) {
			t.Errorf("%s: %d+%d components, Y0 %d, Scale %d, End %d, span %g to %g", p.Name, n, m, len(p.Y0), len(p.Scale), len(p.End), p.T0, p.T1)
		}
		if _, err := ode.New(p.System, nil, p.Settings(1e-6)); err != nil {
			t.Errorf("%s: %v", p.Name, err)
		}
	}
}

// Reactions that only rearrange species keep their number: in ROBER and in the closed pair of HIRES.
func TestConservation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y, f := make([]float64, 8), make([]float64, 8)
		for i := range y {
			y[i] = rapid.Float64Range(0, 1).Draw(t, "y")
		}
		odetest.ROBER().System.F(0, y[:3], f[:3])
		if sum := f[0] + f[1] + f[2]; math.Abs(sum) > 1e-15*3e7 {
			t.Fatalf("ROBER: sum of the slopes %g", sum)
		}
		odetest.HIRES().System.F(0, y, f)
		if sum := f[6] + f[7]; sum != 0 {
			t.Fatalf("HIRES: y7 + y8 changes at %g", sum)
		}
	})
}

// A wrong entry, an entry missing in the pattern, and a wrong or missing time derivative are each found and named.
func TestCheckJacobianFindsErrors(t *testing.T) {
	y := []float64{0.7, 0.9, 0.8, 0, 0}
	fresh := func() *odetest.Functions { return odetest.Mixed().System.(*odetest.Functions) }
	jac, dt := fresh().Jac, fresh().Dt
	for name, c := range map[string]struct {
		change   func(f *odetest.Functions)
		row, col int
	}{
		"wrong entry": {func(f *odetest.Functions) {
			f.Jac = func(t float64, y, j []float64) { jac(t, y, j); j[1] *= 1.01 }
		}, 0, 1},
		"wrong quadrature entry": {func(f *odetest.Functions) {
			f.Jac = func(t float64, y, j []float64) { jac(t, y, j); j[6] = 0 }
		}, 4, 1},
		"missing in the pattern": {func(f *odetest.Functions) {
			f.Nonzeros = odetest.Rows([]int{0, 1}, []int{0}, []int{2}, []int{1}, []int{1})
			f.Jac = func(t float64, y, j []float64) { copy(j, []float64{-3, 2 * y[1], 1, -4 * t * y[2], 1, t}) }
		}, 1, 1},
		"NaN": {func(f *odetest.Functions) {
			f.Jac = func(t float64, y, j []float64) { jac(t, y, j); j[4] = math.NaN() }
		}, 2, 2},
		"wrong time derivative": {func(f *odetest.Functions) {
			f.Dt = func(t float64, y, d []float64) { dt(t, y, d); d[2] *= -1 }
		}, 2, -1},
		"no time derivative": {func(f *odetest.Functions) { f.Dt = nil }, 2, -1},
	} {
		f := fresh()
		c.change(f)
		w := odetest.CheckJacobian(f, 0.6, y)
		if !(w.Relative > 1e-3 || math.IsNaN(w.Relative)) || w.Row != c.row && name != "no time derivative" || w.Col != c.col {
			t.Errorf("%s: %+v, want row %d, column %d", name, w, c.row, c.col)
		}
	}
	if w := odetest.CheckJacobian(fresh(), 0.6, y); w.Relative > 1e-8 {
		t.Errorf("the correct system: %+v", w)
	}
}

func TestConvergenceNeedsItsSteps(t *testing.T) {
	e, err := odetest.Convergence(odetest.Mixed(), nil, 7, 14)
	if err != nil || len(e) != 2 || e[0].Steps != 7 || !(e[1].State < e[0].State) || !(e[1].Inside < e[0].Inside) {
		t.Errorf("%+v, %v", e, err)
	}
	if got := odetest.Order(16, 1, 2); got != 4 {
		t.Errorf("an error that falls by 16 for half the step has order %g", got)
	}
	bad := odetest.Mixed()
	bad.Y0 = bad.Y0[:2]
	if _, err := odetest.Convergence(bad, nil, 2); err == nil {
		t.Error("a start of wrong length was accepted")
	}
	if _, err := odetest.Local(bad, nil, 1); err == nil {
		t.Error("a start of wrong length was accepted")
	}
}

func ExampleCheckJacobian() {
	w := odetest.CheckJacobian(odetest.HIRES().System, 0, []float64{1, 0.5, 0.2, 0.3, 0.4, 0.1, 0.2, 0.3})
	fmt.Println(w.Relative < 1e-8)
	// Output: true
}

func ExampleConvergence() {
	e, err := odetest.Convergence(odetest.Mixed(), ode.Rodas4{}, 40, 80)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("order %.1f\n", odetest.Order(e[0].State, e[1].State, 2))
	// Output: order 4.1
}
