package assemble

import (
	"soakledger/sim/fluid"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// exchange is what a radiator conducts at a flow (m3/s) and a capacity rate (W/K)
// of its coolant at a temperature (K): from coolant to metal, and from metal to
// the air that enters it, W/K. The second is such that the cells give exactly
// the heat of the radiator.
type exchange interface {
	conduct(flow, capacityRate, temperature float64) (film, air float64)
}

// exchangeAt is an exchange in its place in the ring.
type exchangeAt struct {
	exchange
	place flowPlace
}

// geometric is the exchange of a core that is known by its geometry.
type geometric struct {
	core    *part.Core
	table   *fluid.Table
	film    *part.Film // where it is stated; else the geometry's
	airSide float64    // from metal to air, W/K
	airRate float64    // capacity rate of the air through the core, W/K
	cells   int
}

func (g *geometric) conduct(flow, capacityRate, temperature float64) (film, air float64) {
	film = g.filmAt(flow, temperature)
	return film, g.core.Cells(g.airSide, film, capacityRate, g.airRate, g.cells)
}

// filmAt returns the conductance from coolant to metal, W/K.
func (g *geometric) filmAt(flow, temperature float64) float64 {
	if g.film != nil {
		film, _, _ := g.film.Conductance(g.table, flow, temperature)
		return film
	}
	film, _, _ := g.core.Liquid(g.table, flow, temperature)
	return film
}

// testFilm returns the conductance between coolant and metal (W/K) at a flow (m3/s)
// of water at 25 degC: what is stated, else that of the core's geometry.
func (w *airWay) testFilm(flow float64) float64 {
	coolant := fluid.Water().Fast()
	if r := w.part.Radiator; r.FilmConductance.Set {
		if film, err := filmOf(r.FilmConductance.Value, r.TestFlow.Or(part.RadiatorTestFlow().Value)); err == nil {
			g, _, _ := film.Conductance(coolant, flow, zeroCelsius+25)
			return g
		}
	}
	g, _, _ := w.core.Liquid(coolant, flow, zeroCelsius+25)
	return g
}

// exchangeOf returns what a radiator conducts, and false if its figures do not
// fit together.
func (b *assembler) exchangeOf(p *spec.Part) (exchange, bool) {
	w := b.ways[p.Name]
	if w == nil {
		return nil, false // a problem that was told
	}
	if w.core == nil {
		c, ok := b.stated(p)
		return &c, ok
	}
	g := &geometric{
		core: w.core, table: b.plan.Coolant.Fast(), cells: int(p.Radiator.Cells.Value),
		airSide: w.airSide(b.airState), airRate: w.airRate(b.airState),
	}
	if r := p.Radiator; r.FilmConductance.Set {
		film, err := filmOf(r.FilmConductance.Value, r.TestFlow.Or(part.RadiatorTestFlow().Value))
		if err != nil {
			b.problems.add(p.Name+".film_conductance", "%s", plain(err))
			return nil, false
		}
		g.film = &film
	}
	return g, true
}

// benchOf returns the airflow that the speeds of measured points and of the fans'
// whole range give on the bench, or nil for a core without points.
func (b *assembler) benchOf(w *airWay) (list []benchSpeed) {
	if w.factor == nil {
		return nil
	}
	const steps = 64
	for k := range steps + 1 {
		speed := mostSpeed * w.fans.drive.Rated * float64(k) / steps
		if flow, err := w.benchFlow(speed, b.benchAir); err == nil {
			list = append(list, benchSpeed{flow, speed})
		}
	}
	return list
}

// measuredCore returns the factor by which measured points correct a core.
func (b *assembler) measuredCore(w *airWay) (part.CoreFactor, error) {
	r := w.part.Radiator
	test := part.CoreTest{CapacityRate: testRate(r), Film: w.testFilm(r.TestFlow.Value), PerMean: r.Per == "mean", Air: b.benchAir}
	var points []part.CorePoint
	for _, q := range r.Points {
		flow, err := w.benchFlow(q.Speed.Value, b.benchAir)
		if err != nil {
			return part.CoreFactor{}, err
		}
		points = append(points, part.CorePoint{Speed: q.Speed.Value, Airflow: part.WithDraught(flow, w.still), Conductance: q.Conductance.Value})
	}
	return w.core.Correct(points, test)
}
