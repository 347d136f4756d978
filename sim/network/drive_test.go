package network_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/equilibrium"
	"soakledger/sim/network"
	"soakledger/sim/ode"
)

// kinds builds plants with one drive, whose air is tabulated, and with several.
var kinds = map[string]func(p *plant){"one": func(p *plant) { p.one() }, "three": func(p *plant) { p.three() }}

// drawState returns a state near that of the plant.
func drawState(t *rapid.T, p *plant, n *network.Network) []float64 {
	y := p.state(n, rapid.Float64Range(-8, 8).Draw(t, "shift"))
	states, _ := n.Dim()
	for i := range states {
		y[i] += rapid.Float64Range(-2, 2).Draw(t, "off")
	}
	return y
}

// The Jacobian is that of differences of fourth order with drives that follow their laws. Where a step of the differences crosses a
// knot, the second derivative jumps, and they are off by about the jump times the step; such draws
// cannot be told from wrong ones, and steps are short enough for a bound of 2e-7 of the row.
func TestJacobianOfDrives(t *testing.T) {
	for name, add := range kinds {
		p := newPlant()
		add(p)
		n, _ := p.build(t)
		pattern, jac := n.Pattern(), make([]float64, len(n.Pattern().Col))
		states, _ := n.Dim()
		rapid.Check(t, func(t *rapid.T) {
			const step = 1e-3
			y := drawState(t, p, n)
			n.Jacobian(5, y, jac)
			for col := range states {
				at := y[col]
				moved := func(by float64) []float64 {
					y[col] = at + by
					defer func() { y[col] = at }()
					return rates(n, 5, y)
				}
				above, below, far, deep := moved(step), moved(-step), moved(2*step), moved(-2*step)
				for row := range above {
					columns := pattern.Col[pattern.RowStart[row]:pattern.RowStart[row+1]]
					values := jac[pattern.RowStart[row]:pattern.RowStart[row+1]]
					k, ok := slices.BinarySearch(columns, col)
					if !ok {
						if above[row] != below[row] {
							t.Fatalf("%s: row %d depends on state %d, which is not in the pattern", name, row, col)
						}
						continue
					}
					want := (8*(above[row]-below[row]) - (far[row] - deep[row])) / (12 * step)
					if tol := 2e-7 * (sizeOf(values) + 1e-4); !(math.Abs(values[k]-want) <= tol) {
						t.Fatalf("%s: row %d, state %d: %.12g, differences give %.12g within %g", name, row, col, values[k], want, tol)
					}
				}
			}
		})
	}
}

// The derivative with time, through a room that warms and a drive that follows it.
func TestTimeDerivativeOfDrives(t *testing.T) {
	for name, add := range kinds {
		p := newPlant()
		add(p)
		n, _ := p.build(t)
		rapid.Check(t, func(t *rapid.T) {
			y := drawState(t, p, n)
			got := make([]float64, len(y))
			if !n.TimeDerivative(5, y, got) {
				t.Fatal("nothing moves")
			}
			above, below := rates(n, 5.1, y), rates(n, 4.9, y)
			for row := range got {
				if want := (above[row] - below[row]) / 0.2; !(math.Abs(got[row]-want) <= 2e-7*(math.Abs(want)+1e-3)) {
					t.Fatalf("%s: row %d: %.12g, differences give %.12g", name, row, got[row], want)
				}
			}
		})
	}
}

// excessOf returns what rates store, plus what leaves, less what is released and requested: zero but for
// rounding. So it is for the columns of a Jacobian.
func excessOf(n *network.Network, dydt []float64, requested float64) float64 {
	states, quads := n.Dim()
	one := make([]float64, states+quads)
	sum := -requested
	for i := range n.Lumps() {
		one[i] = 1
		sum += dydt[i] * n.Ledger(make([]float64, len(one)), one, make([]float64, 2)).Stored[i].Energy
		one[i] = 0
	}
	for k := range n.Paths() {
		sum += dydt[states+k]
	}
	return sum - dydt[len(dydt)-1]
}

