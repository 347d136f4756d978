package assemble

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

// cascade returns the heat (W/K of inlet difference) of n mixed cells in flow
// order with a conductance g in all at a capacity rate c.
func cascade(g, c float64, n int) float64 {
	return c * (1 - math.Pow(1+g/(float64(n)*c), -float64(n)))
}

// series returns two conductances behind one another.
func series(a, b float64) float64 { return 1 / (1/a + 1/b) }

// Property: at the test flow the cells give exactly what is stated, however
// many they are, whatever the tube's film and the test flow.
func TestCoreGivesWhatIsStated(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.Float64Range(20, 600).Draw(t, "capacity rate")
		stated := rapid.Float64Range(0.01, 0.94).Draw(t, "conductance over it") * rate
		n := rapid.IntRange(1, 64).Draw(t, "cells")
		ua, err := part.Rating{Conductance: stated, CapacityRate: rate}.Exponent()
		if err != nil {
			t.Fatal(err)
		}
		film := ua * rapid.Float64Range(1.01, 30).Draw(t, "film over UA")
		core, ok := newCore(ua, film, rate, n)
		needed := float64(n) * rate * math.Expm1(ua/(float64(n)*rate))
		if ok != (needed <= 0.99*film) {
			t.Fatalf("accepted: %v, for %g W/K through a film of %g W/K", ok, needed, film)
		}
		if !ok {
			return
		}
		if got := cascade(series(film, core.air(film, rate)), rate, n); math.Abs(got-stated) > 1e-9*stated {
			t.Fatalf("%.12g W/K, stated are %.12g", got, stated)
		}
	})
}

// Property: with less flow a radiator gives less heat, without a jump, and at
// rest it still conducts; never more than the film passes.
func TestCoreFollowsTheFlow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const rate = 279.0
		stated := rapid.Float64Range(1, 200).Draw(t, "conductance")
		n := rapid.IntRange(1, 16).Draw(t, "cells")
		ua, _ := part.Rating{Conductance: stated, CapacityRate: rate}.Exponent()
		// A film that the cells can live with; TestCoreGivesWhatIsStated refuses others.
		needed := float64(n) * rate * math.Expm1(ua/(float64(n)*rate))
		test := math.Max(1.5*ua, needed/0.98) * rapid.Float64Range(1, 10).Draw(t, "film over the least")
		core, ok := newCore(ua, test, rate, n)
		if !ok {
			t.Fatalf("a film of %g W/K is refused, %g are needed", test, needed)
		}
		last := cascade(series(test, core.air(test, rate)), rate, n) * 1.2
		for c := 1.2 * rate; c > 1e-4; c *= 0.98 {
			film := test * math.Pow(1e-4+(1-1e-4)*math.Pow(c/rate, 0.7*4), 0.25)
			air := core.air(film, c)
			heat := cascade(series(film, air), c, n)
			if !(air > 0) || math.IsInf(air, 0) || !(heat < last*(1+1e-12)) || heat > c {
				t.Fatalf("at %g W/K of coolant %g W/K to the air and %g W/K in all, after %g", c, air, heat, last)
			}
			if c < rate && heat < 0.95*last { // heat falls by no higher power of the flow than the second
				t.Fatalf("at %g W/K of coolant %g W/K in all after %g", c, heat, last)
			}
			last = heat
		}
		if rest := core.air(0.1*test, 0); !(rest > 0.05*series(core.beyond, 0.1*test)) {
			t.Fatalf("at rest %g W/K", rest)
		}
	})
}

// The places of all quantities: the flow, branches, films, cores.
func TestPlaces(t *testing.T) {
	r := ringFlow{forks: []*fork{{flows: make([]float64, 2)}, {flows: make([]float64, 3)}}, films: make([]filmValue, 2), cores: make([]exchangeAt, 2)}
	want := 0
	for _, q := range []quantity{
		{}, {branchFlow, 0}, {branchFlow, 1}, {branchFlow, 2}, {branchFlow, 3}, {branchFlow, 4}, {blockFilm, 0}, {blockFilm, 1},
		{coreFilm, 0}, {coreAir, 0}, {coreFilm, 1}, {coreAir, 1},
	} {
		if got := r.place(q); got != want {
			t.Errorf("%v stands at %d, want %d", q, got, want)
		}
		want++
	}
	if r.Values() != want {
		t.Errorf("%d values, want %d", r.Values(), want)
	}
}
