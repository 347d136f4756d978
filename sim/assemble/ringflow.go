package assemble

import (
	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// ringFlow is the operation of one loop: the flow that its pumps drive through
// its parts, how forks share it, and what conducts by it.
type ringFlow struct {
	coolant *fluid.Coolant
	table   *fluid.Table
	fixed   float64 // m3/s, where the pump states its flow; else below zero
	pumps   []part.PumpCurve
	speeds  []float64 // of each pump, over its rated speed
	moving  []int     // pumps whose speeds are settings, by their number among pumps
	ring    []part.Resistance
	forks   []*fork
	films   []filmValue
	cores   []exchangeAt
}

// fork is a parallel element: its branches, and which branch of which fork it
// lies in itself.
type fork struct {
	split  part.Parallel
	within flowPlace
	flows  []float64 // m3/s, of its branches at the point in hand
}

// flowPlace is where a part lies: in the ring itself (fork -1) or in a branch.
type flowPlace struct{ fork, branch int }

var inRing = flowPlace{fork: -1}

// filmValue is a conductance between a plate and the coolant.
type filmValue struct {
	film  part.Film
	place flowPlace
}

// Values returns how many quantities the loop has: its mass flow, those of all
// branches, one film a block, two conductances a radiator.
func (r *ringFlow) Values() int {
	return 1 + r.branches() + len(r.films) + 2*len(r.cores)
}

// quantity names one of the values of an operation before their number is
// known.
type quantity struct {
	kind   quantityKind
	number int // of the branch in file order, of the block or of the radiator
}

type quantityKind uint8

const (
	wholeFlow quantityKind = iota
	branchFlow
	blockFilm
	coreFilm
	coreAir
)

// place returns where a quantity stands among the values.
func (r *ringFlow) place(q quantity) int {
	films := 1 + r.branches()
	cores := films + len(r.films)
	switch q.kind {
	case branchFlow:
		return 1 + q.number
	case blockFilm:
		return films + q.number
	case coreFilm:
		return cores + 2*q.number
	case coreAir:
		return cores + 2*q.number + 1
	}
	return 0
}

// branches returns the number of branches of all forks.
func (r *ringFlow) branches() int {
	n := 0
	for _, f := range r.forks {
		n += len(f.flows)
	}
	return n
}

// solve finds the flow (m3/s) at speeds of the pumps that move and a coolant
// temperature (K), and how forks share it.
func (r *ringFlow) solve(speeds []float64, temperature float64) (q float64, liquid part.Liquid, err error) {
	for i, pump := range r.moving {
		r.speeds[pump] = speeds[i]
	}
	liquid = part.LiquidAt(r.coolant, temperature)
	q = r.fixed
	if q < 0 {
		if q, _, err = part.OperatingPoint(r.pumps, r.speeds, r.ring, liquid); err != nil {
			return 0, liquid, err
		}
	}
	for _, f := range r.forks {
		f.split.Split(r.flowAt(f.within, q), liquid, f.flows)
	}
	return q, liquid, nil
}

// At writes the quantities at a coolant temperature, K.
func (r *ringFlow) At(temperature float64, dst []float64) error {
	return r.AtSettings(nil, temperature, dst)
}

// AtSettings writes the quantities at speeds of the pumps that move, over their
// rated ones, and a coolant temperature, K.
func (r *ringFlow) AtSettings(speeds []float64, temperature float64, dst []float64) error {
	q, liquid, err := r.solve(speeds, temperature)
	if err != nil {
		return err
	}
	dst[0] = q * liquid.Density
	next := 1
	for _, f := range r.forks {
		for _, b := range f.flows {
			dst[next] = b * liquid.Density
			next++
		}
	}
	for _, f := range r.films {
		dst[next], _, _ = f.film.Conductance(r.table, r.flowAt(f.place, q), temperature)
		next++
	}
	heat := liquid.Density * r.coolant.SpecificHeat(temperature)
	for _, c := range r.cores {
		flow := r.flowAt(c.place, q)
		dst[next], dst[next+1] = c.conduct(flow, flow*heat, temperature)
		next += 2
	}
	return nil
}

// flowAt returns the flow at a place (m3/s) where that of the ring is q.
func (r *ringFlow) flowAt(place flowPlace, q float64) float64 {
	if place.fork < 0 {
		return q
	}
	return r.forks[place.fork].flows[place.branch]
}
