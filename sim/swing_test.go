package sim_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/mat"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/metric"
	"soakledger/sim/spec"
)

// mustSwing finds the swing of a scenario.
func mustSwing(tb testing.TB, s *spec.Scenario) *sim.Swing {
	tb.Helper()
	w, err := sim.SwingOf(context.Background(), s.Named())
	if err != nil {
		tb.Fatal(err)
	}
	return w
}

// waved lets the first lump of a scenario follow a square wave.
func waved(s *spec.Scenario, on, off float64, repeat spec.Repeat) *spec.Scenario {
	s.Work = []spec.Work{{Name: "w", On: spec.Some(on), Off: spec.Some(off), Repeat: repeat}}
	s.Lumps[0].Work = "w"
	s.Duration = spec.Number{}
	return s
}

// One node: highest R P (1 - e^(-on/tau)) / (1 - e^(-(on+off)/tau)) at switch-off, lowest
// that times e^(-off/tau) at switch-on, mean R P on/(on+off); for equal halves of T/2 the
// difference is R P tanh(T/(4 tau)). In few cycles, however short against tau.
func TestSwingOfOneNode(t *testing.T) {
	const tau, top = 270.0, 30.0
	for _, c := range []struct{ on, off float64 }{{60, 60}, {30, 90}, {1, 1}, {0.25, 0.5}, {2000, 500}, {5400, 5400}} {
		w := mustSwing(t, waved(oneNode(300, 2e-4), c.on, c.off, forever))
		highest := top * math.Expm1(-c.on/tau) / math.Expm1(-(c.on+c.off)/tau)
		what, within := fmt.Sprintf("%g s on, %g s off: ", c.on, c.off), 1e-6*top
		near(t, what+"highest", w.Subject.Highest-20-zeroCelsius, highest, within)
		near(t, what+"lowest", w.Subject.Lowest-20-zeroCelsius, highest*math.Exp(-c.off/tau), within)
		near(t, what+"mean", w.Subject.Mean-20-zeroCelsius, top*c.on/(c.on+c.off), within)
		near(t, what+"highest at", w.Subject.HighestAt, c.on, 1e-9)
		near(t, what+"lowest at", w.Subject.LowestAt, 0, 1e-9)
		near(t, what+"period", w.Period, c.on+c.off, 1e-12)
		if c.on == c.off {
			swing, want := w.Subject.Highest-w.Subject.Lowest, top*math.Tanh((c.on+c.off)/(4*tau))
			near(t, what+"swing", swing, want, 1e-4*want)
		}
		if w.Cycles > 3 {
			t.Errorf("%s%d cycles", what, w.Cycles)
		}
	}
}

// A kettle of tau 1000 s that swings between 86.5 and 93.5 degC would boil in a first cycle
// from its mean, 90 degC. It is then led there from the room, as a run would be.
func TestSwingBelowTheEndOfTheRange(t *testing.T) {
	s := kettle(140)
	s.Links = []spec.Link{conduct("kettle", "ambient", 1)}
	w := mustSwing(t, waved(s, 100, 100, forever))
	highest := 140 / (1 + math.Exp(-0.1))
	near(t, "highest", w.Subject.Highest-20-zeroCelsius, highest, 2e-4)
	near(t, "lowest", w.Subject.Lowest-20-zeroCelsius, highest*math.Exp(-0.1), 2e-4)
	if w.Cycles < 50 {
		t.Errorf("%d cycles", w.Cycles)
	}
}

// affine is x' = A x + B p of the two nodes, over the room, with p in W.
func affine() (a, b *mat.Dense) {
	const c1, c2, g1, g2 = 400.0, 4500.0, 20.0, 1 / 0.06
	return mat.NewDense(2, 2, []float64{-g1 / c1, g1 / c1, g1 / c2, -(g1 + g2) / c2}), mat.NewDense(2, 1, []float64{1 / c1, 0})
}

// after returns where a state is after t seconds of p watts, by the matrix exponential of
// the system with its input as a third state that stays.
func after(x [2]float64, t, p float64) [2]float64 {
	a, b := affine()
	big := mat.NewDense(3, 3, nil)
	for i := range 2 {
		big.Set(i, 0, t*a.At(i, 0))
		big.Set(i, 1, t*a.At(i, 1))
		big.Set(i, 2, t*p*b.At(i, 0))
	}
	var e mat.Dense
	e.Exp(big)
	return [2]float64{e.At(0, 0)*x[0] + e.At(0, 1)*x[1] + e.At(0, 2), e.At(1, 0)*x[0] + e.At(1, 1)*x[1] + e.At(1, 2)}
}

