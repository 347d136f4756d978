package fluid

// A Table is the fast form of the properties of a coolant ([Coolant.Fast]) or of
// air ([FastAir]): piecewise polynomials over uniform knots, found by one
// multiplication. It never changes and may be shared between goroutines; no
// method allocates.
//
// Over the range of the coolant or of the air formulas every property is within
// 1e-4 of the reference form, with an exact derivative and no jump in value or
// derivative. Beyond the range each property runs on smoothly and monotonically
// for 20 K and then stays constant, so that a trial state of an integrator never
// sees a negative or undefined property. Temperatures are in kelvin, below 1e15
// in size.
//
// Heat content has two forms. Enthalpy gives it over temperature, with the
// specific heat and its derivative, for what depends on cp. Temperature and its
// inverse EnthalpyOf, or Temperature and Of of the Inverse that Scaled returns,
// give temperature over it, for accounts of energy whose state it is. Each is
// exact in itself; between them they differ by up to 2e-6 K within the range,
// and further beyond, where Temperature keeps its slope from the end of the
// range on. What adds up energies keeps to one of the two.
type Table struct {
	enthalpy     spline
	temperature  Inverse
	density      spline
	viscosity    spline
	conductivity spline
}

func newTable(f form, low, high float64) *Table {
	g := newGrid(low, high)
	enthalpy := newEnthalpy(f.specificHeat, g)
	return &Table{
		enthalpy:     enthalpy,
		temperature:  newInverse(&enthalpy, low, high),
		density:      newSpline(f.density, g),
		viscosity:    newSpline(f.viscosity, g),
		conductivity: newSpline(f.conductivity, g),
	}
}

// Enthalpy is the specific enthalpy h (J/kg, zero at 0 °C = 273.15 K), the
// specific heat cp (J/(kg·K)) and its derivative dcp (J/(kg·K²)) at temperature
// T (K). The three belong to one polynomial: h is the exact integral of cp, dcp
// its exact derivative. It is not the inverse of Temperature to rounding:
// EnthalpyOf is.
func (t *Table) Enthalpy(T float64) (h, cp, dcp float64) {
	c := t.enthalpy.find(T)
	d := T - c.at
	return c.c0 + d*(c.c1+d*(c.c2+d*c.c3)), c.c1 + d*(2*c.c2+3*d*c.c3), 2*c.c2 + 6*d*c.c3
}

// Density is rho (kg/m³) and its derivative (kg/(m³·K)) at temperature T (K).
func (t *Table) Density(T float64) (rho, drho float64) { return t.density.eval(T) }

// Viscosity is the dynamic viscosity mu (Pa·s) and its derivative (Pa·s/K) at
// temperature T (K).
func (t *Table) Viscosity(T float64) (mu, dmu float64) { return t.viscosity.eval(T) }

// Conductivity is the thermal conductivity k (W/(m·K)) and its derivative
// (W/(m·K²)) at temperature T (K).
func (t *Table) Conductivity(T float64) (k, dk float64) { return t.conductivity.eval(T) }
