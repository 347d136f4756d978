package network

import "math"

// knotsPerSetting is how many intervals the range of a setting or a drive has.
// Their ends lie at squares, (k/24)², so that they are closest together at low
// values, where what follows from a speed bends most. Our choice, no source; what it
// makes of the errors is tested.
const knotsPerSetting = 24

// atMost is how many knots count at a value.
const atMost = 4

// axis is the range of a setting or a drive with its knots, and where on it the
// present value lies.
//
// Between two knots a cubic with the values there and with slopes by the parabola
// through a knot and its neighbours blends what is known at four knots (three at
// the ends), with weights that sum to 1 and do so, with continuous slopes, for
// whatever is blended; straight lines and parabolas come out without error.
// Weights may be below zero: what jumps between knots may overshoot.
type axis struct {
	knots    []float64
	interval int             // in which the value lies
	first    int             // knot of the first weight
	weight   [atMost]float64 // of the knots from there on
	count    int             // how many of them count; 1 at a knot
	held     bool            // the interval stays while the value moves
}

// newAxis returns the axis from low to high (low < high).
func newAxis(low, high float64) axis {
	a := axis{knots: make([]float64, knotsPerSetting+1), interval: -1}
	for k := range a.knots {
		u := float64(k) / knotsPerSetting
		a.knots[k] = low + (high-low)*u*u
	}
	a.knots[knotsPerSetting] = high
	return a
}

// within returns x, or the nearest end of the range. What is no number counts as
// the low end.
func (a *axis) within(x float64) float64 {
	if !(x > a.knots[0]) {
		return a.knots[0]
	}
	return min(x, a.knots[knotsPerSetting])
}

// width is that of the present interval.
func (a *axis) width() float64 { return a.knots[a.interval+1] - a.knots[a.interval] }

// set moves the value to x: within the range, or, while the axis is held, on the
// cubic of the interval in which it was, wherever that leads. So derivatives by
// small differences are those of one cubic.
func (a *axis) set(x float64) {
	if !a.held {
		x = a.within(x)
		a.interval = a.find(x)
	}
	for k := a.interval; k <= a.interval+1 && !a.held; k++ {
		if x == a.knots[k] {
			a.first, a.count, a.weight[0] = k, 1, 1
			return
		}
	}
	a.blend(a.interval, x)
}

// find returns the interval of x.
func (a *axis) find(x float64) int {
	low, high := a.knots[0], a.knots[knotsPerSetting]
	k := int(knotsPerSetting * math.Sqrt((x-low)/(high-low)))
	k = min(max(k, 0), knotsPerSetting-1)
	for k > 0 && x < a.knots[k] { // rounding of the root
		k--
	}
	for k < knotsPerSetting-1 && x > a.knots[k+1] {
		k++
	}
	return k
}

// blend finds the weights in interval k.
func (a *axis) blend(k int, x float64) {
	a.first = max(k-1, 0)
	last := min(k+2, knotsPerSetting)
	a.count = last - a.first + 1
	a.weight = [atMost]float64{}
	width := a.knots[k+1] - a.knots[k]
	u := (x - a.knots[k]) / width
	rise := u * u * (3 - 2*u)
	a.weight[k-a.first] = 1 - rise
	a.weight[k+1-a.first] = rise
	a.addSlope(k, width*u*(1-u)*(1-u))
	a.addSlope(k+1, -width*u*u*(1-u))
}

// addSlope adds factor times the slope at knot k to the weights: that of the
// parabola through the knot and its neighbours, at an end the next two.
func (a *axis) addSlope(k int, factor float64) {
	mid := min(max(k, 1), knotsPerSetting-1)
	x := a.knots[mid-1 : mid+2]
	before, after := x[1]-x[0], x[2]-x[1]
	at := a.knots[k]
	w := a.weight[mid-1-a.first:]
	w[0] += factor * (2*at - x[1] - x[2]) / (before * (before + after))
	w[1] -= factor * (2*at - x[0] - x[2]) / (before * after)
	w[2] += factor * (2*at - x[0] - x[1]) / (after * (before + after))
}
