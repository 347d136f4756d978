package sim_test

import (
	"errors"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/equilibrium"
	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// Property: whatever way the air takes, a scenario is sound, no more air leaves
// room or case than comes in, and the ledger of a run closes.
func TestAirOfAnyMachineCloses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawAir(t)
		if problems := spec.Check(s); problems != nil {
			t.Fatalf("not sound: %v", problems)
		}
		r, err := attempt(s, sim.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		in, out, stored := r.Totals()
		if moved := in + math.Abs(out) + math.Abs(stored); moved > 1000 && !(r.Ledger.Relative() < 1e-9) {
			t.Fatalf("the ledger leaves %g of %g J", r.Ledger.Relative(), moved)
		}
		balanced(t, r.Plan)
		finite(t, r)
	})
}

// balanced fails where the air of a lump does not balance; that more of an exhaust
// is breathed than there is may be.
func balanced(t rapid.TB, p *assemble.Plan) {
	t.Helper()
	err := p.Network.CheckAir(p.Inputs)
	if err == nil {
		return
	}
	for _, e := range err.(interface{ Unwrap() []error }).Unwrap() {
		if !errors.Is(e, network.ErrOverdrawn) {
			t.Fatalf("the air: %v", e)
		}
	}
}

// Property: at the level the heat of a radiator is no more than either stream
// carries over the difference of their inlets, its air leaves between the two, and
// room and case take up no more air's heat than they give.
func TestAirCarriesNoMoreThanItCan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawAir(t)
		found, err := sim.LevelsOf(s, 0)
		if errors.Is(err, equilibrium.ErrNoLevel) {
			return // next to no flow, or nothing that takes the heat away
		}
		if err != nil {
			t.Fatal(err)
		}
		l := levelOf(found)
		for _, w := range l.Plan.Air {
			inlet, outlet, heat := l.air(w.Name)
			coolant := l.into(w.Name)
			difference := coolant - inlet
			if q := math.Abs(heat); q > l.airRate(w.Name)*math.Abs(difference)*(1+1e-9)+1e-9 || q > l.coolantRate(coolant)*math.Abs(difference)*(1+1e-3)+1e-2 {
				t.Fatalf("%s gives %g W over %g K, by %g W/K of air and %g W/K of coolant", w.Name, heat, difference, l.airRate(w.Name), l.coolantRate(coolant))
			}
			behind := 0.0 // K, of fans behind the core
			if w.Fans > 0 {
				behind = w.Power / l.airRate(w.Name)
			}
			if outlet < math.Min(inlet, coolant)-1e-9 || outlet > math.Max(inlet, coolant)+behind+1e-9 {
				t.Fatalf("the air of %s goes from %g to %g K, the coolant comes at %g K", w.Name, inlet, outlet, coolant)
			}
		}
	})
}

// change draws a machine, changes its first radiator, and returns its air before
// and after; false where it is known by a conductance alone, or where air is blown
// backward through it or past what its fans themselves can move.
func change(t *rapid.T, s *spec.Scenario, to func(r *spec.Radiator)) (before, after assemble.AirWay, ok bool) {
	t.Helper()
	a := airOf(t, s)
	b := airOf(t, changed(s, to))
	before, after = wayOf(a, "rad0"), wayOf(b, "rad0")
	return before, after, before.Core && before.Airflow >= 0 && after.Airflow >= 0
}

// changed returns a copy with another first radiator.
func changed(s *spec.Scenario, to func(r *spec.Radiator)) *spec.Scenario {
	c := s.Clone()
	for p := range c.Parts() {
		if p.Name == "rad0" {
			to(p.Radiator)
		}
	}
	return c
}

// airOf builds a scenario.
func airOf(t *rapid.T, s *spec.Scenario) *assemble.Plan {
	t.Helper()
	p, err := assemble.Build(s)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Property: a radiator conducts no less with faster fans.
func TestFasterFansNeverConductLess(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawAir(t)
		slow := rapid.Float64Range(0, 1700).Draw(t, "slower")
		fast := rapid.Float64Range(slow, 1800).Draw(t, "faster")
		s = changed(s, func(r *spec.Radiator) { r.Fans.Speed = turns(slow) })
		before, after, ok := change(t, s, func(r *spec.Radiator) { r.Fans.Speed = turns(fast) })
		if ok && after.Conductance < before.Conductance*(1-1e-9) {
			t.Fatalf("%g W/K at %g rpm, %g W/K at %g rpm", before.Conductance, slow, after.Conductance, fast)
		}
	})
}

// Property: a second row of fans never makes a radiator worse, as long as the
// first one drives its air: fans through which others draw more than they
// themselves could move are in the way.
func TestPushPullIsNeverWorse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := changed(drawAir(t), func(r *spec.Radiator) { r.Fans.Arrangement = "push" })
		before, after, ok := change(t, s, func(r *spec.Radiator) { r.Fans.Arrangement = "push-pull" })
		own := freeFlow(s, before)
		if ok && before.Airflow <= own && after.Airflow <= own && after.Conductance < before.Conductance*(1-1e-9) {
			t.Fatalf("push %g W/K, push-pull %g W/K", before.Conductance, after.Conductance)
		}
	})
}

// freeFlow is what the fans of the first radiator move without resistance, m3/s.
func freeFlow(s *spec.Scenario, w assemble.AirWay) float64 {
	completed, _ := assemble.Complete(s)
	for p := range completed.Parts() {
		if p.Name == w.Name {
			f := p.Radiator.Fans
			return f.Airflow.Value * (f.Count.Value - f.Failed.Value) * w.Speed / f.Rated.Value
		}
	}
	panic("no radiator " + w.Name)
}

