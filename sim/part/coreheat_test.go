package part_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// coreOf returns the reference core with other passes and rows.
func coreOf(t *testing.T, passes, rows int) *part.Core {
	t.Helper()
	s := referenceShape()
	s.Passes, s.Rows = passes, rows
	return must[*part.Core](t)(part.NewCore(s))
}

// Passes side by side in the face, liquid in series and air in parallel; derived from the
// cross flow of a pass, a single one checked by a march of 300 x 300 cells.
func TestCorePassesInTheFace(t *testing.T) {
	for _, r := range []struct {
		ua, coolant, air float64
		heat             map[int]string
	}{
		{30, 69.7, 45, map[int]string{1: "18.87859", 2: "18.83522", 4: "18.81301"}},
		{30, 69.7, 20, map[int]string{1: "14.15079", 2: "14.04146", 4: "13.98506"}},
		{60, 69.7, 45, map[int]string{1: "26.98464", 2: "26.69202", 4: "26.53631"}},
		{15, 139, 30, map[int]string{1: "11.32617", 2: "11.32148", 4: "11.31913"}},
	} {
		for passes, figure := range r.heat {
			digits(t, fmt.Sprintf("UA %g, %g and %g W/K, %d passes", r.ua, r.coolant, r.air, passes), coreOf(t, passes, 1).Heat(r.ua, r.coolant, r.air), figure)
		}
	}
}

// Rows one behind another in one pass (H. Schedwill 1968): effectiveness of the air at
// NTU 2 and R 0.5, computed independently. Two passes of them are two such cores in
// series for the coolant, each with half the air.
func TestCoreRowsInDepth(t *testing.T) {
	for rows, figure := range map[int]string{2: ".724712", 3: ".728985", 4: ".730483", 10: ".732101"} {
		c := coreOf(t, 1, min(rows, 4))
		if rows > 4 {
			s := referenceShape()
			s.Passes, s.Rows, s.Depth = 1, rows, .060
			c = must[*part.Core](t)(part.NewCore(s))
		}
		digits(t, fmt.Sprint(rows, " rows"), c.Heat(100, 100, 50)/50, figure)
	}
	one := coreOf(t, 1, 3)
	p := one.Effectiveness(50, 100, 25) // half the core, half the air
	near(t, "two passes", coreOf(t, 2, 3).Effectiveness(100, 100, 50), 1-(1-p)*(1-p), 1e-13)
}

// Property: the heat is never above what either stream can carry and rises with UA and
// with both streams; coolant that barely flows gives off all it brings.
func TestCoreHeatLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCore(t)
		draw := func(name string) float64 { return math.Pow(10, rapid.Float64Range(-2, 3.5).Draw(t, name)) }
		ua, coolant, air := draw("ua"), draw("coolant"), draw("air")
		heat := c.Heat(ua, coolant, air)
		most := math.Min(ua, math.Min(coolant, air))
		if !(heat > 0) || heat > most*(1+1e-12) {
			t.Fatalf("heat %g of at most %g W/K", heat, most)
		}
		for _, more := range []float64{c.Heat(ua*1.1, coolant, air), c.Heat(ua, coolant*1.1, air), c.Heat(ua, coolant, air*1.1)} {
			if more < heat*(1-1e-10) {
				t.Fatalf("more of UA, coolant or air, and %g W/K fall to %g", heat, more)
			}
		}
		// Every bit of the coolant meets a wall that passes it on, or the air would not
		// suffice.
		if p := c.Effectiveness(ua, 1e-6*math.Min(ua, air), air); !(p > 1-1e-3) {
			t.Fatalf("coolant that barely flows gives off only %g of what it brings", p)
		}
	})
}

func TestCoreHeatAtRest(t *testing.T) {
	c := coreOf(t, 2, 1)
	for _, at := range [][3]float64{{0, 100, 50}, {40, 100, 0}, {40, 0, 50}} {
		if got := c.Heat(at[0], at[1], at[2]); got != 0 {
			t.Errorf("%v: %g W/K", at, got)
		}
	}
	if part.Overall(0, 200) != 0 || part.Overall(40, 0) != 0 || part.Still(40, 0) != 0 || part.Still(0, 40) != 0 {
		t.Error("something passes where one side passes nothing")
	}
	near(t, "in series", part.Overall(40, 200), 100./3, 1e-14)
	near(t, "still", part.Still(40, 50), 50*(1-math.Exp(-.8)), 1e-14)
}

