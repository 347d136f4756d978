package network_test

import (
	"math"

	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

// reference works out the heat flows of a case from its plain data, each link
// by its definition and coolant by the difference of enthalpies across it.
type reference struct {
	c     *networktest.Case
	t     float64   // s
	temp  []float64 // K, of the lumps
	heat  []float64 // W into every lump
	quad  []float64 // W, paths then leaks
	sizes []float64 // W, the sum of all that a row adds up, without sign
	ties  []float64 // W/K, the sum of conductances in a row
}

// newReference evaluates the case at time t (s) and its state.
func newReference(c *networktest.Case, t float64) *reference {
	quads := c.Paths + len(c.Leaks)
	r := &reference{
		c: c, t: t, temp: c.State, heat: make([]float64, len(c.State)),
		quad: make([]float64, quads), sizes: make([]float64, len(c.State)+quads), ties: make([]float64, len(c.State)+quads),
	}
	for k, lumps := range c.Sources {
		for _, n := range lumps {
			r.into(n, c.Inputs.Power[k]/float64(len(lumps)), 0)
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
	for k, l := range c.Leaks {
		x := l.Growth * (c.State[l.Lump] - l.At)
		p := l.Power * math.Exp(x)
		if l.Linear {
			p = math.Max(0, l.Power*(1+x))
		}
		r.into(l.Lump, p, 0)
		r.quad[c.Paths+k] = p
		r.sizes[len(c.State)+c.Paths+k] = p
	}
	return r
}

// temperature is that of a lump or, at the reference's time, of a boundary, K.
func (r *reference) temperature(n network.Node) float64 {
	if n >= 0 {
		return r.temp[n]
	}
	in := r.c.Inputs
	return in.Temperature[-1-n] + in.Slope[-1-n]*(r.t-in.Since)
}

// stream adds what a stream does to the lump it enters, by the lump's own
// enthalpy, and the energy it carries across a boundary relative to 293.15 K.
func (r *reference) stream(s networktest.Stream) {
	m := s.Share * r.c.Inputs.MassFlow[s.Circuit]
	h := func(t float64) float64 { h, _, _ := r.c.Coolant.Enthalpy(t); return h }
	from, to := h(r.temperature(s.From)), h(r.temperature(s.To))
	size := m * 4e5 // an enthalpy of 4e5 J/kg is that of water at 95 degC
	if s.To >= 0 {
		r.heat[s.To] += m * (from - to)
	}
	r.sizes[r.row(s.From, s.Path)] += size
	r.sizes[r.row(s.To, s.Path)] += size
	switch carried := m * (from - h(293.15)); {
	case s.From < 0:
		r.quad[s.Path] -= carried
	case s.To < 0:
		r.quad[s.Path] += carried
	}
}

// row is that of a lump, or of the path if the node is a boundary.
func (r *reference) row(n network.Node, path network.Path) int {
	if n >= 0 {
		return int(n)
	}
	return len(r.temp) + int(path)
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

// capacity is the heat capacity of lump i, J/K.
func (r *reference) capacity(i int) float64 {
	l := r.c.Lumps[i]
	if l.Mass == 0 {
		return l.Capacity
	}
	_, cp, _ := r.c.Coolant.Enthalpy(r.temp[i])
	return l.Mass * cp
}

// rate is what F is to give in a row, and rounding how far it may be off: fifty
// roundings of the sum of all terms, and what numbers too small for full
// precision lose.
func (r *reference) rate(row int) (rate, rounding float64) {
	unit := 50*0x1p-53*r.sizes[row] + 1e-300
	if row >= len(r.temp) {
		return r.quad[row-len(r.temp)], unit
	}
	return r.heat[row] / r.capacity(row), unit / r.capacity(row)
}
