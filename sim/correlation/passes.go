package correlation

import "math"

// EffectivenessPassesInPlane returns the effectiveness of the tube-side stream of
// a core whose passes lie side by side in the face: the tube stream runs through
// the passes one after another, mixed in the headers between them, while each pass
// sees its own share of the air, so the air does not cross a second pass. With
// ntu = UA/C_tube and ratio = C_tube/C_air of the whole core, every pass is an
// unmixed cross flow p with ntu/passes and passes × ratio, and
//
//	P = 1 - (1-p)^passes.
//
// Derived here from [EffectivenessCrossFlowUnmixed], not from a publication. The
// limit for very many passes is [EffectivenessCrossFlowOwnMixed]. Fewer than one
// pass is taken as one.
func EffectivenessPassesInPlane(ntu, ratio float64, passes int) float64 {
	n := math.Max(1, float64(passes))
	p := EffectivenessCrossFlowUnmixed(ntu/n, ratio*n)
	return -math.Expm1(n * math.Log1p(-p))
}

// EffectivenessRowsOnePass returns the effectiveness of the air of a core with
// tube rows one behind another that all carry the tube stream side by side in one
// pass. The air is unmixed, the tube stream is mixed within a row; ntu = UA/C_air
// and ratio = C_air/C_tube. One row is [EffectivenessCrossFlowOtherMixed], very
// many rows approach [EffectivenessCrossFlowUnmixed].
//
// Source: H. Schedwill, "Thermische Auslegung von Kreuzstromwärmeaustauschern",
// 1968 (from memory, not checked against the source). With K = 1 - e^{-N/n} and
// y = n K R his double sum is the same as
//
//	P = 1/y Σ_{j<n} Prob(B > j) Prob(Q > j),
//
// B binomial with n trials of probability K, Q Poisson with mean y, in which no
// term is negative. Above NTU = 700 the value for 700 is returned. Fewer than one
// row is taken as one.
func EffectivenessRowsOnePass(ntu, ratio float64, rows int) float64 {
	n := math.Max(1, float64(rows))
	units := transferUnits(ntu, mostSeriesUnits)
	odds := math.Expm1(units / n)
	y := transferUnits(-n*math.Expm1(-units/n)*ratio, mostTransferUnits)
	weight, shareWeight := math.Exp(-units)*n*odds, math.Exp(-y)
	crossed, share := -math.Expm1(-units), decay(y)
	sum := crossed * share
	for j := 1.0; j < n; j++ {
		crossed -= weight
		share -= shareWeight
		sum += crossed * share
		weight *= (n - j) / (j + 1) * odds
		shareWeight *= y / (j + 1)
	}
	return math.Max(0, math.Min(sum, 1))
}

// EffectivenessTwoRowsTwoPasses returns the effectiveness of the air of a core
// with two tube rows one behind another, the tube stream flowing through the rear
// row first and then through the front row (counter-cross flow). The air is
// unmixed, the tube stream is mixed; ntu = UA/C_air and ratio = C_air/C_tube. With
// K = 1 - e^{-N/2},
//
//	P = (1 - 1/ξ)/R,  ξ = K/2 + (1 - K/2) e^{2KR}.
//
// Source: F.J.L. Nicole, 1972, as quoted by K. Thulukkanam, Heat Exchanger Design
// Handbook, 2nd ed. 2013.
func EffectivenessTwoRowsTwoPasses(ntu, ratio float64) float64 {
	ratio = math.Max(0, ratio)
	k := -math.Expm1(-transferUnits(ntu, mostTransferUnits) / 2)
	rest := 1 - k/2
	x := transferUnits(2*k*ratio, mostTransferUnits)
	return math.Min(1, rest*2*k*decay(x)/(k/2*math.Exp(-x)+rest))
}

// EffectivenessCounterPasses returns the effectiveness of a stream over several
// equal exchangers that both streams pass one after another in opposite order,
// each mixed in between: p is the effectiveness of that stream in one exchanger
// and ratio its capacity rate over the other's,
//
//	P = (x - 1)/(x - R),  x = [(1 - pR)/(1 - p)]^passes.
//
// Valid for 0 <= p < 1 and p ratio < 1. Beyond those limits the lesser of 1 and
// 1/ratio is returned, the most any arrangement can reach. Fewer than one pass is
// taken as one.
//
// Source: Kays & London 1984, ch. 2; Bergman et al. 2011, Table 11.3, for n shell
// passes (from memory, not checked against the source).
func EffectivenessCounterPasses(p, ratio float64, passes int) float64 {
	n := math.Max(1, float64(passes))
	if p <= 0 {
		return 0
	}
	if p >= 1 || p*ratio >= 1 {
		return math.Min(1, 1/ratio)
	}
	// Exchangers in counter series add up the transfer units a pure counter flow
	// of the same effectiveness would have; its closed form is stable at R = 1.
	return EffectivenessCounterFlow(n*counterFlowUnits(p, ratio), ratio)
}

// counterFlowUnits returns the transfer units of a counter flow of effectiveness p.
func counterFlowUnits(p, ratio float64) float64 {
	// ln[(1-pR)/(1-p)]/(1-R) = ln(1+z)/(1-R) with z = p(1-R)/(1-p).
	reach := p / (1 - p)
	z := reach * (1 - ratio)
	if z == 0 {
		return reach
	}
	return reach * math.Log1p(z) / z
}
