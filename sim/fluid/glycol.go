package fluid

import (
	"fmt"
	"math"
	"strconv"
)

// maxGlycol is the largest mass share of Melinder's fits.
const maxGlycol = 0.6

// EthyleneGlycol is ethylene glycol in water by mass share, 0 to 0.6, after
// Melinder 2010. Share 0 is [Water] exactly; the fit itself, taken to share 0,
// is up to 0.1 % off in density, 0.65 % in conductivity and 1.65 % in viscosity,
// so the properties step by that much between share 0 and the smallest share.
// Any other share is a [*ShareError].
func EthyleneGlycol(massShare float64) (*Coolant, error) {
	return newGlycol(KindEthyleneGlycol, massShare)
}

// PropyleneGlycol is propylene glycol in water by mass share, 0 to 0.6; the
// rest as for [EthyleneGlycol].
func PropyleneGlycol(massShare float64) (*Coolant, error) {
	return newGlycol(KindPropyleneGlycol, massShare)
}

func newGlycol(kind Kind, share float64) (*Coolant, error) {
	if !(share >= 0 && share <= maxGlycol) {
		return nil, &ShareError{Kind: kind, Quantity: "mass share", Given: share, High: maxGlycol}
	}
	if share == 0 {
		return Water(), nil
	}
	fit := &ethyleneFit
	if kind == KindPropyleneGlycol {
		fit = &propyleneFit
	}
	freezing := polynomial(fit.freezing[:], share-fit.share)
	return newCoolant(Coolant{
		liquid: fit.at(share),
		kind:   kind, share: share, name: glycolName(kind, share),
		freezing: freezing, low: freezing, high: hottest,
	}), nil
}

func glycolName(kind Kind, share float64) string {
	percent := strconv.FormatFloat(math.Round(share*1e4)/100, 'f', -1, 64)
	return fmt.Sprintf("%s %s %% by mass", kind, percent)
}

// glycolRows holds coefficients c[i][j] of (T - Tb)^i (x - xb)^j.
type glycolRows [4][6]float64

// glycolFit is one fluid's set of fits: temperature T in K, mass share x.
// Viscosity is the exponential of its polynomial.
type glycolFit struct {
	temperature, share                                float64 // Tb, xb
	density, specificHeat, conductivity, logViscosity glycolRows
	freezing                                          [6]float64 // of (x - xb)^j, K
}

// at fixes the share: what remains is a cubic in temperature.
func (f *glycolFit) at(share float64) glycol {
	x := share - f.share
	return glycol{
		base: f.temperature,
		rho:  f.density.at(x), cp: f.specificHeat.at(x),
		k: f.conductivity.at(x), logMu: f.logViscosity.at(x),
	}
}

func (r *glycolRows) at(x float64) (c [4]float64) {
	for i := range r {
		c[i] = polynomial(r[i][:], x)
	}
	return c
}

// polynomial is Σ c[j] x^j.
func polynomial(c []float64, x float64) float64 {
	sum := 0.0
	for j := len(c) - 1; j >= 0; j-- {
		sum = sum*x + c[j]
	}
	return sum
}

// glycol is the formulas of one mixture: cubics in T - base.
type glycol struct {
	base              float64 // K
	rho, cp, k, logMu [4]float64
}

func (g glycol) density(t float64) float64      { return polynomial(g.rho[:], t-g.base) }
func (g glycol) specificHeat(t float64) float64 { return polynomial(g.cp[:], t-g.base) }
func (g glycol) conductivity(t float64) float64 { return polynomial(g.k[:], t-g.base) }

func (g glycol) viscosity(t float64) float64 { return math.Exp(polynomial(g.logMu[:], t-g.base)) }

func (g glycol) expansion(t float64) float64 {
	slope := [3]float64{g.rho[1], 2 * g.rho[2], 3 * g.rho[3]}
	return -polynomial(slope[:], t-g.base) / g.density(t)
}

// Melinder 2010, ethylene glycol in water.
var ethyleneFit = glycolFit{
	temperature: 304.878, share: 0.308462,
	density: glycolRows{
		{1034, 131.1, 0.749, -106.2, -96.23, 489.1},
		{-0.4781, -0.6876, 0.7855, 1.229, -7.211},
		{-0.002692, 0.004805, -0.003995, -0.01153},
		{4.725e-6, 1.69e-6, 4.982e-5},
	},
	specificHeat: glycolRows{
		{3737, -1799, -993.3, 2610, 1537, -16180},
		{2.93, 10.46, 3.516, -1.189, -42.72},
		{-0.004675, -0.04147, 0.05109, -0.1643},
		{-1.389e-5, 1.847e-5, -7.138e-4},
	},
	conductivity: glycolRows{
		{0.472, -0.4286, 0.1747, 0.03017, -0.1322, 0.2678},
		{8.903e-4, -1.473e-3, 6.814e-4, -2.412e-3, 2.555e-3},
		{-1.058e-6, 1.059e-5, -3.612e-5, 4.004e-5},
		{-2.789e-9, -1.142e-8, 2.365e-8},
	},
	logViscosity: glycolRows{
		{-6.437255, 2.471, 0.03328, 1.659, 3.089, -18.65},
		{-0.0255, -0.01171, 0.01086, 0.003157, 0.01831},
		{1.782e-4, 1.052e-4, 1.051e-4, 4.063e-4},
		{-7.669e-7, -1.634e-6, -6.475e-6},
	},
	freezing: [6]float64{257.9, -80.8, -133.4, -72.93, 100.6, 11.4},
}

// Melinder 2010, propylene glycol in water.
var propyleneFit = glycolFit{
	temperature: 305.8583, share: 0.307031,
	density: glycolRows{
		{1018, 76.04, -24.98, -155, -113.1, 234.2},
		{-0.5406, -0.945, 0.27, 2.829, -2.221},
		{-0.002666, 0.005541, -0.004018, -0.007175},
		{1.347e-5, -1.343e-5, 3.376e-5},
	},
	specificHeat: glycolRows{
		{3882, -1304, -1598, 353.9, 5000, -4959},
		{2.699, 5.07, 0.9534, 31.02, -71.35},
		{-0.001659, -0.004752, 0.1167, -0.295},
		{-1.032e-5, 1.522e-4, -4.87e-4},
	},
	conductivity: glycolRows{
		{0.4513, -0.4795, 0.2076, -0.09083, -0.05952, 0.2104},
		{7.955e-4, -1.678e-3, 1.563e-3, -2.518e-3, -3.605e-3},
		{3.482e-8, 8.941e-6, -4.615e-5, 6.543e-5},
		{-5.966e-9, 1.493e-8, 9.897e-8},
	},
	logViscosity: glycolRows{
		{-6.224055, 3.328, 0.5453, -3.9, -1.587, 35.64},
		{-0.03045, -0.03984, -0.00086, 0.1054, 0.04475},
		{2.525e-4, 4.332e-4, -1.593e-4, -1.589e-3},
		{-1.399e-6, -1.86e-6, -4.465e-7},
	},
	freezing: [6]float64{259.9, -66.31, -109.4, -228.3, -340.9, 146.5},
}