// marched returns the heat over inlet difference (W/K) of n cells of mixed coolant, each
// tied through its share of the film to a cell of metal and on to air at its inlet
// temperature: the steady state of a network, cell by cell.
func marched(beyond, film, coolant float64, n int) float64 {
	t, heat := 1.0, 0.0
	for range n {
		toMetal, toAir := film/float64(n), beyond/float64(n)
		// c (in - T) = toMetal (T - M), toMetal (T - M) = toAir M.
		through := toMetal * toAir / (toMetal + toAir)
		t *= coolant / (coolant + through)
		heat += through * t
	}
	return heat
}

// Property: whatever the number of cells, at flows from 1 L/min on their steady state is
// the exact heat of the core.
func TestCellsGiveTheExactHeat(t *testing.T) {
	water := fluid.Water().Fast()
	rapid.Check(t, func(t *rapid.T) {
		c := drawCore(t)
		q := rapid.Float64Range(1, 8).Draw(t, "flow") * litre
		air := c.Air(rapid.Float64Range(.05, 4).Draw(t, "velocity")*c.Face(), seaAir())
		film, _, _ := c.Liquid(water, q, 305)
		coolant := q * 995 * 4180
		ua := part.Overall(air.Conductance, film)
		heat := c.Heat(ua, coolant, air.CapacityRate)
		for _, n := range []int{1, 2, 4, 16} {
			if part.Still(air.Conductance, air.CapacityRate) > float64(n)*coolant {
				continue // more than a cell's coolant a cell: see below
			}
			beyond := c.Cells(air.Conductance, film, coolant, air.CapacityRate, n)
			near(t, fmt.Sprintf("heat of %d cells at UA %g, %g and %g W/K", n, ua, coolant, air.CapacityRate), marched(beyond, film, coolant, n), heat, 1e-6)
		}
	})
}

// Ordinary radiators are inside that rule: two sections at 1 L/min and two cells, six
// at 4 L/min and one.
func TestOrdinaryCellsAreExact(t *testing.T) {
	water := fluid.Water().Fast()
	for _, r := range []struct {
		width, height, flow float64
		cells               []int
	}{
		{.240, .120, 1, []int{2, 4, 16}}, {.360, .120, 1, []int{2, 4, 16}}, {.240, .120, 4, []int{1, 2, 4, 16}}, {.360, .240, 4, []int{1, 2, 4, 16}},
	} {
		c := must[*part.Core](t)(part.NewCore(part.CoreFiguresOf(.045).Shape(r.width, r.height, .045)))
		air := c.Air(1.5*c.Face(), seaAir())
		film, _, _ := c.Liquid(water, r.flow*litre, 305)
		coolant := r.flow * litre * 995 * 4180
		heat := c.Heat(part.Overall(air.Conductance, film), coolant, air.CapacityRate)
		for _, n := range r.cells {
			got := marched(c.Cells(air.Conductance, film, coolant, air.CapacityRate, n), film, coolant, n)
			near(t, fmt.Sprintf("%g x %g m, %g L/min, %d cells", r.width, r.height, r.flow, n), got, heat, 1e-6)
		}
	}
}

// Property: the cells' heat falls all the way as the coolant slows down to rest, or as its
// film weakens alone, and never needs more than the film passes.
func TestCellsHeatFallsToRest(t *testing.T) {
	water := fluid.Water().Fast()
	rapid.Check(t, func(t *rapid.T) {
		c := drawCore(t)
		n := rapid.SampledFrom([]int{1, 2, 4, 16}).Draw(t, "cells")
		air := c.Air(rapid.Float64Range(.02, 5).Draw(t, "velocity")*c.Face(), seaAir())
		weaker := rapid.Float64Range(.05, 1).Draw(t, "film of another coolant")
		last := math.Inf(1)
		for q := 10 * litre; q > 1e-8; q *= .97 {
			film, _, _ := c.Liquid(water, q, 305)
			film *= weaker
			coolant := q * 995 * 4180
			beyond := c.Cells(air.Conductance, film, coolant, air.CapacityRate, n)
			if !(beyond >= 0) || math.IsInf(beyond, 0) {
				t.Fatalf("%g W/K from metal to air at %g L/min", beyond, q/litre)
			}
			heat := marched(beyond, film, coolant, n)
			// An effectiveness next to 1 is known to half a rounding, and that is a share of
			// what the cells leave in the coolant.
			left := 1 - c.Effectiveness(part.Overall(air.Conductance, film), coolant, air.CapacityRate)
			near := 1e-11 + 0x1p-51/max(left, 1e-12)*(1-heat/coolant)
			if heat > last*(1+near) || heat > coolant*(1+1e-12) {
				t.Fatalf("%d cells: %g W/K at %g L/min after %g", n, heat, q/litre, last)
			}
			less := marched(c.Cells(air.Conductance, .9*film, coolant, air.CapacityRate, n), .9*film, coolant, n)
			if less > heat*(1+near) {
				t.Fatalf("%d cells: a film weaker by a tenth gives %g W/K, not %g, at %g L/min", n, less, heat, q/litre)
			}
			last = heat
		}
	})
}

