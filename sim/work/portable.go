package work

import "math"

// The functions of this file give the same bits on every platform, which those
// of the standard library do not promise: they use only operations that IEEE
// 754 rounds correctly, with a conversion after each product so that it is not
// fused with a sum. (Halves are exact, fused or not.)

// ln 2, its head with enough zero bits at the end that a product with a small
// integer is exact; head and tail as in FreeBSD's e_log.c (1993).
const (
	ln2Head = 6.93147180369123816490e-01
	ln2Tail = 1.90821492927058770002e-10
)

// horner returns the polynomial with coefficients c, lowest power first, at x.
func horner(x float64, c []float64) float64 {
	sum := 0.0
	for i := len(c) - 1; i >= 0; i-- {
		sum = float64(sum*x) + c[i]
	}
	return sum
}

// atanhSeries holds 1, 1/3, 1/5, ...: artanh s = s (1 + s^2/3 + s^4/5 + ...).
// Twelve terms are enough for |s| <= 0.172.
var atanhSeries = func() (c [12]float64) {
	for i := range c {
		c[i] = 1 / float64(2*i+1)
	}
	return c
}()

// ln returns the natural logarithm of x > 0 to about 2e-16 relative: the
// exponent apart, ln f = 2 artanh((f-1)/(f+1)).
func ln(x float64) float64 {
	f, e := math.Frexp(x)
	if f < math.Sqrt2/2 {
		f, e = 2*f, e-1
	}
	s := (f - 1) / (f + 1)
	small := float64(2 * s * horner(float64(s*s), atanhSeries[:]))
	k := float64(e)
	return float64(k*ln2Head) + (float64(k*ln2Tail) + small)
}

// expSeries holds 1/n!; 15 terms are enough for |x| <= ln 2 / 2.
var expSeries = func() (c [15]float64) {
	factorial := 1.0
	for i := range c {
		if i > 0 {
			factorial *= float64(i)
		}
		c[i] = 1 / factorial
	}
	return c
}()

// exp returns e^x to about 2e-16 relative.
func exp(x float64) float64 {
	switch {
	case x > 709:
		return math.Inf(1)
	case x < -745:
		return 0
	}
	k := math.Floor(float64(x/(ln2Head+ln2Tail)) + 0.5)
	r := (x - float64(k*ln2Head)) - float64(k*ln2Tail)
	return math.Ldexp(horner(r, expSeries[:]), int(k))
}

// normalShare returns the share of a standard normal distribution below z, by
// the series of G. Marsaglia, "Evaluating the normal distribution", Journal of
// Statistical Software 11(4), 2004; to about 1e-15.
func normalShare(z float64) float64 {
	switch {
	case z < -8.2:
		return 0
	case z > 8.2:
		return 1
	}
	sum, term, square := z, z, float64(z*z)
	for n := 3.0; sum+term != sum; n += 2 {
		term = float64(term*square) / n
		sum += term
	}
	const rootTwoPi = 2.506628274631000502415765284811
	return 0.5 + float64(sum*exp(-square/2))/rootTwoPi
}

// Coefficients of normalQuantile: numerator and denominator in the middle, in
// the tails and far out.
var (
	middleTop = []float64{3.3871328727963666080e0, 1.3314166789178437745e2, 1.9715909503065514427e3, 1.3731693765509461125e4,
		4.5921953931549871457e4, 6.7265770927008700853e4, 3.3430575583588128105e4, 2.5090809287301226727e3}
	middleBottom = []float64{1, 4.2313330701600911252e1, 6.8718700749205790830e2, 5.3941960214247511077e3,
		2.1213794301586595867e4, 3.9307895800092710610e4, 2.8729085735721942674e4, 5.2264952788528545610e3}
	tailTop = []float64{1.42343711074968357734e0, 4.63033784615654529590e0, 5.76949722146069140550e0, 3.64784832476320460504e0,
		1.27045825245236838258e0, 2.41780725177450611770e-1, 2.27238449892691845833e-2, 7.74545014278341407640e-4}
	tailBottom = []float64{1, 2.05319162663775882187e0, 1.67638483018380384940e0, 6.89767334985100004550e-1,
		1.48103976427480074590e-1, 1.51986665636164571966e-2, 5.47593808499534494600e-4, 1.05075007164441684324e-9}
	farTop = []float64{6.65790464350110377720e0, 5.46378491116411436990e0, 1.78482653991729133580e0, 2.96560571828504891230e-1,
		2.65321895265761230930e-2, 1.24266094738807843860e-3, 2.71155556874348757815e-5, 2.01033439929228813265e-7}
	farBottom = []float64{1, 5.99832206555887937690e-1, 1.36929880922735805310e-1, 1.48753612908506148525e-2,
		7.86869131145613259100e-4, 1.84631831751005468180e-5, 1.42151175831644588870e-7, 2.04426310338993978564e-15}
)

// normalQuantile returns the z below which the share p of a standard normal
// distribution lies, 0 < p < 1, to about 1e-15 relative: M. J. Wichura,
// "Algorithm AS 241: The percentage points of the normal distribution", Applied
// Statistics 37(3), 1988, routine PPND16.
func normalQuantile(p float64) float64 {
	q := p - 0.5
	if math.Abs(q) <= 0.425 {
		r := 0.180625 - float64(q*q)
		return float64(q*horner(r, middleTop)) / horner(r, middleBottom)
	}
	r := math.Sqrt(-ln(min(p, 1-p)))
	var z float64
	if r <= 5 {
		z = horner(r-1.6, tailTop) / horner(r-1.6, tailBottom)
	} else {
		z = horner(r-5, farTop) / horner(r-5, farBottom)
	}
	return math.Copysign(z, q)
}
