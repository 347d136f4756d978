package correlation

import "math"

// Both Bessel integrals below have integrands for which the trapezoidal rule converges
// exponentially (a full period of an entire function; a doubly exponential fall), so a
// fixed step gives full double precision. Beyond largeBessel the integrands grow narrow,
// while the asymptotic series reach double precision.
const largeBessel = 50

// besselI returns e^{-x} I_order(x) for order 0 or 1 and x >= 0 from
//
//	I_0(x) = 1/π ∫_0^π e^{x cos θ} dθ,  I_1(x) = x/π ∫_0^π e^{x cos θ} sin² θ dθ
//
// (Abramowitz & Stegun 1964, eq. 9.6.18), in which nothing cancels.
func besselI(order int, x float64) float64 {
	if x > largeBessel {
		return besselSeries(order, -x) / math.Sqrt(2*math.Pi*x)
	}
	const intervals = 96
	const step = math.Pi / intervals
	sum := 0.0
	if order == 0 {
		sum = (1 + math.Exp(-2*x)) / 2
	}
	for i := 1; i < intervals; i++ {
		theta := float64(i) * step
		half := math.Sin(theta / 2)
		term := math.Exp(-2 * x * half * half)
		if order == 1 {
			term *= x * math.Sin(theta) * math.Sin(theta)
		}
		sum += term
	}
	return sum * step / math.Pi
}

// besselK returns e^{x} K_order(x) for x > 0 from
//
//	K_ν(x) = ∫_0^∞ e^{-x cosh t} cosh νt dt
//
// (Abramowitz & Stegun 1964, eq. 9.6.24).
func besselK(order int, x float64) float64 {
	if x > largeBessel {
		return besselSeries(order, x) * math.Sqrt(math.Pi/(2*x))
	}
	step := 0.1 / math.Max(1, math.Sqrt(x))
	nu := float64(order)
	sum := 0.5
	for i := 1; ; i++ {
		t := float64(i) * step
		half := math.Sinh(t / 2)
		fall := 2 * x * half * half
		sum += math.Exp(-fall) * math.Cosh(nu*t)
		if fall > 40+nu*t {
			break
		}
	}
	return sum * step
}

// besselSeries returns the asymptotic series
//
//	1 + (μ-1)/(8x) + (μ-1)(μ-9)/(2!(8x)²) + ...,  μ = 4 order²
//
// of K at x and of I at -x (Abramowitz & Stegun 1964, eqs. 9.7.1 and 9.7.2).
func besselSeries(order int, x float64) float64 {
	mu := 4 * float64(order*order)
	sum, term := 0.0, 1.0
	for k := 1.0; math.Abs(term) > 1e-17; k++ {
		sum += term
		odd := 2*k - 1
		term *= (mu - odd*odd) / (8 * x * k)
	}
	return sum
}