// Property: what hinders the air of a radiator never makes it better: thinner air,
// dust, a finer filter, a closer grille. A thicker core of the same density of fins
// moves no more air at the same speed.
func TestHindrancesNeverHelp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawAir(t)
		worse := func(what string, before, after assemble.AirWay, ok bool) {
			if ok && after.Conductance > before.Conductance*(1+1e-9) {
				t.Fatalf("%s: %.9g W/K become %.9g W/K", what, before.Conductance, after.Conductance)
			}
		}
		blocked := rapid.Float64Range(0, 0.8).Draw(t, "dust")
		dusty := changed(s, func(r *spec.Radiator) { r.Blocked = spec.Some(blocked) })
		before, after, ok := change(t, dusty, func(r *spec.Radiator) { r.Blocked = spec.Some(blocked + 0.1) })
		worse("dust", before, after, ok)
		for _, pair := range [][2]string{{"none", "coarse"}, {"coarse", "fine"}} {
			before, after, ok = change(t, changed(s, func(r *spec.Radiator) { r.Filter = pair[0] }), func(r *spec.Radiator) { r.Filter = pair[1] })
			worse(pair[1]+" filter", before, after, ok)
		}
		for _, pair := range [][2]string{{"none", "open mesh"}, {"open mesh", "punched sheet"}} {
			before, after, ok = change(t, changed(s, func(r *spec.Radiator) { r.Grille = pair[0] }), func(r *spec.Radiator) { r.Grille = pair[1] })
			worse(pair[1], before, after, ok)
		}
		high := s.Clone()
		high.Ambient.Altitude.Value += rapid.Float64Range(10, 1500).Draw(t, "climb")
		before, after = wayOf(airOf(t, s), "rad0"), wayOf(airOf(t, high), "rad0")
		worse("altitude", before, after, before.Core && before.Airflow >= 0 && after.Airflow >= 0)

		thin := rapid.Float64Range(0.02, 0.06).Draw(t, "thin")
		slim := changed(s, func(r *spec.Radiator) { r.Thickness = spec.Some(thin) })
		before, after, ok = change(t, slim, func(r *spec.Radiator) { r.Thickness = spec.Some(thin + 0.01) })
		if ok && before.Core && after.Airflow > before.Airflow*(1+1e-9) {
			t.Fatalf("%g mm let %g m3/h through, 10 mm more %g m3/h", 1e3*thin, 3600*before.Airflow, 3600*after.Airflow)
		}
	})
}

// Property: on its own fans a radiator leaves the coolant no cooler if it breathes
// more of its own exhaust.
func TestRecirculationNeverHelps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawAir(t)
		s.Case, s.Room = nil, nil
		keep := s.Loops[0].Parts[:0]
		for _, p := range s.Loops[0].Parts {
			if p.Radiator == nil || p.Name == "rad0" {
				keep = append(keep, p)
			}
		}
		s.Loops[0].Parts = keep
		s = changed(s, func(r *spec.Radiator) {
			r.Mount, r.Exhausts, r.Breathes, r.Recirculation = "", "", spec.Breathes{}, spec.Some(rapid.Float64Range(0, 0.8).Draw(t, "recirculated"))
		})
		outlet := func(s *spec.Scenario) float64 {
			l, err := sim.LevelsOf(s, 0)
			if errors.Is(err, equilibrium.ErrNoLevel) {
				return math.Inf(1)
			}
			if err != nil {
				t.Fatal(err)
			}
			return l.Of(l.Plan.Subject).Value
		}
		before, after := outlet(s), outlet(changed(s, func(r *spec.Radiator) { r.Recirculation.Value += 0.05 }))
		if after < before-1e-6 {
			t.Fatalf("the coolant is at %g K, with more recirculation at %g K", before, after)
		}
	})
}

// Property: with its fans standing and nobody else's air a core of any measure
// gives off a little, a half to one and a half W/K for 120 mm (common practice, no
// source): on a bench the default, if it is clean, and less through dust.
func TestStandingFansLeaveALittle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawAir(t)
		s.Case = nil
		bench := rapid.Bool().Draw(t, "bench")
		if bench {
			s.Ambient = base(22).Ambient
		}
		for p := range s.Parts() {
			if r := p.Radiator; r != nil {
				r.Mount, r.Exhausts, r.Breathes, r.Fans.Speed = "", "", spec.Breathes{}, turns(0)
			}
		}
		for _, w := range airOf(t, s).Air {
			if !w.Core {
				continue
			}
			for p := range s.Parts() {
				if p.Name != w.Name {
					continue
				}
				edge := 0.12
				if math.Mod(p.Radiator.Size.Value, 0.14) < 1e-9 {
					edge = 0.14
				}
				per := w.Conductance * 0.12 * 0.12 / (p.Radiator.Size.Value * edge)
				usual, dust := part.SectionPassive().Value, p.Radiator.Blocked.Value
				if bench && (per > usual*(1+1e-9) || dust == 0 && per < 0.95*usual) || dust < 0.4 && !(per > 0.5 && per < 1.5) || !(per > 0.1) {
					t.Fatalf("%g mm give off %g W/K, %g for 120 mm", 1e3*p.Radiator.Size.Value, w.Conductance, per)
				}
			}
		}
	})
}
