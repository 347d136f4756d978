package correlation

import "math"

// CoreFlow is the flow through a compact core, as its pressure loss needs it.
type CoreFlow struct {
	MassVelocity      float64 // through the free area, kg/(s m²)
	InletDensity      float64 // kg/m³
	OutletDensity     float64 // kg/m³
	FreeArea          float64 // free flow area over face area, 0..1
	Friction          float64 // Fanning factor, mean over the core
	Length            float64 // of the passages, m
	HydraulicDiameter float64 // m
	Entrance, Exit    float64 // loss coefficients Kc and Ke on the free area
}

// CoreLoss returns the static pressure loss of a core in Pa,
//
//	Δp = G²/(2ρ1) [(1 - σ² + Kc) + 2(ρ1/ρ2 - 1) + f (L/rh)(ρ1/ρm) - (1 - σ² - Ke) ρ1/ρ2],
//
// rh = Dh/4 and 1/ρm the mean of the two specific volumes. Where an apparent friction
// factor already holds the entrance loss, set Entrance to zero.
//
// Source: W.M. Kays & A.L. London, Compact Heat Exchangers, 3rd ed. 1984 (from memory,
// not checked against the source).
func CoreLoss(c CoreFlow) float64 {
	expansion := c.InletDensity / c.OutletDensity
	mean := (1 + expansion) / 2
	free := 1 - c.FreeArea*c.FreeArea
	entrance := free + c.Entrance
	acceleration := 2 * (expansion - 1)
	friction := c.Friction * 4 * c.Length / c.HydraulicDiameter * mean
	exit := (free - c.Exit) * expansion
	head := c.MassVelocity * c.MassVelocity / (2 * c.InletDensity)
	return head * (entrance + acceleration + friction - exit)
}

// Momentum factors Kd of the fully developed velocity profile, for
// [CoreEntranceLoss] and [CoreExitLoss] (W.M. Kays, Trans. ASME 72:1067, 1950).
const (
	MomentumPlates    = 1.2
	MomentumSquare    = 1.39
	MomentumTriangle  = 1.43
	MomentumTurbulent = 1.0
)

// CoreEntranceLoss returns the entrance loss coefficient Kc of a core whose free area
// is the share freeArea (0..1) of its face and whose passages have the given momentum
// factor,
//
//	Kc = [1 - 2 Cc + Cc² (2 Kd - 1)]/Cc²,  Cc = 4.374e-4 e^{6.737 √σ} + 0.621.
//
// Free areas outside 0..1 are held at the ends.
//
// Source: W.M. Kays, Trans. ASME 72:1067, 1950; the contraction Cc is a fit for round
// tubes.
func CoreEntranceLoss(freeArea, momentum float64) float64 {
	sigma := math.Max(0, math.Min(freeArea, 1))
	cc := 4.374e-4*math.Exp(6.737*math.Sqrt(sigma)) + 0.621
	return (1-2*cc)/(cc*cc) + 2*momentum - 1
}

// CoreExitLoss returns the exit loss coefficient Ke = 1 - 2 Kd σ + σ² of a core;
// arguments as in [CoreEntranceLoss]. It is negative where the recovery exceeds the
// loss.
//
// Source: W.M. Kays, Trans. ASME 72:1067, 1950.
func CoreExitLoss(freeArea, momentum float64) float64 {
	sigma := math.Max(0, math.Min(freeArea, 1))
	return 1 - 2*momentum*sigma + sigma*sigma
}