// Towards rest the cells' conductance passes smoothly to that of standing coolant.
func TestCellsAtRest(t *testing.T) {
	c := coreOf(t, 2, 1)
	const air, film, rate = 50.0, 250.0, 45.0
	ua := part.Overall(air, film)
	still := part.Still(ua, rate)
	g := func(coolant float64, n int) float64 {
		return part.CellConductanceOf(c.Effectiveness(ua, coolant, rate), still, part.Still(air, rate), coolant, n)
	}
	for _, n := range []int{1, 2, 4, 16} {
		near(t, "standing", g(0, n), still, 1e-15)
		near(t, "creeping", g(1e-3, n), still, 1e-12)
		near(t, "in series with the film", part.Overall(c.Cells(air, film, 0, rate, n), film), still, 1e-12)
		last := g(1e3, n)
		for x := 1e3; x > .05; x *= .999 {
			got := g(x, n)
			if !(got >= still*(1-1e-12)) || got > 2.5*still || math.Abs(got/last-1) > 4e-3 {
				t.Fatalf("%d cells at %g W/K: %g after %g, still %g", n, x, got, last, still)
			}
			last = got
		}
	}
}

// The film is met smoothly and never passed.
func TestBeyondFilm(t *testing.T) {
	near(t, "far below the film", part.BeyondFilm(40, 200), 50, 1e-14)
	last := 0.0
	for g := 1.0; g < 1e6; g *= 1.01 {
		beyond := part.BeyondFilm(g, 100)
		if !(beyond >= last) || math.IsInf(beyond, 0) || part.Overall(beyond, 100) > 95.0001 {
			t.Fatalf("%g W/K behind a film of 100: %g after %g", g, beyond, last)
		}
		last = beyond
	}
	slope := func(g float64) float64 {
		return slopeAt(func(g float64) float64 { return part.Overall(part.BeyondFilm(g, 100), 100) }, g, 1e-3)
	}
	near(t, "slope across the bend", slope(80.01), slope(79.99), 2e-3)
	if part.BeyondFilm(0, 100) != 0 || part.BeyondFilm(40, 0) != 0 {
		t.Error("something passes a closed side")
	}
}

// Why the rule is there: cells with the plain conductance, each with its own share of the
// air, come to the heat of mixed coolant, 1 - exp(-(Ca/Cl)(1 - e^{-UA/Ca})), and only as 1/n.
func TestPlainCellsConvergeSlowly(t *testing.T) {
	const ua, coolant, air = 60.0, 69.7, 45.0
	mixed := coolant * (1 - math.Exp(-(air/coolant)*(1-math.Exp(-ua/air))))
	near(t, "limit", mixed, 26.37365, 1e-6)
	last := 0.0
	for n := 1; n <= 1024; n *= 2 {
		temperature, heat := 1.0, 0.0
		for range n {
			share := air / float64(n) * (1 - math.Exp(-ua/air)) // of the cell's air, from metal at the cell's temperature
			temperature *= coolant / (coolant + share)
			heat += share * temperature
		}
		off := mixed - heat
		if n >= 16 {
			inside(t, fmt.Sprintf("error of %d cells over that of half as many", n), off/last, .48, .52)
		}
		last = off
	}
	inside(t, "error of 1024 cells", last/mixed, 1e-5, 5e-4)
}