// Chip and mass under a square wave, by linear algebra alone: the start of the cycle
// solves x = M x + d, the extremes between are searched on a fine grid and refined.
func TestSwingOfTwoNodes(t *testing.T) {
	for _, c := range []struct{ on, off float64 }{{60, 60}, {20, 7}, {400, 900}} {
		cycle := func(x [2]float64) [2]float64 { return after(after(x, c.on, 300), c.off, 0) }
		d := cycle([2]float64{})
		m := mat.NewDense(2, 2, nil)
		for k := range 2 {
			var unit [2]float64
			unit[k] = 1
			for i, x := range cycle(unit) {
				m.Set(i, k, x-d[i])
			}
		}
		one := mat.NewDense(2, 2, []float64{1, 0, 0, 1})
		one.Sub(one, m)
		var x mat.VecDense
		if err := x.SolveVec(one, mat.NewVecDense(2, d[:])); err != nil {
			t.Fatal(err)
		}
		start := [2]float64{x.AtVec(0), x.AtVec(1)}
		switched := after(start, c.on, 300)
		at := func(s float64) [2]float64 {
			if s < c.on {
				return after(start, s, 300)
			}
			return after(switched, s-c.on, 0)
		}
		means := [2]float64{18 + 15, 18}
		for i, node := range []string{"chip", "mass"} {
			s := waved(twoNodes(), c.on, c.off, forever)
			s.Figures.Of = node
			got := mustSwing(t, s).Subject
			what := fmt.Sprintf("%g s on, %g s off, node %d: ", c.on, c.off, i)
			high, highAt := peak(c.on+c.off, func(s float64) float64 { return at(s)[i] })
			low, lowAt := peak(c.on+c.off, func(s float64) float64 { return -at(s)[i] })
			near(t, what+"highest", got.Highest-20-zeroCelsius, high, 2e-5)
			near(t, what+"lowest", got.Lowest-20-zeroCelsius, -low, 2e-5)
			near(t, what+"mean", got.Mean-20-zeroCelsius, means[i]*c.on/(c.on+c.off), 2e-5)
			near(t, what+"highest at", got.HighestAt, highAt, 0.02)
			near(t, what+"lowest at", got.LowestAt, lowAt, 0.02)
		}
	}
}

// peak returns the highest value of f over a cycle and when it is: on a grid, then by
// golden section.
func peak(length float64, f func(s float64) float64) (high, at float64) {
	const points = 2000
	high = math.Inf(-1)
	for k := range points {
		if s := length * float64(k) / points; f(s) > high {
			high, at = f(s), s
		}
	}
	a, b := math.Max(0, at-length/points), math.Min(length, at+length/points)
	for range 60 {
		x, y := a+0.381966*(b-a), a+0.618034*(b-a)
		if f(x) > f(y) {
			b = y
		} else {
			a = x
		}
	}
	if v := f((a + b) / 2); v > high {
		return v, (a + b) / 2
	}
	return high, at
}

// endless is a scenario with its work repeated for a number of cycles of a length (s).
func endless(s *spec.Scenario, cycles int, length float64) *spec.Scenario {
	s = loose(s.Clone(), 1e-5)
	for i := range s.Work {
		if s.Work[i].MeanOf == "" {
			s.Work[i].Repeat = forever
		}
	}
	s.Duration, s.Record.Every = spec.Some(float64(cycles)*length), spec.Some(3600)
	return s
}

// lastOf returns the last cycles of runs that are as good as endless, together.
func lastOf(t *testing.T, s *spec.Scenario, w *sim.Swing, cycles int) []metric.Swing {
	t.Helper()
	var all []metric.Swing
	for k := range w.Rounds {
		c := run(t, endless(s, cycles+k, w.Period)).LastCycle
		if c == nil {
			t.Fatal("the run has no last cycle")
		}
		for i, one := range append([]metric.Swing{c.Subject}, c.Nodes...) {
			if k == 0 {
				all = append(all, metric.Swing{Lowest: math.Inf(1), Highest: math.Inf(-1)})
			}
			to := &all[i]
			if one.Lowest < to.Lowest {
				to.Lowest, to.LowestAt = one.Lowest, one.LowestAt
			}
			if one.Highest > to.Highest {
				to.Highest, to.HighestAt = one.Highest, one.HighestAt
			}
			to.Mean += one.Mean / float64(w.Rounds)
		}
	}
	return all
}

