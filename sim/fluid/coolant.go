package fluid

import (
	"fmt"
	"math"
	"sync"
)

// hottest is the upper end of every liquid's valid range: 95 °C. Above it an
// open loop is close to boiling, which no formula here describes.
const hottest = zeroCelsius + 95

// form is the set of reference formulas a [Table] is made from: temperature in
// kelvin, SI out.
type form interface {
	density(t float64) float64
	specificHeat(t float64) float64
	viscosity(t float64) float64
	conductivity(t float64) float64
}

// liquid is one source's set of formulas for a coolant.
type liquid interface {
	form
	expansion(t float64) float64
}

// A Coolant is a liquid with its reference property formulas, valid at
// atmospheric pressure over [Coolant.Range]. It never changes and may be shared
// between goroutines.
//
// The property methods evaluate the published formula as it stands, also
// outside the valid range, where the result has no meaning; the [Table] of
// [Coolant.Fast] is the form that stays sane there.
type Coolant struct {
	liquid
	kind      Kind
	share     float64 // kg of glycol per kg of mixture
	name      string
	freezing  float64 // K
	low, high float64 // K
	fast      func() *Table
}

// newCoolant completes a coolant: its table is built at the first use of Fast.
func newCoolant(c Coolant) *Coolant {
	c.fast = sync.OnceValue(func() *Table { return newTable(c.liquid, c.low, c.high) })
	return &c
}

// New gives the coolant of a kind: water (massShare must be 0) or a glycol in
// water. The error is a [*ShareError], or says that the kind has no formulas of
// its own.
func New(kind Kind, massShare float64) (*Coolant, error) {
	switch kind {
	case KindWater:
		if massShare != 0 {
			return nil, &ShareError{Kind: kind, Quantity: "mass share", Given: massShare}
		}
		return Water(), nil
	case KindEthyleneGlycol, KindPropyleneGlycol:
		return newGlycol(kind, massShare)
	}
	return nil, fmt.Errorf("fluid: no property formulas for %s", kind)
}

// Properties are the four figures of a [Constant] coolant, all positive.
type Properties struct {
	Density      float64 // kg/m³
	SpecificHeat float64 // J/(kg·K)
	Viscosity    float64 // dynamic, Pa·s
	Conductivity float64 // W/(m·K)
}

// Constant is a coolant whose properties do not depend on temperature, for
// cases with a closed-form answer. It never freezes (FreezingPoint is 0 K), its
// range is 0 to 10,000 K, its Expansion is 0. A figure that is not positive and
// finite is an error.
func Constant(p Properties) (*Coolant, error) {
	for _, f := range []struct {
		name  string
		value float64
	}{
		{"density", p.Density},
		{"specific heat", p.SpecificHeat},
		{"viscosity", p.Viscosity},
		{"conductivity", p.Conductivity},
	} {
		if !(f.value > 0) || math.IsInf(f.value, 1) {
			return nil, fmt.Errorf("fluid: constant %s of %v: must be positive and finite", f.name, f.value)
		}
	}
	c := Coolant{liquid: constant{p}, kind: KindConstant, name: "constant properties", high: 10_000}
	c.fast = sync.OnceValue(func() *Table { return newTable(c.liquid, zeroCelsius, hottest) })
	return &c, nil
}

// constant is the formulas behind [Constant].
type constant struct{ p Properties }

func (c constant) density(float64) float64      { return c.p.Density }
func (c constant) specificHeat(float64) float64 { return c.p.SpecificHeat }
func (c constant) viscosity(float64) float64    { return c.p.Viscosity }
func (c constant) conductivity(float64) float64 { return c.p.Conductivity }
func (c constant) expansion(float64) float64    { return 0 }

// Name is the coolant in words: "water", "ethylene glycol 30 % by mass".
func (c *Coolant) Name() string { return c.name }

// Kind tells water, the glycols and constant properties apart. A glycol of
// share 0 is water.
func (c *Coolant) Kind() Kind { return c.kind }

// MassShare is the glycol's share by mass, 0 for water and constant properties.
func (c *Coolant) MassShare() float64 { return c.share }

// Range is the span of temperatures (K) in which the coolant is liquid and its
// formulas hold: from its freezing point to 95 °C. The formula for water itself
// reaches from 253.15 to 383.15 K and is not the limit at either end; that of
// the glycols reaches from the freezing point to 100 °C.
func (c *Coolant) Range() (low, high float64) { return c.low, c.high }

// FreezingPoint is the temperature (K) at which the first ice forms on cooling
// at atmospheric pressure.
func (c *Coolant) FreezingPoint() float64 { return c.freezing }

// Density is in kg/m³ at temperature t (K).
func (c *Coolant) Density(t float64) float64 { return c.density(t) }

// SpecificHeat is the isobaric heat capacity in J/(kg·K) at temperature t (K).
func (c *Coolant) SpecificHeat(t float64) float64 { return c.specificHeat(t) }

// Viscosity is the dynamic viscosity in Pa·s at temperature t (K).
func (c *Coolant) Viscosity(t float64) float64 { return c.viscosity(t) }

// Conductivity is the thermal conductivity in W/(m·K) at temperature t (K).
func (c *Coolant) Conductivity(t float64) float64 { return c.conductivity(t) }

// Prandtl is viscosity times specific heat over conductivity at temperature t
// (K), without unit.
func (c *Coolant) Prandtl(t float64) float64 {
	return c.viscosity(t) * c.specificHeat(t) / c.conductivity(t)
}

// Expansion is the volume expansion coefficient -(dρ/dT)/ρ in 1/K at
// temperature t (K), the exact derivative of the density formula. That of water
// is negative below 4 °C.
func (c *Coolant) Expansion(t float64) float64 { return c.expansion(t) }

// Fast is the coolant's fast form. It is built at the first call; every call
// returns the same table. A caller in a hot loop keeps the pointer.
func (c *Coolant) Fast() *Table { return c.fast() }
