package sim_test

import (
	"math"
	"testing"

	"soakledger/sim/equilibrium"
	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// coreOf is the core of a radiator of usual measures by size and thickness (mm)
// under fans that push on it without a gap, made apart from the scenario.
func coreOf(t testing.TB, length, thickness float64) *part.Core {
	t.Helper()
	shape := part.CoreFiguresOf(thickness*1e-3).Shape(length*1e-3, 0.12, thickness*1e-3)
	shape.Covered = 0.85
	core, err := part.NewCore(shape)
	if err != nil {
		t.Fatal(err)
	}
	return core
}

// cored is a radiator by size and thickness (mm) and fan speed (rpm) of a number
// of cells.
func cored(length, thickness, rpm, cells float64) spec.Part {
	p := sized("rad", length, rpm)
	p.Radiator.Thickness, p.Radiator.Cells = spec.Some(thickness*1e-3), spec.Some(cells)
	return p
}

// However many cells stand for it, a radiator at its level gives the heat of its
// core's exact effectiveness, at the airflow that the fans find and at any usual
// coolant flow.
func TestCellsGiveTheHeatOfTheCore(t *testing.T) {
	air := part.AirAt(295.15, 101325, 0)
	table := fluidOf(t, steady).Fast()
	for _, c := range []struct{ length, thickness, rpm float64 }{{240, 28, 1000}, {120, 28, 1800}, {360, 60, 1500}, {360, 45, 600}} {
		core := coreOf(t, c.length, c.thickness)
		for _, litres := range []float64{1, 2, 4, 8} {
			for _, cells := range []float64{1, 2, 4, 16} {
				l := leads(t, bench(cored(c.length, c.thickness, c.rpm, cells), litres, 150))
				inlet, outlet, heat := l.air("rad")
				rate, coolant := l.airRate("rad"), litres/6e4*998*4180
				film, _, _ := core.Liquid(table, litres/6e4, 298.15)
				ua := part.Overall(core.Air(rate/(air.Density*air.SpecificHeat), air).Conductance, film)
				want := coolant * core.Effectiveness(ua, coolant, rate) * (l.into("rad") - inlet)
				first := l.Of(l.Plan.Find("rad.coolant")[0]).Value
				beside := part.AxialConductance * (l.into("rad") - first) // past the stream
				if math.Abs(heat-want) > 1e-6*want+beside {
					t.Errorf("%g mm, %g mm thick at %g rpm and %g L/min: %g cells give %.9g W, the core %.9g W", c.length, c.thickness, c.rpm, litres, cells, heat, want)
				}
				near(t, "heat that the air carries", rate*(outlet-inlet), heat, 1e-9*heat)
				near(t, "heat that the coolant leaves", coolant*(l.into("rad")-l.of("rad.coolant")), heat, 2e-4*heat) // neighbouring cells conduct a little
			}
		}
	}
}

// fluidOf is a constant coolant of a scenario, as the engine has it.
func fluidOf(t testing.TB, c spec.Coolant) *fluid.Coolant {
	t.Helper()
	f, err := fluid.Constant(fluid.Properties{Density: c.Density.Value, SpecificHeat: c.SpecificHeat.Value, Viscosity: 1e-3, Conductivity: 0.6})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// A step of heat reaches the coolant behind the radiator the later and the
// steeper, the more cells stand for it. When its kink has worn off, after a few
// rounds, differences between n and 2 n cells halve with every doubling: the
// transient is of order 1. Before that they fall by less, as a kink that n cells
// smear out does.
func TestStepConvergesWithTheCells(t *testing.T) {
	behind := func(cells float64) []float64 {
		p := cored(360, 60, 1000, cells)
		p.Holds = spec.Some(400e-6)
		s := bench(p, 1, 150)
		s.Loops[0].Parts[1].Holds = spec.Some(300e-6)
		s.Solver.Tolerance, s.Record.Resolution, s.Duration = spec.Some(1e-7), spec.Some(0), spec.Some(360)
		r := run(t, s)
		return r.Trace.Floats(r.Trace.Col("res_coolant_c"))[180:]
	}
	var last []float64
	var previous float64
	for _, cells := range []float64{4, 8, 16, 32, 64} {
		now := behind(cells)
		if last == nil {
			last = now
			continue
		}
		difference := 0.0
		for i := range now {
			difference = math.Max(difference, math.Abs(now[i]-last[i]))
		}
		if previous > 0 {
			order := math.Log2(previous / difference)
			t.Logf("%g and %g cells differ by %.4g K, order %.3f", cells/2, cells, difference, order)
			if !(order > 0.85 && order < 1.15) {
				t.Errorf("with %g cells the order is %.3f", cells, order)
			}
		}
		last, previous = now, difference
	}
}

// Cells that are tied by the plain conductances, without the correction, come with
// order 1 to the heat of a coolant that is mixed across its stream, and not to
// that of the core.
func TestPlainCellsComeToAMixedCoolant(t *testing.T) {
	const coolant, air, film, side = 70.0, 25.0, 300.0, 60.0
	core := coreOf(t, 240, 28)
	ua := part.Overall(side, film)
	still := part.Still(ua, air)
	mixed, exact := coolant*-math.Expm1(-still/coolant), core.Heat(ua, coolant, air)
	if math.Abs(mixed-exact) < 1e-3*exact {
		t.Fatalf("the limits of %g and %g W/K cannot be told apart", mixed, exact)
	}
	previous := 0.0
	for n := 2; n <= 128; n *= 2 {
		beyond := part.BeyondFilm(still, film)
		short := mixed - plainHeat(t, n, coolant, air, film, beyond)
		if previous > 0 {
			if order := math.Log2(previous / short); !(order > 0.9 && order < 1.1) {
				t.Errorf("%d cells: %.4g W/K short of the mixed stream, order %.3f", n, short, order)
			}
		}
		previous = short
		got := plainHeat(t, n, coolant, air, film, core.Cells(side, film, coolant, air, n))
		near(t, "heat of corrected cells", got, exact, 1e-9*exact)
	}
}

// plainHeat returns the heat per kelvin of inlet difference (W/K) of a network of n
// cells between a coolant that comes 1 K warmer than the air does.
func plainHeat(t testing.TB, n int, coolant, air, film, beyond float64) float64 {
	t.Helper()
	b := network.NewBuilder(fluidOf(t, steady).Fast())
	hot, room, sink := b.Boundary("hot"), b.Boundary("room"), b.Boundary("sink")
	flow, path := b.Circuit("coolant"), b.Path("coolant")
	pass := b.AirPass("core", network.AirPass{From: []network.AirShare{network.AirOf(room, 1)}, To: []network.AirShare{network.AirOf(room, 1)}})
	last := hot
	for range n {
		cell, metal := b.CoolantLump("cell", 0.1/float64(n)), b.Lump("metal", 200/float64(n))
		b.Stream(last, cell, flow, 1, path)
		b.Conduct(cell, metal, film/float64(n), 0)
		b.AirConduct(metal, pass, beyond/float64(n))
		last = cell
	}
	b.Stream(last, sink, flow, 1, path)
	net, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := net.NewInputs()
	copy(in.Temperature, []float64{301, 300, 300})
	in.MassFlow[0], in.Air[0] = coolant/4180, network.AirFlow{Rate: air, Forced: 1}
	net.SetInputs(in)
	start, level := make([]float64, 2*n), make([]float64, 2*n)
	for i := range start {
		start[i] = 300.5
	}
	if _, err := equilibrium.NewSolver(net).Level(0, start, level); err != nil {
		t.Fatal(err)
	}
	states, quads := net.Dim()
	y := make([]float64, states+quads)
	net.States(level, y[:states])
	net.Bring(0, y)
	_, _, heat := net.Air(pass)
	return heat
}
