package networktest

import (
	"pgregory.net/rapid"

	"soakledger/sim/network"
)

// Polynomials are quantities c0 + c1 x + c2 x² + c3 x³ of x = (T - 320 K)/100 K,
// which a table of cubics holds without error.
type Polynomials [][4]float64

// Values returns their number.
func (p Polynomials) Values() int { return len(p) }

// At writes their values at a temperature (K) to dst.
func (p Polynomials) At(temperature float64, dst []float64) error {
	for v := range p {
		dst[v], _ = p.Quantity(v, temperature)
	}
	return nil
}

// Quantity returns one of them with its slope (1/K) at a temperature (K).
func (p Polynomials) Quantity(v int, temperature float64) (y, slope float64) {
	x, c := (temperature-320)/100, p[v]
	return c[0] + x*(c[1]+x*(c[2]+x*c[3])), (c[1] + x*(2*c[2]+x*3*c[3])) / 100
}

// laws draws circuits with operations, and curves.
func (d *drawer) laws() {
	if len(d.coolant) > 0 {
		for range rapid.IntRange(0, 2).Draw(d.t, "operations") {
			d.operation()
		}
	}
	for range rapid.IntRange(0, 3).Draw(d.t, "curves") {
		if a, b := d.node(), d.node(); a != b && (a >= 0 || b >= 0) {
			g := d.size("curve", 0.01, 10)
			d.c.Curves = append(d.c.Curves, Curve{a, b, g, g * d.float("cube", 0, 0.3) / 6400, d.path()})
		}
	}
}

// operation draws a ring, or a ring of which the second and third lump are side
// by side, or no stream at all, and conductances that follow its flow. Its table
// reaches from 255 to 385 K.
func (d *drawer) operation() {
	circuit := network.Circuit(len(d.c.Inputs.MassFlow))
	d.c.Inputs.MassFlow = append(d.c.Inputs.MassFlow, d.float("no effect", 0, 1))
	lumps := rapid.Permutation(d.coolant).Draw(d.t, "ring")
	reference := lumps[0]
	lumps = lumps[:rapid.IntRange(1, len(lumps)).Draw(d.t, "length")]
	stands := rapid.IntRange(0, 3).Draw(d.t, "stands") == 0
	quantities := Polynomials{d.quantity(stands, 0.001, 0.2)}
	switch {
	case len(lumps) == 1:
	case len(lumps) >= 4 && rapid.Bool().Draw(d.t, "parts"):
		one, other := d.quantity(stands, 0.001, 0.2), d.quantity(false, 0.001, 0.2)
		if stands {
			other = one
		}
		quantities = Polynomials{sum(one, other), one, other}
		for k := range 2 {
			d.c.Flows = append(d.c.Flows, Flow{lumps[0], lumps[1+k], circuit, 1 + k}, Flow{lumps[1+k], lumps[3], circuit, 1 + k})
		}
		d.flows(circuit, append(lumps[3:len(lumps):len(lumps)], lumps[0]))
	default:
		d.flows(circuit, append(lumps[:len(lumps):len(lumps)], lumps[0]))
	}
	for range rapid.IntRange(0, 3).Draw(d.t, "followers") {
		a, b := d.node(), d.node()
		if a == b || a < 0 && b < 0 {
			continue
		}
		d.c.Laws = append(d.c.Laws, Law{a, b, circuit, len(quantities), d.float("share", 0, 1), d.path()})
		quantities = append(quantities, d.quantity(rapid.IntRange(0, 5).Draw(d.t, "none") == 0, 0.01, 100))
	}
	d.c.Operations = append(d.c.Operations, Operation{circuit, reference, 255, 385, quantities})
}

// flows lets a circuit's first quantity run from the first node to the last.
func (d *drawer) flows(circuit network.Circuit, nodes []network.Node) {
	for i := range nodes[:len(nodes)-1] {
		d.c.Flows = append(d.c.Flows, Flow{nodes[i], nodes[i+1], circuit, 0})
	}
}

// quantity draws a polynomial that is above zero from 255 to 385 K, or zero.
func (d *drawer) quantity(zero bool, low, high float64) (c [4]float64) {
	if zero {
		return c
	}
	size := d.size("quantity", low, high)
	for k, most := range []float64{0, 0.5, 0.2, 0.2} {
		c[k] = size * d.float("coefficient", -most, most)
	}
	c[0] = size
	return c
}

func sum(a, b [4]float64) [4]float64 {
	for k := range a {
		a[k] += b[k]
	}
	return a
}
