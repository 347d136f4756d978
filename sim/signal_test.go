package sim

import (
	"context"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"pgregory.net/rapid"

	"soakledger/scenarios"
	"soakledger/sim/metric"
	"soakledger/sim/network"
	"soakledger/sim/ode"
	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// Property: the quartic through five values of a quartic is that quartic.
func TestQuarticThroughFiveValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p record.Polynomial
		for k := range p {
			p[k] = rapid.Float64Range(-10, 10).Draw(t, "coefficient")
		}
		var values [5]float64
		for j, theta := range moments {
			values[j] = p.At(theta)
		}
		q := quartic(&values)
		for k := range 11 {
			theta := float64(k) / 10
			if got, want := q.At(theta), p.At(theta); math.Abs(got-want) > 1e-12 {
				t.Fatalf("at %g the quartic is %.15g, want %.15g", theta, got, want)
			}
		}
	})
}

// shipped is a scenario of the set.
func shipped(t *testing.T, name string, tolerance float64) *spec.Scenario {
	t.Helper()
	doc, err := scenarios.Load(name)
	if err != nil {
		t.Fatal(err)
	}
	s := doc.Scenario.Clone()
	if tolerance > 0 {
		s.Solver.Tolerance = spec.Some(tolerance)
	}
	return s
}

// simulationOf prepares a run of a scenario.
func simulationOf(t *testing.T, s *spec.Scenario, set Settings) *Simulation {
	t.Helper()
	simulation, err := New(s.Named(), set)
	if err != nil {
		t.Fatal(err)
	}
	return simulation
}

// air is what a network says of all radiators at a moment of the step that a view
// shows.
func (v *view) air(theta float64) []float64 {
	state := make([]float64, len(v.signals.state))
	for i := range state {
		state[i] = v.stateAt(i, theta)
	}
	v.net.Bring(v.Start()+theta*(v.End()-v.Start()), state)
	var all []float64
	for _, pass := range v.signals.passes {
		in, out, heat := v.net.Air(pass)
		all = append(all, in, out, heat)
	}
	return all
}

// Over every step the signals of radiators are those of the network at the
// interpolated state: at both ends to rounding, inside to what a quartic leaves of
// conductances that follow the coolant. The largest ever seen are 2e-9 K and
// 6e-8 W.
func TestSignalsAreThoseOfTheNetwork(t *testing.T) {
	for _, name := range []string{"warming_room", "small_case_intake", "push_pull"} {
		s := simulationOf(t, shipped(t, name, 0), Settings{})
		first, steps := len(s.view.known), 0
		for ended := false; !ended; {
			until := s.phaseEnd
			var err error
			if ended, err = s.Step(); err != nil {
				t.Fatal(err)
			}
			if s.view.End() >= until {
				continue // the network has the inputs of the next phase
			}
			steps++
			for k := range 17 {
				theta := float64(k) / 16
				for i, want := range s.view.air(theta) {
					bound := [...]float64{1e-8, 1e-8, 3e-7}[i%radiatorParts]
					if theta == 0 || theta == 1 {
						bound = [...]float64{3e-13, 3e-13, 1e-11}[i%radiatorParts]
					}
					if got := s.view.of(first + i).At(theta); !(math.Abs(got-want) <= bound) {
						t.Fatalf("%s: signal %d at %g of the step at %g s is %.15g, the network says %.15g", name, i, theta, s.view.Start(), got, want)
					}
				}
			}
		}
		if steps < 20 {
			t.Errorf("%s: only %d steps were looked at", name, steps)
		}
	}
}

// chain is a heated metal that a stream of case air cools, the case in a room,
// the room in the ambient: three lumps in a row, without any coolant.
type chain struct {
	net      *network.Network
	capacity [3]float64 // J/K: metal, case, room
	g        [3]float64 // W/K: metal to case, case to room, room to ambient
	power    float64    // W into the metal
}

const chainAmbient = 295.0 // K

func newChain(t *testing.T) *chain {
	c := &chain{capacity: [3]float64{2000, 9000, 150000}, g: [3]float64{20, 30, 40}, power: 250}
	b := network.NewBuilder(nil)
	metal, box, room := b.Lump("metal", c.capacity[0]), b.Lump("case", c.capacity[1]), b.Lump("room", c.capacity[2])
	ambient := b.Boundary("ambient")
	pass := b.AirPass("front", network.AirPass{From: []network.AirShare{network.AirOf(box, 1)}, To: []network.AirShare{network.AirOf(box, 1)}})
	b.AirConduct(metal, pass, c.g[0])
	b.Conduct(box, room, c.g[1], 0)
	b.Conduct(room, ambient, c.g[2], b.Path("walls"))
	b.Source("heater", metal)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.NewInputs()
	in.Power[0], in.Temperature[0], in.Air[pass].Rate, in.Air[pass].Forced = c.power, chainAmbient, 60, 1
	n.SetInputs(in)
	c.net = n
	return c
}