// asInALongRun compares a swing with the last cycles of a run that is as good as endless.
func asInALongRun(t *testing.T, s *spec.Scenario, cycles, rounds int) {
	t.Helper()
	s = s.Named()
	w := mustSwing(t, s)
	if w.Rounds != rounds {
		t.Errorf("it repeats itself every %d cycles, want %d", w.Rounds, rounds)
	}
	worst := 0.0
	all := lastOf(t, s, w, cycles)
	for i, got := range append([]metric.Swing{w.Subject}, w.Nodes...) {
		want := all[i]
		for _, off := range []float64{got.Lowest - want.Lowest, got.Highest - want.Highest, got.Mean - want.Mean} {
			worst = math.Max(worst, math.Abs(off))
		}
		if want.Highest-want.Lowest > 0.1 && i == 0 { // a die that throttles is highest many times
			near(t, fmt.Sprintf("node %d is highest after, s", i), got.HighestAt, want.HighestAt, 0.1)
			near(t, fmt.Sprintf("node %d is lowest after, s", i), got.LowestAt, want.LowestAt, 0.1)
		}
	}
	t.Logf("%d cycles instead of %d: %.2g K off", w.Cycles, cycles, worst)
	if worst > 2e-3 {
		t.Errorf("%g K off after %d cycles", worst, cycles)
	}
}

// Whole machines: the swing is that of a run that has gone on for many time constants.
func TestSwingIsThatOfALongRun(t *testing.T) {
	with := func(c spec.Control) func() *spec.Scenario {
		return func() *spec.Scenario {
			s := fanned(200, c)
			onOff(s, 60, 60, spec.Repeat{Count: 2})
			return s
		}
	}
	hysteresis := every(2, straight("coolant"))
	hysteresis.HysteresisUp, hysteresis.HysteresisDown = spec.Some(1), spec.Some(2)
	lagging := every(2, curve("cpu.die", 25, 400, 90, 1500))
	lagging.Sensor.Lag, lagging.Average = spec.Some(40), spec.Some(10)
	for _, c := range []struct {
		what   string
		cycles int // of the long run
		rounds int
		make   func() *spec.Scenario
	}{
		{"leakage, case and chassis", 300, 1, func() *spec.Scenario {
			s := machineOfParts([]spec.Step{{For: spec.Some(25), Power: share(1)}, {For: spec.Some(10), Power: share(0.3), To: share(0.9)}, {For: spec.Some(15), Power: share(0.1)}})
			s.Work[0].Repeat, s.Duration = spec.Repeat{Count: 2}, spec.Number{}
			return s
		}},
		{"continuous curve", 60, 1, with(straight("coolant"))},
		{"sampled curve", 60, 1, with(every(2, straight("coolant")))},
		{"hysteresis", 100, 2, with(hysteresis)},
		{"samples every 7 s", 105, 7, with(every(7, straight("coolant")))},
		{"lagging sensor", 100, 1, with(lagging)},
		{"PI", 150, 1, with(spec.Control{Target: spec.Some(34 + zeroCelsius), Period: spec.Some(2), Resolution: spec.Some(0)})},
		{"throttle", 6, 1, func() *spec.Scenario {
			s := machine(260)
			s.Chips[0].Throttle = spec.Throttle{At: spec.Some(58 + zeroCelsius), Release: spec.Some(53 + zeroCelsius), To: share(0.4)}
			onOff(s, 300, 200, spec.Repeat{Count: 3})
			return s
		}},
		{"limits", 100, 1, func() *spec.Scenario {
			s := machine(250)
			s.Chips[0].Limits = []spec.Limit{{Long: spec.Some(125.), Short: spec.Some(230.), Time: spec.Some(56.)}}
			onOff(s, 40, 50, spec.Repeat{Count: 3})
			return s
		}},
		{"limits, leakage and a throttle, from the level", 60, 1, func() *spec.Scenario {
			s := machine(250)
			s.Chips[0].Leakage = leak(25, 60, 0.02)
			s.Chips[0].Limits = []spec.Limit{{Long: spec.Some(140.), Short: spec.Some(230.), Time: spec.Some(30.)}}
			s.Chips[0].Throttle = spec.Throttle{At: spec.Some(60 + zeroCelsius), Release: spec.Some(55 + zeroCelsius), To: share(0.5)}
			s.Start.Rule = "level"
			onOff(s, 90, 60, spec.Repeat{Count: 3})
			return s
		}},
		{"a room that warms for an hour", 600, 1, func() *spec.Scenario {
			s := machine(200)
			s.Room = &spec.Room{Capacity: spec.Some(40e3), Conductance: spec.Some(20.)}
			onOff(s, 40, 20, spec.Repeat{Count: 3})
			return s
		}},
	} {
		t.Run(c.what, func(t *testing.T) { asInALongRun(t, c.make(), c.cycles, c.rounds) })
	}
}

