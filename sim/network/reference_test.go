package network_test

import (
	"math"
	"slices"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

// reference works out the heat flows of a case from its plain data, each link
// by its definition and coolant by the difference of enthalpies across it. It
// knows temperatures; the states in which a network is described it finds by an
// inversion of its own.
type reference struct {
	c      *networktest.Case
	t      float64                      // s
	temp   []float64                    // K, of the lumps
	heat   []float64                    // W into every lump
	quad   []float64                    // W, paths then leaks
	sizes  []float64                    // W, the sum of all that a row adds up, without sign
	ties   []float64                    // W/K, the sum of conductances and of leaks' slopes, without sign, in a row
	h0, c0 float64                      // J/kg and J/(kg K) of coolant at 293.15 K
	spots  map[networktest.Spot]float64 // K over 293.15 K, of air
	aux    []float64                    // rates of auxiliary states
	fans   float64                      // W, the terms of all powers into air
}

// newReference evaluates the case at time t (s) and its temperatures.
func newReference(c *networktest.Case, t float64) *reference {
	paths := c.AllPaths()
	quads := paths + len(c.Leaks)
	r := &reference{
		c: c, t: t, temp: c.Temperatures, heat: make([]float64, len(c.Temperatures)),
		quad: make([]float64, quads), sizes: make([]float64, c.States()+quads), ties: make([]float64, c.States()+quads),
	}
	r.h0 = enthalpy(c.Coolant, 293.15)
	_, slope := c.Coolant.Temperature(r.h0)
	r.c0 = 1 / slope
	for k, lumps := range c.Sources {
		for _, n := range lumps {
			r.into(n, r.power(k)/float64(len(lumps)), 0)
			r.sizes[n] += r.terms(k) / float64(len(lumps))
		}
	}
	for _, l := range c.Conducts {
		q := l.G * (r.temperature(l.A) - r.temperature(l.B))
		r.into(l.A, -q, l.Path)
		r.into(l.B, q, l.Path)
		r.ties[r.row(l.A, l.Path)] += l.G
		r.ties[r.row(l.B, l.Path)] += l.G
	}
	for _, s := range c.Streams {
		r.stream(s)
	}
	r.laws()
	r.air()
	for k, l := range c.Leaks {
		x := l.Growth * (c.Temperatures[l.Lump] - l.At)
		p := l.Power * math.Exp(x)
		slope := math.Abs(l.Growth * p)
		if l.Linear {
			p, slope = math.Max(0, l.Power*(1+x)), math.Abs(l.Growth*l.Power)
		}
		r.into(l.Lump, p, 0)
		r.quad[paths+k] = p
		row := c.States() + paths + k
		r.sizes[row] = p
		r.ties[row] += slope
		r.ties[l.Lump] += slope
	}
	for k, a := range c.Auxiliaries {
		r.follow(k, a)
	}
	return r
}

// laws adds what follows operations, and curves.
func (r *reference) laws() {
	conduct := func(a, b network.Node, path network.Path, q, tie float64) {
		r.into(a, -q, path)
		r.into(b, q, path)
		r.ties[r.row(a, path)] += tie
		r.ties[r.row(b, path)] += tie
	}
	for _, l := range r.c.Laws {
		g, slope := r.quantity(l.Circuit, l.Value)
		d := r.temperature(l.A) - r.temperature(l.B)
		conduct(l.A, l.B, l.Path, l.Share*g*d, l.Share*(g+math.Abs(slope*d)))
	}
	for _, f := range r.c.Flows {
		m, slope := r.quantity(f.Circuit, f.Value)
		r.flow(f.From, f.To, 0, m)
		tie := r.c0 * (m + 100*math.Abs(slope))
		r.ties[f.From] += tie
		r.ties[f.To] += tie
	}
	for _, l := range r.c.Curves {
		d := r.temperature(l.A) - r.temperature(l.B)
		within := math.Max(-80, math.Min(d, 80))
		q := l.G*within + l.Cube*within*within*within
		slope := l.G + 3*l.Cube*within*within
		conduct(l.A, l.B, l.Path, q+slope*(d-within), slope)
	}
}

// quantity is a circuit's at the temperature of its reference, and its slope.
func (r *reference) quantity(c network.Circuit, value int) (y, slope float64) {
	for _, o := range r.c.Operations {
		if o.Circuit == c {
			return o.Operation.(networktest.Polynomials).Quantity(value, r.temp[o.Reference])
		}
	}
	panic("no operation")
}

// temperature is that of a lump or, at the reference's time, of a boundary, K.
func (r *reference) temperature(n network.Node) float64 {
	if n >= 0 {
		return r.temp[n]
	}
	in := r.c.Inputs
	return in.Temperature[-1-n] + in.Slope[-1-n]*(r.t-in.Since)
}

// enthalpy is that of coolant at temperature t (K), by bisection: the table
// gives temperature over enthalpy.
func enthalpy(coolant *fluid.Table, t float64) float64 {
	low, high := -2e6, 2e6 // J/kg, far from any temperature of a test
	for {
		mid := low + (high-low)/2
		if mid <= low || mid >= high {
			return high
		}
		if at, _ := coolant.Temperature(mid); at < t {
			low = mid
		} else {
			high = mid
		}
	}
}

// state is that of the case in full, quadratures at zero.
func (r *reference) state() []float64 {
	y := make([]float64, r.c.States()+len(r.quad))
	for k, a := range r.c.Auxiliaries {
		y[len(r.temp)+k] = a.Value
	}
	for i, t := range r.temp {
		y[i] = t
		if r.c.Lumps[i].Mass > 0 {
			y[i] = 293.15 + (enthalpy(r.c.Coolant, t)-r.h0)/r.c0
		}
	}
	return y
}

// stream adds what a stream does to the lump it enters, by the lump's own
// enthalpy, and the energy it carries across a boundary relative to 293.15 K.
func (r *reference) stream(s networktest.Stream) {
	r.flow(s.From, s.To, s.Path, s.Share*r.c.Inputs.MassFlow[s.Circuit])
}

// flow is stream with the mass flow m, kg/s.
func (r *reference) flow(a, b network.Node, path network.Path, m float64) {
	from, to := enthalpy(r.c.Coolant, r.temperature(a)), enthalpy(r.c.Coolant, r.temperature(b))
	size := m * 4e5 // an enthalpy of 4e5 J/kg is that of water at 95 degC
	if b >= 0 {
		r.heat[b] += m * (from - to)
	}
	r.sizes[r.row(a, path)] += size
	r.sizes[r.row(b, path)] += size
	switch carried := m * (from - r.h0); {
	case a < 0:
		r.quad[path] -= carried
	case b < 0:
		r.quad[path] += carried
	}
}

// row is that of a lump, or of the path if the node is a boundary.
func (r *reference) row(n network.Node, path network.Path) int {
	if n >= 0 {
		return int(n)
	}
	return r.c.States() + int(path)
}

// into adds heat q (W) to a lump, or to a path if the node is a boundary.
func (r *reference) into(n network.Node, q float64, path network.Path) {
	if n >= 0 {
		r.heat[n] += q
	} else {
		r.quad[path] += q
	}
	r.sizes[r.row(n, path)] += math.Abs(q)
}

// capacity is the energy that lump i stores per kelvin of its state, J/K.
func (r *reference) capacity(i int) float64 {
	l := r.c.Lumps[i]
	if l.Mass == 0 {
		return l.Capacity
	}
	return l.Mass * r.c0
}

// tie is how a row depends on temperatures at most, per kelvin.
func (r *reference) tie(row int) float64 {
	if row >= len(r.temp) {
		return r.ties[row]
	}
	return r.ties[row] / r.capacity(row)
}

// rate is what F is to give in a row, and rounding how far it may be off: fifty
// roundings of the sum of all terms, what conductances and leaks make of four
// roundings of a temperature on its way through the state and back, and what
// numbers too small for full precision lose.
func (r *reference) rate(row int) (rate, rounding float64) {
	unit := 50*0x1p-53*r.sizes[row] + 4*0x1p-44*r.ties[row] + 1e-300
	switch lumps, states := len(r.temp), r.c.States(); {
	case row >= states:
		return r.quad[row-states], unit
	case row >= lumps:
		return r.aux[row-lumps], unit
	}
	return r.heat[row] / r.capacity(row), unit / r.capacity(row)
}

// follow adds auxiliary state k.
func (r *reference) follow(k int, a networktest.Auxiliary) {
	row, sum := len(r.temp)+k, -a.Value
	r.sizes[row] += math.Abs(a.Value)
	for _, s := range a.Signals {
		weight := math.Abs(s.Weight)
		u, tie := 0.0, 4.0
		switch {
		case a.OfPower:
			u, tie = r.chipPower(s.Source)
			r.sizes[row] += weight * r.terms(int(s.Source))
		case s.Spot.At == networktest.AtNode:
			u = r.temperature(s.Spot.Node)
		default:
			u = 293.15 + r.spots[s.Spot]
			tie += r.airTie(s.Spot.Pass)
			r.sizes[row] += weight * r.fans / r.c.Inputs.Air[s.Spot.Pass].Rate
		}
		sum += s.Weight * u
		r.sizes[row] += weight * math.Abs(u)
		r.ties[row] += weight * tie
	}
	r.sizes[row] /= a.Tau
	r.ties[row] = r.ties[row]/a.Tau + 1/a.Tau
	r.aux = append(r.aux, sum/a.Tau)
}

// airTie is how the air of a pass may depend on the reference of its conductances.
func (r *reference) airTie(pass int) float64 {
	sum := 0.0
	for k := range r.c.Passes[:pass+1] { // and on those that it breathes
		for _, t := range r.c.Passes[k].Ties {
			_, slope := r.tieOf(t)
			sum += 100 * math.Abs(slope) / r.c.Inputs.Air[pass].Rate
		}
	}
	return sum
}

// chipPower is that of a source with the leaks on its lumps, and how it depends on
// temperatures.
func (r *reference) chipPower(s network.Source) (power, tie float64) {
	power = r.power(int(s))
	if int(s) >= len(r.c.Sources) {
		return power, 0
	}
	for k, l := range r.c.Leaks {
		if slices.Contains(r.c.Sources[s], l.Lump) {
			row := r.c.States() + r.c.AllPaths() + k
			power += r.quad[row-r.c.States()]
			tie += r.ties[row]
		}
	}
	return power, tie
}
