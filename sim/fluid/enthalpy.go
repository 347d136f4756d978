package fluid

import "math"

// Inverse is temperature as a function of heat content: of specific enthalpy,
// or of enthalpy on another scale ([Table.Scaled]). It is a cubic Hermite spline
// over uniform knots of heat content with the exact slopes there, and runs on in
// straight lines beyond the range. It never changes and may be shared between
// goroutines.
type Inverse struct {
	origin, perStep float64
	cells           []cell
}

// newInverse inverts the enthalpy spline between temperatures low and high.
func newInverse(enthalpy *spline, low, high float64) Inverse {
	from, _ := enthalpy.eval(low)
	to, _ := enthalpy.eval(high)
	n := int(math.Ceil((high - low) / knotSpacing))
	step := (to - from) / float64(n)
	inv := Inverse{origin: from - step, perStep: 1 / step, cells: make([]cell, n+2)}
	t, dt := low, slopeAt(enthalpy, low)
	inv.cells[0] = cell{at: from, c0: low, c1: dt}
	for i := range n {
		next := enthalpyRoot(enthalpy, from+float64(i+1)*step, t+step*dt)
		dnext := slopeAt(enthalpy, next)
		rise := (next - t) / step
		inv.cells[i+1] = cell{
			at: from + float64(i)*step, c0: t, c1: dt,
			c2: (3*rise - 2*dt - dnext) / step, c3: (dt + dnext - 2*rise) / (step * step),
		}
		t, dt = next, dnext
	}
	inv.cells[n+1] = cell{at: from + float64(n)*step, c0: t, c1: dt}
	return inv
}

// slopeAt is dT/dh = 1/cp at temperature t.
func slopeAt(enthalpy *spline, t float64) float64 {
	_, cp := enthalpy.eval(t)
	return 1 / cp
}

// enthalpyRoot solves h(t) = h by Newton's method from a guess of t.
func enthalpyRoot(enthalpy *spline, h, t float64) float64 {
	for range 20 {
		y, cp := enthalpy.eval(t)
		move := (h - y) / cp
		t += move
		if math.Abs(move) < 1e-12 {
			break
		}
	}
	return t
}

// Temperature is the temperature T (K) at heat content x, below 1e15 in size,
// and its derivative dT. Both are continuous, and dT is above zero. It is small
// enough to be compiled into its caller: networks call it for every mass of
// coolant in every evaluation.
func (inv *Inverse) Temperature(x float64) (T, dT float64) {
	c := &inv.cells[min(max(int((x-inv.origin)*inv.perStep), 0), len(inv.cells)-1)]
	d := x - c.at
	return c.c0 + d*(c.c1+d*(c.c2+d*c.c3)), c.c1 + d*(2*c.c2+3*d*c.c3)
}

// Of is the heat content at which Temperature gives t (K), to rounding.
func (inv *Inverse) Of(t float64) float64 {
	first := &inv.cells[0]
	x := first.at + (t-first.c0)/first.c1
	for range 20 {
		at, slope := inv.Temperature(x)
		x += (t - at) / slope
		if math.Abs(t-at) <= 0x1p-52*math.Abs(t) {
			break
		}
	}
	return x
}

// Temperature is the temperature T (K) of coolant or air whose specific
// enthalpy is h (J/kg, zero at 0 °C), and its derivative dT = 1/cp (kg·K/J).
// Both are continuous; cp is within 1e-4 of the reference form over the range
// and constant beyond it. EnthalpyOf is its inverse to rounding; Enthalpy is
// not, see Table.
func (t *Table) Temperature(h float64) (T, dT float64) { return t.temperature.Temperature(h) }

// EnthalpyOf is the specific enthalpy h (J/kg) at which Temperature gives t
// (K), to rounding.
func (t *Table) EnthalpyOf(temperature float64) float64 { return t.temperature.Of(temperature) }

// Scaled is temperature over specific enthalpy on another scale: the
// temperature that the coolant would have if its specific heat were c0, that at
// the reference temperature, throughout. That is, Temperature of h (J/kg) is
// the scaled one at reference + (h - EnthalpyOf(reference))/c0, in K, where c0
// is in J/(kg·K). Heat is linear in it, and at the reference it is the
// temperature itself.
func (t *Table) Scaled(reference float64) (scale *Inverse, c0 float64) {
	inv := &t.temperature
	h0 := inv.Of(reference)
	_, slope := inv.Temperature(h0)
	c := 1 / slope
	at := func(h float64) float64 { return reference + (h-h0)/c }
	scale = &Inverse{origin: at(inv.origin), perStep: inv.perStep * c, cells: make([]cell, len(inv.cells))}
	for i, k := range inv.cells {
		scale.cells[i] = cell{at: at(k.at), c0: k.c0, c1: k.c1 * c, c2: k.c2 * c * c, c3: k.c3 * c * c * c}
	}
	return scale, c
}