// Where a run starts decides nothing.
func TestSwingFromAnyStart(t *testing.T) {
	made := func(rule string) *sim.Swing {
		s := fanned(200, every(2, straight("coolant")))
		onOff(s, 45, 30, spec.Repeat{Count: 5})
		s.Start.Rule, s.Duration = rule, spec.Number{}
		if rule == "" {
			s.Start.Nodes = []spec.StartNode{{Node: "res.coolant", Temperature: 50 + zeroCelsius}}
		}
		return mustSwing(t, s)
	}
	want := made("ambient")
	for _, rule := range []string{"idle", "level", ""} {
		got := made(rule)
		near(t, rule+": lowest", got.Subject.Lowest, want.Subject.Lowest, 1e-4)
		near(t, rule+": die", got.Nodes[0].Highest, want.Nodes[0].Highest, 1e-4)
	}
}

// The last whole cycle of a run from rest, one node: after n cycles q^n is left of the way,
// q = e^(-(on+off)/tau). The run may end inside of a cycle.
func TestLastCycle(t *testing.T) {
	const tau, on, off = 270.0, 60.0, 30.0
	for _, c := range []struct {
		duration float64
		before   int // whole cycles before the last
	}{{450, 4}, {449, 3}, {500, 4}, {180, 1}, {90, 0}, {89, -1}} {
		s := waved(oneNode(300, 1e-6), on, off, forever)
		s.Duration = spec.Some(c.duration)
		got := run(t, s).LastCycle
		if c.before < 0 {
			if got != nil {
				t.Errorf("%g s have a whole cycle: %+v", c.duration, got)
			}
			continue
		}
		if got == nil {
			t.Fatalf("%g s have no whole cycle", c.duration)
		}
		left := math.Exp(-(on + off) / tau * float64(c.before))
		highest := 30 * math.Expm1(-on/tau) / math.Expm1(-(on+off)/tau)
		lowest := highest * math.Exp(-off/tau)
		what := fmt.Sprintf("of %g s, ", c.duration)
		near(t, what+"from", got.From, 90*float64(c.before), 1e-9)
		near(t, what+"to", got.To, 90*float64(c.before+1), 1e-9)
		near(t, what+"lowest", got.Subject.Lowest-20-zeroCelsius, lowest*(1-left), 2e-5)
		near(t, what+"highest", got.Subject.Highest-20-zeroCelsius, highest-lowest*left*math.Exp(-on/tau), 2e-5)
		mean := 20 + lowest*left*tau/(on+off)*math.Expm1(-(on+off)/tau)
		near(t, what+"mean", got.Subject.Mean-20-zeroCelsius, mean, 2e-5)
	}
}

