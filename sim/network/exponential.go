package network

import "math"

// exponential returns e^x to within 1.5 units in the last place. Leaks ask for
// it in every evaluation of F; it takes a little over half the time of math.Exp.
//
// With x = k ln 2 / 128 + r the result is 2^(k/128) e^r, the first from a
// table and the second from its series, as |r| <= 0.0028 (Tang 1989,
// Table-driven implementation of the exponential function in IEEE
// floating-point arithmetic, ACM Trans. Math. Softw. 15:144).
func exponential(x float64) float64 {
	if !(x > -700 && x < 700) {
		return math.Exp(x) // near overflow and underflow, and NaN
	}
	// Adding and taking away 1.5 x 2^52 rounds to an integer.
	const magic = 0x1.8p52
	k := float64(x*(128/math.Ln2)) + magic - magic
	r := x - float64(k*ln2High) - float64(k*ln2Low)
	series := r * (1 + r*(1.0/2+r*(1.0/6+r*(1.0/24+r*(1.0/120)))))
	i := int64(k)
	power := powers[i&127]
	return math.Float64frombits(math.Float64bits(power+power*series) + uint64(i>>7)<<52)
}

// ln 2 / 128 in two parts, the first with so few digits that a product with k,
// which is below 2^18, is exact.
const (
	ln2High = 0x1.62e42feep-8
	ln2Low  = math.Ln2/128 - ln2High
)

// powers holds 2^(i/128).
var powers = func() (p [128]float64) {
	for i := range p {
		p[i] = math.Exp2(float64(i) / 128)
	}
	return p
}()
