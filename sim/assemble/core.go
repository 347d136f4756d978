package assemble

import (
	"fmt"
	"math"
	"slices"
	"soakledger/sim/fluid"

	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// coreValue is the exchange of a radiator of which conductances are stated and
// nothing else: coolant to metal, and metal to air. At its test flow of water at
// 25 degC they are those that give exactly the stated heat.
type coreValue struct {
	table  *fluid.Table
	film   part.Film
	cells  int
	beyond float64 // W/K from metal to air, the film left out of UA; measured, so it does not change with the flow
	exact  float64 // see part.CellConductance
	free   float64 // share of the film up to which the cells' conductance is as computed
}

// newCore takes UA and the film (W/K) at a test of a capacity rate (W/K). It
// reports false if the film cannot carry the conductance that the cells need.
func newCore(ua, film, rate float64, cells int) (coreValue, bool) {
	const spare = 1.1 // for coolant warmer than that of the test
	c := coreValue{cells: cells, beyond: 1 / (1/ua - 1/film)}
	c.exact = max(0.5, spare*ua/(float64(cells)*rate))
	share := part.CellConductance(ua, rate, cells, c.exact) / film
	c.free = max(0.8, (1+share)/2)
	return c, share <= 0.99
}

func (c *coreValue) conduct(flow, capacityRate, temperature float64) (film, air float64) {
	film, _, _ = c.film.Conductance(c.table, flow, temperature)
	return film, c.air(film, capacityRate)
}

// air returns the conductance from metal to air (W/K) with which the cells give
// exactly the heat of the radiator at a film and a capacity rate of the coolant
// (both W/K).
func (c *coreValue) air(film, capacityRate float64) float64 {
	ua := 1 / (1/c.beyond + 1/film)
	g := part.CellConductance(ua, capacityRate, c.cells, c.exact)
	// Mixed cells cannot pass more than the film. Far below the test flow, where
	// they would have to, the limit is met smoothly.
	left := 1 - c.free
	if x := g / film; x > c.free {
		g = film * (1 - left/4 - 3*left/4*math.Exp(-(x-c.free)/(3*left/4)))
	}
	return 1 / (1/g - 1/film)
}

// stated returns a radiator's conductances as its figures state them, and false
// if these do not fit together.
func (b *assembler) stated(p *spec.Part) (coreValue, bool) {
	r := p.Radiator
	rate := testRate(r)
	ua, outside, at, err := exponent(p, rate)
	if err != nil {
		b.problems.add(at, "%s; check the unit, and the test_flow, %.3g L/min", plain(err), 6e4*r.TestFlow.Value)
		return coreValue{}, false
	}
	film, err := filmOf(r.FilmConductance.Value, r.TestFlow.Value)
	if err != nil {
		b.problems.add(p.Name+".film_conductance", "%s", plain(err))
		return coreValue{}, false
	}
	core, ok := newCore(ua, r.FilmConductance.Value, rate, int(r.Cells.Value))
	if !ok {
		b.problems.add(p.Name+".film_conductance", "%.4g W/K between coolant and metal cannot carry the %.4g W/K of the radiator in %g cells; state a larger film_conductance, or more cells",
			r.FilmConductance.Value, ua, r.Cells.Value)
		return coreValue{}, false
	}
	core.film, core.table = film, b.plan.Coolant.Fast()
	if outside {
		b.plan.Warnings = append(b.plan.Warnings, beyondPoints(p))
	}
	return core, b.airCarries(p, ua)
}

// testRate returns the capacity rate (W/K) of the coolant at which a radiator
// was measured.
func testRate(r *spec.Radiator) float64 {
	return r.TestFlow.Value * part.TestWater().Density * part.TestSpecificHeat
}

// filmOf returns a film stated at a test flow.
func filmOf(conductance, testFlow float64) (part.Film, error) {
	return part.NewFilm(conductance, testFlow, part.FilmExponent().Value, part.FilmFloor().Value)
}

// exponent returns UA (W/K) at the speed of the fans, whether that lies outside
// the stated points, and the path of what is wrong otherwise.
func exponent(p *spec.Part, rate float64) (ua float64, outside bool, path string, err error) {
	r := p.Radiator
	if len(r.Points) == 0 {
		ua, err = rating(r, r.Conductance.Value).Exponent()
		return ua, false, p.Name + ".conductance", err
	}
	points := make([]part.RadiatorPoint, len(r.Points))
	for i, q := range r.Points {
		points[i] = part.RadiatorPoint{Speed: q.Speed.Value, Conductance: q.Conductance.Value}
	}
	passive := part.SectionPassive().Value
	if r.Size.Set {
		passive *= float64(sizeOf(r).Sections)
	}
	test := part.RadiatorTest{CapacityRate: rate, PerMean: r.Per == "mean", Passive: min(passive, 0.5*points[0].Conductance)}
	curve, err := part.NewRadiatorCurve(points, test)
	if err != nil {
		return 0, false, p.Name + ".points", err
	}
	ua, _, outside = curve.Exponent(fanRate(&r.Fans))
	return ua, outside, "", nil
}

// rating is a conductance (W/K) as the radiator states it.
func rating(r *spec.Radiator, conductance float64) part.Rating {
	return part.Rating{Conductance: conductance, CapacityRate: testRate(r), PerMean: r.Per == "mean"}
}

// beyondPoints says that a radiator's fans run where it was not measured.
func beyondPoints(p *spec.Part) string {
	r := p.Radiator
	first, last := 60*r.Points[0].Speed.Value, 60*r.Points[len(r.Points)-1].Speed.Value
	measured := fmt.Sprintf("measured from %.0f to %.0f rpm", first, last)
	if len(r.Points) == 1 {
		measured = fmt.Sprintf("measured at %.0f rpm alone", first)
	}
	law := "by a power law"
	if hasCore(r) {
		law = "as that of its core, times what the nearest point makes of it"
	}
	return fmt.Sprintf("%s.fans.speed: %.0f rpm is outside the stated points, %s; the conductance there is carried on %s, so add a point near that speed if you have one", p.Name, 60*fanRate(&r.Fans), measured, law)
}

// airCarries checks the stated conductances, and what follows of them at the
// speed of the fans, against the air that the fans bring, where that is stated.
func (b *assembler) airCarries(p *spec.Part, ua float64) bool {
	r := p.Radiator
	air, ok := airOf(r)
	if !ok || b.filledIn(p.Name+".fans.airflow") {
		return true
	}
	t := b.plan.Scenario.Ambient.Temperature.Value
	density, _ := b.air.Density(t)
	_, heat, _ := b.air.Enthalpy(t)
	carries := func(path string, speed float64, q part.Rating) bool {
		rate := air.CapacityRate(speed, density, heat)
		if speed == 0 || q.CheckAir(rate) == nil {
			return true
		}
		b.problems.add(path, "%.3g W/K is more than 95 %% of the %.3g W/K that the air can carry: %.0f %% of the fans' free %.3g m3/h gets through a radiator; check the unit, and airflow, count, rated and speed of the fans",
			q.Conductance, rate, 100*air.Share, 3600*air.Flow(speed)/air.Share)
		return false
	}
	for i, q := range r.Points {
		if !carries(fmt.Sprintf("%s.points[%d]", p.Name, i), q.Speed.Value, rating(r, q.Conductance.Value)) {
			return false
		}
	}
	c := testRate(r)
	path := p.Name + ".conductance"
	if len(r.Points) > 0 {
		path = p.Name + ".fans.speed"
	}
	return carries(path, orRated(fanRate(&r.Fans), air.Rated), part.Rating{Conductance: -c * math.Expm1(-ua/c), CapacityRate: c})
}

// orRated returns a speed, or the rated one where none is stated.
func orRated(speed, rated float64) float64 {
	if speed > 0 {
		return speed
	}
	return rated
}

// filledIn reports whether the figure at a path was assumed.
func (b *assembler) filledIn(path string) bool {
	return slices.ContainsFunc(b.plan.Assumed, func(a spec.Assumed) bool { return a.Path == path })
}

// airOf returns the air that a radiator's fans bring, and false if their airflow
// or their number is not stated. An airflow without its rated speed is taken as
// that at the speed they run at.
func airOf(r *spec.Radiator) (part.CoreAir, bool) {
	count := r.Fans.Count
	if !count.Set && r.Size.Set {
		count = spec.Some(float64(sizeOf(r).Sections))
	}
	if !r.Fans.Airflow.Set || !count.Set {
		return part.CoreAir{}, false
	}
	rated := r.Fans.Rated.Or(fanRate(&r.Fans))
	if rated == 0 {
		rated = 1 // any will do: the airflow is then that of the only speed in sight
	}
	return part.CoreAir{Free: count.Value * r.Fans.Airflow.Value, Rated: rated, Share: part.AirflowShare().Value}, true
}
