package correlation

import "math"

// The effectiveness of an exchanger is the temperature change of one stream over
// the difference of the two inlet temperatures. All functions here take the
// number of transfer units of that stream, ntu = UA/C1, and its share of the
// other stream's capacity rate, ratio = C1/C2. With ratio <= 1 the stream is the
// weaker one and the value is the ordinary effectiveness with Cr = ratio; with
// ratio > 1 it is the temperature effectiveness P1 of Shah & Sekulic, and
// P2 = ratio P1 for the other side.
//
// Range: ntu >= 0, ratio >= 0 (0: the other stream does not change temperature).
// Negative arguments are taken as 0. Results lie in 0..1.
//
// Sources: T.L. Bergman et al., Fundamentals of Heat and Mass Transfer, 7th ed.
// 2011, Table 11.3; W.M. Kays & A.L. London, Compact Heat Exchangers, 3rd ed.
// 1984, ch. 2; R.K. Shah & D.P. Sekulic, Fundamentals of Heat Exchanger Design,
// 2003. The forms below are theirs, rearranged so that nothing cancels.

// A transfer number beyond this changes no result by more than 1e-12; holding
// it there keeps products finite.
const mostTransferUnits = 1e12

// Poisson weights start from exp(-ntu), which must stay a normal number.
const mostSeriesUnits = 700

// transferUnits holds a transfer number or a product of it to 0..limit.
func transferUnits(ntu, limit float64) float64 {
	return math.Max(0, math.Min(ntu, limit))
}

// decay returns (1 - e^-x)/x, which is 1 at x = 0.
func decay(x float64) float64 {
	if x == 0 {
		return 1
	}
	return -math.Expm1(-x) / x
}

// EffectivenessCounterFlow returns the effectiveness of counter flow,
//
//	ε = (1 - e^{-N(1-R)}) / (1 - R e^{-N(1-R)}),  N/(1+N) at R = 1.
func EffectivenessCounterFlow(ntu, ratio float64) float64 {
	ratio = math.Max(0, ratio)
	if ratio > 1 {
		return EffectivenessCounterFlow(ntu*ratio, 1/ratio) / ratio
	}
	n := transferUnits(ntu, mostTransferUnits)
	grown := n * decay(n*(1-ratio))
	return math.Min(1, grown/(1+ratio*grown))
}

// EffectivenessParallelFlow returns the effectiveness of parallel flow,
//
//	ε = (1 - e^{-N(1+R)}) / (1+R).
func EffectivenessParallelFlow(ntu, ratio float64) float64 {
	ratio = math.Max(0, ratio)
	n := transferUnits(ntu, mostTransferUnits)
	return -math.Expm1(-n*(1+ratio)) / (1 + ratio)
}

// EffectivenessCrossFlowOtherMixed returns the effectiveness of cross flow whose
// other stream is mixed across its flow and whose own stream is not ("Cmax mixed"
// of the books for ratio <= 1),
//
//	ε = (1 - e^{-R(1 - e^{-N})}) / R.
func EffectivenessCrossFlowOtherMixed(ntu, ratio float64) float64 {
	ratio = math.Max(0, ratio)
	own := -math.Expm1(-transferUnits(ntu, mostTransferUnits))
	return own * decay(ratio*own)
}

// EffectivenessCrossFlowOwnMixed returns the effectiveness of cross flow whose own
// stream is mixed across its flow and whose other stream is not ("Cmin mixed" of
// the books for ratio <= 1),
//
//	ε = 1 - e^{-(1 - e^{-R N})/R}.
//
// It is also the limit of [EffectivenessPassesInPlane] for very many passes.
func EffectivenessCrossFlowOwnMixed(ntu, ratio float64) float64 {
	ratio = math.Max(0, ratio)
	n := transferUnits(ntu, mostTransferUnits)
	return -math.Expm1(-n * decay(ratio*n))
}

// EffectivenessCrossFlowBothMixed returns the effectiveness of cross flow with
// both streams mixed across their flow,
//
//	ε = 1 / [1/(1-e^{-N}) + R/(1-e^{-RN}) - 1/N].
//
// It is not monotone: with R near 1 it passes a maximum (0.5645 at N = 2.98 for
// R = 1) and then falls slowly.
func EffectivenessCrossFlowBothMixed(ntu, ratio float64) float64 {
	ratio = math.Max(0, ratio)
	n := transferUnits(ntu, mostTransferUnits)
	m := transferUnits(ratio*n, mostTransferUnits)
	return math.Min(1, n/(1/decay(n)+1/decay(m)-1))
}

// EffectivenessCrossFlowUnmixed returns the effectiveness of cross flow with
// neither stream mixed, exactly, by the series of J.L. Mason, "Heat transfer in
// crossflow", Proc. 2nd US National Congress of Applied Mechanics, 1955 (from
// memory, not checked against the source; it agrees with an independent march
// through small cells):
//
//	ε = 1/(R N) Σ_{n>=0} T_n(N) T_n(R N),  T_n(x) = 1 - e^{-x} Σ_{m<=n} x^m/m!
//
// The sum ends when its remainder is below 1e-16, after fewer than
// RN + 9 √(RN) + 15 terms. Above NTU = 700 of the weaker stream the value for 700 is
// returned; only for R between 0.8 and 1 does that differ from the true one, by less
// than 0.022.
func EffectivenessCrossFlowUnmixed(ntu, ratio float64) float64 {
	ratio = math.Max(0, ratio)
	if ratio > 1 {
		return EffectivenessCrossFlowUnmixed(ntu*ratio, 1/ratio) / ratio
	}
	n := transferUnits(ntu, mostSeriesUnits)
	other := ratio * n
	// own is T_k(N), share is T_k(R N)/(R N): scaled so that R N = 0 is no
	// special case and the first, largest terms carry full relative accuracy.
	weight, shareWeight := math.Exp(-n), math.Exp(-other)
	own, share := -math.Expm1(-n), decay(other)
	weight *= n
	sum := own * share
	for k := 1.0; ; k++ {
		own -= weight
		share -= shareWeight
		sum += own * share
		if k > other && shareWeight < 1e-17 {
			break
		}
		weight *= n / (k + 1)
		shareWeight *= other / (k + 1)
	}
	return math.Max(0, math.Min(sum, 1))
}

// EffectivenessCrossFlowApproximate returns the closed form that handbooks print
// for cross flow with neither stream mixed (Bergman et al. 2011, Table 11.3),
//
//	ε ≈ 1 - exp{[e^{-R N^0.78} - 1] N^0.22/R}.
//
// Compared with [EffectivenessCrossFlowUnmixed] it is up to 3.8 % low for N < 1
// with R near 1 (at N = 0.25, R = 1 even below parallel flow) and up to 1.1 % high
// for N of 2 to 4. It is kept for comparison with published examples.
func EffectivenessCrossFlowApproximate(ntu, ratio float64) float64 {
	ratio = math.Max(0, ratio)
	if ratio > 1 {
		return EffectivenessCrossFlowApproximate(ntu*ratio, 1/ratio) / ratio
	}
	n := transferUnits(ntu, mostTransferUnits)
	x := math.Pow(n, 0.78)
	return -math.Expm1(-math.Pow(n, 0.22) * x * decay(ratio*x))
}
