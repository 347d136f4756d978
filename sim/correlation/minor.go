package correlation

import "math"

// Minor losses: coefficients K of Δp = K ρ v²/2, v in the narrower pipe.

// Loss coefficients of pipe ends (from memory, not checked against a source).
const (
	LossExit            = 1.0  // into a large volume
	LossEntranceSharp   = 0.5  // out of a large volume, sharp edge
	LossEntranceRennels = 0.57 // the same after D.C. Rennels & H.M. Hudson, Pipe Flow, 2012
)

// LossExpansion returns (1 - A1/A2)² of a sudden widening, with the ratio (0..1) of the
// small to the large area (Borda and Carnot; follows from the momentum balance).
func LossExpansion(areaRatio float64) float64 {
	rest := 1 - areaRatio
	return rest * rest
}

// LossContraction returns the rule 0.5 (1 - A2/A1) of a sudden narrowing with a sharp
// edge, with the ratio (0..1) of the small to the large area (from memory, not checked
// against a source). [LossContractionRennels] is the better law.
func LossContraction(areaRatio float64) float64 {
	return 0.5 * (1 - areaRatio)
}

// LossContractionRennels returns the coefficient of a sudden narrowing with a sharp edge
// from the ratio β (0..1) of the small to the large diameter,
//
//	K = 0.0696 (1 - β⁵) λ² + (λ - 1)²,  λ = 1 + 0.622 (1 - 0.215 β² - 0.785 β⁵).
//
// Source: D.C. Rennels & H.M. Hudson, Pipe Flow, 2012.
func LossContractionRennels(diameterRatio float64) float64 {
	b2 := diameterRatio * diameterRatio
	b5 := b2 * b2 * diameterRatio
	jet := 1 + 0.622*(1-0.215*b2-0.785*b5)
	return 0.0696*(1-b5)*jet*jet + (jet-1)*(jet-1)
}

// LossBend returns the coefficient of a smooth round bend, friction along it included,
// from its angle α in rad, its radius of curvature over the bore, r/d, and the Darcy
// factor f of the pipe,
//
//	K = f α r/d + (0.10 + 2.4 f) sin(α/2) + 6.6 f [√sin(α/2) + sin(α/2)]/(r/d)^{4α/π}.
//
// Valid for 0 < α <= π.
//
// Source: D.C. Rennels & H.M. Hudson, Pipe Flow, 2012.
func LossBend(angle, curvature, f float64) float64 {
	half := math.Sin(angle / 2)
	return f*angle*curvature + (0.10+2.4*f)*half +
		6.6*f*(math.Sqrt(half)+half)/math.Pow(curvature, 4*angle/math.Pi)
}
