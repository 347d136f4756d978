package correlation

import "math"

// StefanBoltzmann is the Stefan-Boltzmann constant in W/(m² K⁴) (CODATA 2018).
const StefanBoltzmann = 5.670374419e-8

// NusseltChurchillChuPlate returns the mean Nusselt number, on the height, of natural
// convection at a vertical plate of one temperature, for every Ra >= 0,
//
//	Nu = {0.825 + 0.387 Ra^{1/6}/[1 + (0.492/Pr)^{9/16}]^{8/27}}².
//
// It is smooth for Ra > 0. At Ra = 0 the value is finite and the slope infinite; the
// heat flow, which has the temperature difference as a further factor, has a continuous
// slope there.
//
// Source: S.W. Churchill & H.H.S. Chu, Int. J. Heat Mass Transfer 18:1323, 1975.
func NusseltChurchillChuPlate(ra, pr float64) float64 {
	return churchillChu(0.825, 0.492, ra, pr)
}

// NusseltChurchillChuCylinder returns the mean Nusselt number, on the diameter, of natural
// convection at a horizontal cylinder of one temperature, Ra <= 1e12,
//
//	Nu = {0.60 + 0.387 Ra^{1/6}/[1 + (0.559/Pr)^{9/16}]^{8/27}}².
//
// Smooth as [NusseltChurchillChuPlate].
//
// Source: S.W. Churchill & H.H.S. Chu, Int. J. Heat Mass Transfer 18:1049, 1975.
func NusseltChurchillChuCylinder(ra, pr float64) float64 {
	return churchillChu(0.60, 0.559, ra, pr)
}

func churchillChu(rest, prandtl, ra, pr float64) float64 {
	// Roots of roots are several times as fast as powers, and as exact.
	x := math.Sqrt(prandtl / pr)
	shape := math.Cbrt(math.Cbrt(math.Cbrt(1 + x*math.Sqrt(math.Sqrt(math.Sqrt(x))))))
	shape *= shape
	shape *= shape
	shape *= shape
	root := rest + 0.387*math.Sqrt(math.Cbrt(ra))/shape
	return root * root
}

// NusseltChurchillChuLaminar returns the mean Nusselt number of laminar natural convection
// at a vertical plate of one temperature, Ra < 1e9,
//
//	Nu = 0.68 + 0.670 Ra^{1/4}/[1 + (0.492/Pr)^{9/16}]^{4/9}.
//
// Source: S.W. Churchill & H.H.S. Chu, Int. J. Heat Mass Transfer 18:1323, 1975 (from
// memory, not checked against the source).
func NusseltChurchillChuLaminar(ra, pr float64) float64 {
	shape := math.Pow(1+math.Pow(0.492/pr, 9.0/16), 4.0/9)
	return 0.68 + 0.670*math.Sqrt(math.Sqrt(ra))/shape
}

// RadiationCoefficient returns ε σ (Ts + Ta)(Ts² + Ta²) in W/(m² K), the film coefficient
// that stands for radiation from a surface of the given emissivity (0..1) at Ts to large
// surroundings at Ta, both in K. It follows from the Stefan-Boltzmann law exactly.
func RadiationCoefficient(emissivity, surface, surroundings float64) float64 {
	return emissivity * StefanBoltzmann * (surface + surroundings) *
		(surface*surface + surroundings*surroundings)
}
