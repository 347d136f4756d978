package fluid

import (
	"fmt"
	"strconv"
)

// A Kind is a family of coolants.
type Kind int

// The kinds of coolant. The zero Kind is water.
const (
	KindWater Kind = iota
	KindEthyleneGlycol
	KindPropyleneGlycol
	KindConstant // figures given by the user, see [Constant]
)

// String is the kind in words: "water", "ethylene glycol".
func (k Kind) String() string {
	switch k {
	case KindWater:
		return "water"
	case KindEthyleneGlycol:
		return "ethylene glycol"
	case KindPropyleneGlycol:
		return "propylene glycol"
	case KindConstant:
		return "constant properties"
	}
	return "kind " + strconv.Itoa(int(k))
}

// A ShareError is a share of glycol outside what the property formulas cover.
type ShareError struct {
	Kind     Kind
	Quantity string  // "mass share" or "volume share"
	Given    float64 // fraction
	High     float64 // fraction; allowed is 0 to High
}

// Error gives what was asked for and what is allowed, in percent.
func (e *ShareError) Error() string {
	return fmt.Sprintf("fluid: %s %s of %.4g %%: allowed is 0 to %.4g %%",
		e.Kind, e.Quantity, 100*e.Given, 100*e.High)
}

// Densities at 20 °C (kg/m³) that turn volume into mass: a mixture is said to
// hold a share by volume as its parts were measured before mixing.
const (
	ethyleneDensity  = 1113.5 // value from memory, not checked against the source
	propyleneDensity = 1036.3 // value from memory, not checked against the source
	mixedWater       = 998.2  // IAPWS-95 at 20 °C, 101.325 kPa
)

// pureDensity is the glycol's density at 20 °C; ok is false for kinds that are
// not mixed from volumes.
func pureDensity(kind Kind) (rho float64, ok bool) {
	switch kind {
	case KindEthyleneGlycol:
		return ethyleneDensity, true
	case KindPropyleneGlycol:
		return propyleneDensity, true
	}
	return 0, false
}

// MassShare turns a glycol's share by volume, of parts measured at 20 °C before
// mixing, into its share by mass. Allowed are the volume shares whose mass
// share is at most 0.6: up to 57.4 % for ethylene glycol, 59.1 % for propylene
// glycol; for every other kind 0 alone. Anything else is a [*ShareError].
func MassShare(kind Kind, volumeShare float64) (float64, error) {
	high := 0.0
	rho, ok := pureDensity(kind)
	if ok {
		high = toVolume(maxGlycol, rho)
	}
	if !(volumeShare >= 0 && volumeShare <= high) {
		return 0, &ShareError{Kind: kind, Quantity: "volume share", Given: volumeShare, High: high}
	}
	if !ok {
		return 0, nil
	}
	// min: the largest volume share must not round to a mass share above 0.6.
	return min(toMass(volumeShare, rho), maxGlycol), nil
}

// VolumeShare turns a glycol's share by mass, 0 to 0.6, into its share by
// volume; the inverse of [MassShare], with the same errors.
func VolumeShare(kind Kind, massShare float64) (float64, error) {
	high := 0.0
	rho, ok := pureDensity(kind)
	if ok {
		high = maxGlycol
	}
	if !(massShare >= 0 && massShare <= high) {
		return 0, &ShareError{Kind: kind, Quantity: "mass share", Given: massShare, High: high}
	}
	if !ok {
		return 0, nil
	}
	return toVolume(massShare, rho), nil
}

func toMass(v, rho float64) float64 { return v * rho / (v*rho + (1-v)*mixedWater) }

func toVolume(x, rho float64) float64 { return x / rho / (x/rho + (1-x)/mixedWater) }
