package part

import (
	"math"

	"soakledger/sim/correlation"
	"soakledger/sim/fluid"
	"soakledger/sim/spec"
)

// Shape says which way the air rises along a surface.
type Shape uint8

// The shapes of a surface.
const (
	Upright  Shape = iota // a vertical wall; its size is the height
	Cylinder              // a horizontal cylinder; its size is the diameter
)

// WallEmissivity is the emissivity of painted metal, plastics and rubber.
func WallEmissivity() Default { return Default{0.9, 0.8, 0.95, spec.Ratio, practice} }

// Surface is the outside of a part in still air.
type Surface struct {
	Area       float64 // m2
	Size       float64 // m, see Shape
	Emissivity float64 // 0..1
	Shape      Shape
}

// airPrandtl stands in the shape factor of the convection law alone, which
// changes by less than 0.1 % over the 0.711 to 0.700 of air from 0 to 100 degC.
const airPrandtl = 0.707

// Loss returns the heat (W) that a surface at tw (K) gives to air and
// surroundings at ta (K), with its slopes against both (W/K): natural
// convection by Churchill & Chu 1975 with the air's properties at the mean of
// the two temperatures, and radiation to surroundings at ta.
//
// It is continuous in its slopes also through tw = ta, where the Nusselt number
// is not: the heat goes as |ΔT|^(7/6) there, and it is the heat that is
// differentiated.
func (s Surface) Loss(air *fluid.Table, tw, ta float64) (q, perWall, perAir float64) {
	dt := tw - ta
	mean := (tw + ta) / 2
	g, perKelvin, perMean := s.convection(air, math.Abs(dt), mean)
	radiation := s.Area * correlation.RadiationCoefficient(s.Emissivity, tw, ta)
	cube := 4 * s.Area * s.Emissivity * correlation.StefanBoltzmann
	q = (g + radiation) * dt
	along := g + perKelvin*math.Abs(dt)
	bulk := perMean * dt / 2
	return q, along + bulk + cube*tw*tw*tw, -along + bulk - cube*ta*ta*ta
}

// convection returns the conductance g (W/K) of natural convection at a
// difference dt >= 0 and a mean temperature, with its slopes against both. The
// first is infinite at dt = 0; as only its product with dt counts, and that
// vanishes there, zero is returned instead.
func (s Surface) convection(air *fluid.Table, dt, mean float64) (g, perKelvin, perMean float64) {
	rho, drho := air.Density(mean)
	mu, dmu := air.Viscosity(mean)
	k, dk := air.Conductivity(mean)
	_, cp, dcp := air.Enthalpy(mean)
	ra := correlation.Rayleigh(1/mean, dt, s.Size, mu/rho, k/(rho*cp))
	growth := -1/mean + 2*drho/rho + dcp/cp - dmu/mu - dk/k // d ln Ra/d mean
	nu, perRa := s.nusselt(ra)
	scale := s.Area * k / s.Size
	if dt > 0 {
		perKelvin = scale * perRa / dt
	}
	return scale * nu, perKelvin, scale * (nu*dk/k + perRa*growth)
}

// nusselt returns the Nusselt number and dNu/d ln Ra. In both laws √Nu is a
// constant plus a term that goes as Ra^(1/6).
func (s Surface) nusselt(ra float64) (nu, perRa float64) {
	law := correlation.NusseltChurchillChuPlate
	if s.Shape == Cylinder {
		law = correlation.NusseltChurchillChuCylinder
	}
	nu = law(ra, airPrandtl)
	root := math.Sqrt(nu)
	return nu, root * (root - math.Sqrt(law(0, airPrandtl))) / 3
}

// TubeWallConductance returns the conductance through the wall of a tube (W/K):
// 2 π k L/ln(ro/ri), from bore and outside diameter and length (m) and the
// conductivity (W/(m K)) of its material.
func TubeWallConductance(bore, outside, length, conductivity float64) float64 {
	return 2 * math.Pi * conductivity * length / math.Log(outside/bore)
}

// Skin is a wall that coolant or metal touches inside and air outside.
type Skin struct {
	Through float64 // conductance through the wall, W/K, above zero
	Outside Surface
}

// TubeSkin returns the skin of a horizontal tube: bore, outside diameter and
// length in m.
func TubeSkin(bore, outside, length float64, m Material) Skin {
	return Skin{
		Through: TubeWallConductance(bore, outside, length, m.Conductivity),
		Outside: Surface{Area: math.Pi * outside * length, Size: outside, Emissivity: m.Emissivity, Shape: Cylinder},
	}
}

// Loss returns the heat (W) from an inner face at ti (K) through the wall to
// air at ta (K), with its slopes against both (W/K).
func (s Skin) Loss(air *fluid.Table, ti, ta float64) (q, perInside, perAir float64) {
	face := s.face(air, ti, ta)
	q, perWall, perAir := s.Outside.Loss(air, face, ta)
	share := s.Through / (s.Through + perWall)
	if s.Through < perWall {
		q = s.Through * (ti - face) // the same, and less touched by the rounding of face
	}
	return q, share * perWall, share * perAir
}

// face returns the temperature of the outer face, between the two others: what
// comes through the wall minus what the face loses falls with it.
func (s Skin) face(air *fluid.Table, ti, ta float64) float64 {
	face, left := ti, newBracket(math.Min(ti, ta), math.Max(ti, ta))
	for range mostSteps {
		loss, slope, _ := s.Outside.Loss(air, face, ta)
		excess := s.Through*(ti-face) - loss
		next, done := left.next(face, face+excess/(s.Through+slope), excess > 0)
		if done {
			return next
		}
		face = next
	}
	return face
}

// reservoirDiameter and reservoirWall are those of a usual cylindrical
// reservoir, m (common practice, no source).
const (
	reservoirDiameter = 0.060
	reservoirWall     = 0.004
)

// ReservoirSkin returns the skin of an upright cylindrical reservoir of a
// volume (m3) and a material.
func ReservoirSkin(volume float64, m Material) Skin {
	height := volume / (math.Pi / 4 * reservoirDiameter * reservoirDiameter)
	area := math.Pi * reservoirDiameter * (height + reservoirDiameter/2)
	return Skin{
		Through: m.Conductivity * area / reservoirWall,
		Outside: Surface{Area: area, Size: height, Emissivity: m.Emissivity, Shape: Upright},
	}
}

// ReservoirWallMass returns the mass (kg) of the wall that a skin of a material
// describes.
func ReservoirWallMass(s Skin, m Material) float64 {
	return s.Outside.Area * reservoirWall * m.Density
}

// ReservoirTied is the share of a reservoir's whole mass, lids and mounts
// included, that follows the coolant.
func ReservoirTied() Default { return Default{0.5, 0.3, 0.8, spec.Ratio, practice} }