// Heat that drives move about is neither lost nor made: not in F, and not in a column of
// the Jacobian, as otherwise no run's ledger would close.
func TestDrivesKeepTheLedger(t *testing.T) {
	for name, add := range kinds {
		p := newPlant()
		add(p)
		n, in := p.build(t)
		pattern, jac := n.Pattern(), make([]float64, len(n.Pattern().Col))
		rapid.Check(t, func(t *rapid.T) {
			y := drawState(t, p, n)
			if off := excessOf(n, rates(n, 5, y), in.Power[0]+in.Power[1]); !(math.Abs(off) <= 1e-10) {
				t.Fatalf("%s: %g W too much", name, off)
			}
			n.Jacobian(5, y, jac)
			states, _ := n.Dim()
			for col := range states {
				column := make([]float64, len(y))
				for row := range y {
					if k, ok := slices.BinarySearch(pattern.Col[pattern.RowStart[row]:pattern.RowStart[row+1]], col); ok {
						column[row] = jac[pattern.RowStart[row]+k]
					}
				}
				if off := excessOf(n, column, 0); !(math.Abs(off) <= 1e-9) {
					t.Fatalf("%s: %g W/K too much for state %d", name, off, col)
				}
			}
		})
	}
}

// A run in which drives follow their laws closes its ledger to 1e-11, and ends at the speeds of its level.
func TestRunWithDrives(t *testing.T) {
	for name, add := range kinds {
		p := newPlant()
		add(p)
		n, in := p.build(t)
		in.Slope[0] = 0
		n.SetInputs(in)
		y := p.state(n, -8)
		result, err := ode.Solve(ode.Problem{System: n, T1: 4000, Y0: y}, ode.Rodas4{}, ode.Settings{AbsTol: []float64{1e-4}})
		if err != nil {
			t.Fatal(err)
		}
		l := n.Ledger(y, result.Y, []float64{4000 * in.Power[0], 4000 * in.Power[1]})
		if !(l.Relative() <= 1e-11) {
			t.Errorf("%s: %g of all is missing", name, l.Relative())
		}
		states, _ := n.Dim()
		level, start := make([]float64, states), make([]float64, states)
		n.Temperatures(y[:states], start)
		if _, err := equilibrium.NewSolver(n).Level(0, start, level); err != nil {
			t.Fatal(err)
		}
		end := make([]float64, states)
		n.Temperatures(result.Y, end)
		for i := range end {
			if !(math.Abs(end[i]-level[i]) < 2e-3) {
				t.Errorf("%s: state %d ends at %g, its level is %g", name, i, end[i], level[i])
			}
		}
	}
}

// A level with drives that follow their laws is a fixed point: nothing changes there, at speeds
// that the laws give at its temperatures.
func TestLevelWithDrives(t *testing.T) {
	for name, add := range kinds {
		p := newPlant()
		add(p)
		n, _ := p.build(t)
		states, _ := n.Dim()
		solver, level := equilibrium.NewSolver(n), make([]float64, states)
		if _, err := solver.Level(0, slices.Repeat([]float64{300}, states), level); err != nil {
			t.Fatal(err)
		}
		y := p.state(n, 0)
		n.States(level, y[:states])
		for i, v := range rates(n, 0, y)[:states] {
			if !(math.Abs(v) <= 1e-8) {
				t.Errorf("%s: state %d changes by %g K/s", name, i, v)
			}
		}
		n.Bring(0, y)
		for k, d := range n.Drives() {
			if s := n.Speed(network.Drive(k)); !(s > 0.31 && s < 0.89) {
				t.Errorf("%s: %s runs at %g, so that nothing is tested", name, d, s)
			}
		}
		t.Logf("%s: %+v", name, solver.Stats())
	}
}