// level returns the parts of the metal's rise at equilibrium: the whole power
// passes each of the three conductances.
func (c *chain) level() []float64 {
	return []float64{c.power / c.g[0], c.power / c.g[1], c.power / c.g[2]}
}

// exact returns the parts as functions of time, from rest: with M the matrix of
// conductances and the capacities C, C^(-1/2) M C^(-1/2) is symmetric, and each of
// its eigenvectors decays by itself.
func (c *chain) exact(t *testing.T) func(time float64) [3]float64 {
	m := mat.NewSymDense(3, []float64{
		c.g[0], -c.g[0], 0,
		-c.g[0], c.g[0] + c.g[1], -c.g[1],
		0, -c.g[1], c.g[1] + c.g[2],
	})
	for i := range 3 {
		for j := i; j < 3; j++ {
			m.SetSym(i, j, m.At(i, j)/math.Sqrt(c.capacity[i]*c.capacity[j]))
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(m, true) {
		t.Fatal("no eigenvalues")
	}
	var modes mat.Dense
	eigen.VectorsTo(&modes)
	parts := c.level()
	rise := [3]float64{parts[0] + parts[1] + parts[2], parts[1] + parts[2], parts[2]}
	return func(time float64) [3]float64 {
		above := rise // of metal, case and room over the ambient
		for k, rate := range eigen.Values(nil) {
			amplitude := 0.0
			for i := range 3 {
				amplitude -= modes.At(i, k) * math.Sqrt(c.capacity[i]) * rise[i]
			}
			for i := range 3 {
				above[i] += amplitude * math.Exp(-rate*time) * modes.At(i, k) / math.Sqrt(c.capacity[i])
			}
		}
		return [3]float64{above[0] - above[1], above[1] - above[2], above[2]}
	}
}

// passes returns when the part k of the exact solution first rises past x.
func passes(exact func(float64) [3]float64, k int, x, until float64) float64 {
	from, to := 0.0, 0.0
	for to = until / 1e5; exact(to)[k] < x; to += until / 1e5 {
		from = to
	}
	for range 60 {
		if middle := (from + to) / 2; exact(middle)[k] < x {
			from = middle
		} else {
			to = middle
		}
	}
	return to
}

// The parts of the chain's rise have the levels, ends and times of its closed
// solution.
func TestPartsOfAChain(t *testing.T) {
	c := newChain(t)
	const until = 40000.0
	s := &signals{net: c.net, passes: []network.Pass{0}, own: []int{0}, subject: 0, room: 2, start: chainAmbient, split: true}
	s.reserve()
	v := newView(c.net, s)
	it, err := ode.New(c.net, nil, ode.Settings{AbsTol: []float64{1e-7}})
	if err != nil {
		t.Fatal(err)
	}
	states, energies := c.net.Dim()
	y := make([]float64, states+energies)
	for i := range states {
		y[i] = chainAmbient
	}
	if err := it.Start(0, y); err != nil {
		t.Fatal(err)
	}
	first := states + energies + s.first()
	collector := metric.NewCollector(metric.Settings{Tail: 100, Parts: []int{first, first + 1, first + 2}})
	begin := make([]float64, len(y)+s.count())
	copy(begin, y)
	s.at(0, y, begin[len(y):])
	parts := make([]float64, riseParts)
	rise := c.level()
	s.levels(0, []float64{chainAmbient + rise[0] + rise[1] + rise[2], chainAmbient + rise[1] + rise[2], chainAmbient + rise[2]}, y, parts)
	collector.Begin(0, until, c.power, begin, metric.Level{State: y, Parts: parts})
	exact := c.exact(t)
	for it.Time() < until {
		if err := it.Step(until); err != nil {
			t.Fatal(err)
		}
		v.read(it.Segment())
		collector.Add(v)
		for k, want := range exact(it.Time()) {
			p := v.Poly(first + k)
			if got := (*record.Polynomial)(&p).At(1); math.Abs(got-want) > 1e-5 {
				t.Fatalf("at %g s part %d is %.9g K, exactly %.9g K", it.Time(), k, got, want)
			}
		}
	}
	p := collector.Finish("")
	for k, part := range p.Parts {
		if part.Begin != 0 || !part.Level.OK() || math.Abs(part.Level.Value-c.level()[k]) > 1e-12*300 || math.Abs(part.End-exact(until)[k]) > 1e-5 {
			t.Errorf("part %d goes from %g to %.9g, with the level %v; want %.9g and %.9g", k, part.Begin, part.End, part.Level, exact(until)[k], c.level()[k])
		}
		for i, fraction := range []float64{1 - 1/math.E, 0.9, 0.95, 0.99} {
			want := passes(exact, k, fraction*c.level()[k], until)
			if got := part.Response[i]; !got.OK() || math.Abs(got.Value-want) > 1e-4*want {
				t.Errorf("part %d is at %.3g of its level after %v, exactly %.6g s", k, fraction, got, want)
			}
		}
	}
}

// The mean of the air that radiators breathe is weighted by their heat, and
// stays defined where none gives any.
func TestMeanOfTheAirBreathed(t *testing.T) {
	b := network.NewBuilder(nil)
	cold, warm := b.Boundary("ambient"), b.Boundary("warm")
	metal := [2]network.Node{b.Lump("metal_1", 100), b.Lump("metal_2", 100)}
	for k, from := range []network.Node{cold, warm} {
		pass := b.AirPass([]string{"front", "top"}[k], network.AirPass{From: []network.AirShare{network.AirOf(from, 1)}, To: []network.AirShare{network.AirOf(cold, 1)}})
		b.AirConduct(metal[k], pass, []float64{10, 20}[k])
	}
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.NewInputs()
	in.Temperature[0], in.Temperature[1] = 290, 300
	for k := range in.Air {
		in.Air[k] = network.AirFlow{Rate: 40, Forced: 1}
	}
	n.SetInputs(in)
	s := &signals{net: n, passes: []network.Pass{0, 1}, own: []int{0, 1}, subject: 0, room: -1, start: 290}
	s.reserve()
	dst := make([]float64, s.count())
	for _, c := range []struct {
		name       string
		metals     [2]float64
		inlet, off float64
	}{
		{"300 W and 200 W", [2]float64{320, 310}, 294, 1e-5},
		{"all of the heat in the first", [2]float64{320, 300}, 290, 5e-3},
		{"300 W, and 200 W the other way", [2]float64{320, 290}, 294, 1e-5},
		{"none", [2]float64{290, 300}, 295, 1e-12},
	} {
		s.at(0, c.metals[:], dst)
		rise := s.rises(dst)
		if got := c.metals[0] - rise[loopRise]; math.Abs(got-c.inlet) > c.off {
			t.Errorf("%s: the air breathed is at %.9g K, want %.9g K", c.name, got, c.inlet)
		}
		if math.Abs(rise[caseRise]-(c.inlet-290)) > c.off || rise[roomRise] != 0 {
			t.Errorf("%s: the case adds %g K, the room %g K", c.name, rise[caseRise], rise[roomRise])
		}
	}
}

// Only the radiators of the subject's own loop count for its air.
func TestRadiatorsOfTheSubject(t *testing.T) {
	s := shipped(t, "two_loops", 0)
	seen := 0
	for _, l := range simulationOf(t, s, Settings{NoTrace: true}).Plan.Loops {
		of := s.Clone()
		p := simulationOf(t, of, Settings{NoTrace: true}).Plan
		of.Figures.Of = p.Nodes[l.Outlet].Path
		p = simulationOf(t, of, Settings{NoTrace: true}).Plan
		own := subjectRadiators(p)
		for k, a := range p.Air {
			if slices.Contains(own, k) != slices.Contains(l.Parts, a.Name) {
				t.Errorf("%s: the subject's radiators are %v", l.Name, own)
			}
		}
		seen += len(own)
		if len(own) == 0 || len(own) == len(p.Air) {
			t.Errorf("%s: %d of %d radiators are the subject's", l.Name, len(own), len(p.Air))
		}
	}
	if seen < 2 {
		t.Errorf("%d radiators in all loops", seen)
	}
}

// Asking for signals changes nothing of a run: neither its steps nor its ledger
// nor any other figure, to the last bit.
func TestSignalsLeaveTheRunAlone(t *testing.T) {
	for _, name := range []string{"warming_room", "small_case_exhaust"} {
		with, without := simulationOf(t, shipped(t, name, 0), Settings{NoTrace: true}), simulationOf(t, shipped(t, name, 0), Settings{NoTrace: true})
		without.view.signals = nil
		without.collector = metric.NewCollector(without.watched())
		without.beginPhase(0)
		a, err := with.Run(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		b, err := without.Run(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if a.Stats != b.Stats || a.Ledger.Residual() != b.Ledger.Residual() || len(a.Phases) != len(b.Phases) {
			t.Fatalf("%s: %+v and %g J left, without signals %+v and %g J", name, a.Stats, a.Ledger.Residual(), b.Stats, b.Ledger.Residual())
		}
		for i := range a.Phases {
			p, q := a.Phases[i], b.Phases[i]
			if len(p.Parts) != riseParts || q.Parts != nil {
				t.Fatalf("%s: %d parts, without signals %d", name, len(p.Parts), len(q.Parts))
			}
			if p.End != q.End || p.Level != q.Level || p.Response != q.Response || p.TailMean != q.TailMean || p.PeakAt != q.PeakAt {
				t.Errorf("%s: phase %d differs: %+v and %+v", name, i, p, q)
			}
		}
	}
}