// What has no swing says why: work that does not repeat, what moves or breaks, samples
// that keep no step with the cycle, a machine that swings by itself, and what leaves the
// model.
func TestNoSwing(t *testing.T) {
	off := every(6.9, straight("coolant"))
	halves := func(power, on float64) *spec.Scenario {
		s := fanned(power, straight("coolant"))
		onOff(s, on, on, spec.Repeat{Count: 3})
		s.Duration = spec.Number{}
		return s
	}
	for _, c := range []struct {
		what string
		want error
		why  string
		make func() *spec.Scenario
	}{
		{"once", sim.ErrNoCycle, "", func() *spec.Scenario { s := halves(200, 60); s.Work[0].Repeat = spec.Repeat{}; return s }},
		{"bursts", sim.ErrNoCycle, "", func() *spec.Scenario {
			s := halves(200, 60)
			s.Work[0] = spec.Work{Name: "load", Repeat: forever, Bursts: spec.Bursts{Seed: spec.Some(3.), For: spec.Some(120.), Burst: pair(2, 5), Pause: pair(3, 8), High: pair(0.5, 1), Low: pair(0, 0.1)}}
			s.Duration = spec.Some(3600.)
			return s
		}},
		{"a fault", sim.ErrNoSwing, "faults change the machine", func() *spec.Scenario {
			s := halves(200, 60)
			s.Faults = []spec.Fault{{Name: "f", Of: "front", Blocked: spec.Some(0.4), At: spec.Some(100.)}}
			return s
		}},
		{"a room that moves", sim.ErrNoSwing, "the room moves", func() *spec.Scenario {
			s := halves(200, 60)
			s.Ambient.Schedule = []spec.TimeTemperature{{Time: spec.Some(0.), Temperature: spec.Some(290.)}, {Time: spec.Some(900.), Temperature: spec.Some(300.)}}
			return s
		}},
		{"samples out of step", sim.ErrNoSwing, "the controller of front is not where it was", func() *spec.Scenario {
			s := halves(200, 60)
			front(s).Fans.Curve = off
			return s
		}},
		{"samples out of step that only figures show", sim.ErrNoSwing, "samples that set a speed fall elsewhere", func() *spec.Scenario {
			s := halves(200, 3600)
			front(s).Fans.Curve = every(41.3, straight("coolant"))
			return s
		}},
		{"a law that swings by itself", sim.ErrNoSwing, "it does not repeat itself", func() *spec.Scenario {
			s := halves(200, 10)
			front(s).Fans.Curve = spec.Control{Target: spec.Some(34 + zeroCelsius)}
			return s
		}},
		{"a lump tied to nothing", sim.ErrNoSwing, "chip is tied to nothing", func() *spec.Scenario {
			s := waved(twoNodes(), 30, 30, forever)
			s.Links = s.Links[1:]
			return s
		}},
		{"a runaway", sim.ErrNoSwing, "its mean power leads nowhere", func() *spec.Scenario {
			s := waved(oneNode(300, 1e-5), 30, 30, forever)
			s.Lumps[0].Leakage = leak(1000, 40, 0.1)
			return s
		}},
		{"a cut-out", sim.ErrNoSwing, "cpu shuts down at 60 degC", func() *spec.Scenario {
			s := halves(200, 60)
			s.Chips[0].Shutdown = spec.Some(60 + zeroCelsius)
			return s
		}},
		{"boiling", sim.ErrNoSwing, "kettle went above 95.0 degC", func() *spec.Scenario {
			s := kettle(300)
			s.Links = []spec.Link{conduct("kettle", "ambient", 1)}
			return waved(s, 30, 30, forever)
		}},
	} {
		_, err := sim.SwingOf(context.Background(), c.make().Named())
		if !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s: %v, want %v: %s", c.what, err, c.want, c.why)
		}
	}
	var problems assemble.Problems
	if _, err := sim.SwingOf(context.Background(), base(20)); !errors.As(err, &problems) {
		t.Errorf("nothing to assemble: %v", err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := sim.SwingOf(ctx, halves(200, 60).Named()); !errors.Is(err, context.Canceled) {
		t.Errorf("a context that is done: %v", err)
	}
}

// Asking for the swing changes neither the scenario nor a run of it, and answers alike.
func TestSwingLeavesTheScenarioAlone(t *testing.T) {
	doc, err := scenarios.Load("curve_on_die")
	if err != nil {
		t.Fatal(err)
	}
	before := spec.Hash(doc.Scenario)
	first, second := mustSwing(t, doc.Scenario), mustSwing(t, doc.Scenario)
	if spec.Hash(doc.Scenario) != before {
		t.Error("the scenario is another")
	}
	if first.Subject != second.Subject || first.Cycles != second.Cycles {
		t.Errorf("%+v, then %+v", first, second)
	}
}