// By the law and held at the speed that it gives, a network is the same to the bit.
func TestHeldDrivesAreTheSame(t *testing.T) {
	for name, add := range kinds {
		p := newPlant()
		add(p)
		n, in := p.build(t)
		held, _ := p.build(t)
		rapid.Check(t, func(t *rapid.T) {
			y := drawState(t, p, n)
			want := rates(n, 0, y)
			for k := range in.Speed {
				in.Speed[k] = n.Speed(network.Drive(k))
			}
			held.SetInputs(in)
			if got := rates(held, 0, y); !slices.Equal(got, want) {
				t.Fatalf("%s: %v, want %v", name, got, want)
			}
			if n.AirFlow(p.passA) != held.AirFlow(p.passA) || n.StreamRate(p.vent) != held.StreamRate(p.vent) || n.Setting(p.rateA) != held.Setting(p.rateA) {
				t.Fatalf("%s: other air", name)
			}
		})
	}
}

// The air between knots is within 0.1 % of its law, moves no mass into a lump, and is the law's own beyond the range.
func TestAirByOneDrive(t *testing.T) {
	p := newPlant()
	p.one()
	n, in := p.build(t)
	air, stream, setting := make([]network.AirFlow, 2), make([]float64, 1), make([]float64, 2)
	for u := 0.1; u <= 1; u += 0.00173 {
		in.Speed[0] = u
		n.SetInputs(in)
		if err := p.fans([]float64{u}, air, stream, setting); err != nil {
			t.Fatal(err)
		}
		got := n.AirFlow(p.passB)
		if math.Abs(got.Rate/air[1].Rate-1) > 1e-3 || math.Abs(got.Forced/air[1].Forced-1) > 1e-3 || math.Abs(n.StreamRate(p.vent)/stream[0]-1) > 1e-3 || n.Setting(p.rateB) != got.Rate {
			t.Fatalf("speed %g: %+v, want %+v", u, got, air[1])
		}
		if err := n.CheckAir(n.Inputs()); err != nil {
			t.Fatal(err)
		}
	}
	calls := *p.calls
	for u := 0.1; u <= 1; u += 0.0137 {
		in.Speed[0] = u
		n.SetInputs(in)
	}
	if *p.calls != calls {
		t.Error("computed again at speeds between knots")
	}
	for _, u := range []float64{0, -0.2, 1.3} {
		in.Speed[0] = u
		n.SetInputs(in)
		if err := p.fans([]float64{u}, air, stream, setting); err != nil {
			t.Fatal(err)
		}
		if got := n.AirFlow(p.passB); math.Abs(got.Rate/air[1].Rate-1) > 1e-15 || got.Backward != (u < 0) {
			t.Errorf("speed %g: %+v, want %+v", u, got, air[1])
		}
	}
}

func TestDrivesDoNotAllocate(t *testing.T) {
	for name, add := range kinds {
		p := newPlant()
		add(p)
		n, in := p.build(t)
		a, b := p.state(n, 1.3), p.state(n, 1.31)
		dydt, jac := make([]float64, len(a)), make([]float64, len(n.Pattern().Col))
		free, k := slices.Clone(in.Speed), 0
		for _, f := range []struct {
			name string
			call func()
		}{
			{"F", func() { n.F(1, a, dydt); n.F(1, b, dydt) }},
			{"Jacobian", func() { n.Jacobian(1, a, jac); n.Jacobian(1, b, jac) }},
			{"TimeDerivative", func() { n.TimeDerivative(1, a, dydt) }},
			{"SetInputs", func() {
				k++
				in.Speed[0] = 0.5 + 0.01*float64(k%2)
				n.SetInputs(in)
			}},
			{"SetInputs that free a drive", func() { copy(in.Speed, free); n.SetInputs(in) }},
		} {
			f.call()
			f.call()
			if got := testing.AllocsPerRun(20, f.call); got != 0 {
				t.Errorf("%s: %s allocates %g times", name, f.name, got)
			}
		}
	}
}
