package part

import (
	"fmt"
	"math"
)

// joinedFins are louvred or strip fins over all speeds. Within its range the
// published law holds. Quiet fans run below that range, where the continued law
// would overstate the loss and, as air no longer follows the cuts, tell nothing of
// the heat; there the fins pass to the law of plain fins, which they reach at a
// tenth of the range's lower end, near which louvres turn the air no more
// (Re of about 10 by the flow angle of A. Achaichia & T.A. Cowell, Exp. Thermal
// Fluid Sci. 1:147, 1988; from memory, not checked against the source). Over that
// span Nu and f Re are cubics in logarithms with the values and slopes of both laws
// at the ends: continuous in slope, and heat and loss rise. The passage is this
// model's and not published.
//
// Where the slope of published friction jumps, a like cubic rounds the corner
// within 5 % of Re to both sides.
type joinedFins struct {
	plain *plainFins
	cut   cutFins
	cutMeasures
	heatJoint             joint   // ln Nu on the law's length, at the Prandtl number of air
	lossJoints            []joint // ln f Re on the law's length and diameter; first the passage, then the corners
	heatShare             float64 // of plain fins' figures that is taken below the range: 1, or less where
	lossShare             float64 // cuts that hinder would make them fall with the speed
	below, passage, above string
}

// joinPrandtl is the Prandtl number at which plain fins are joined to a published
// law; that law's Pr^(1/3) carries both to the air's own, 0.5 % off at most for
// plain fins.
const joinPrandtl = 0.71

// passageWidth is the ratio of the Reynolds numbers over which fins pass from the
// law of plain fins to a published one.
const passageWidth = 10

// cornerWidth is the share of Re to both sides within which a corner is rounded.
const cornerWidth = 0.05

func joinFins(plain *plainFins, cut cutFins) *joinedFins {
	m := cut.measures()
	j := &joinedFins{plain: plain, cut: cut, cutMeasures: m}
	j.heatJoint, j.heatShare = riseBetween(m.published.Low, j.plainHeat, j.cutHeat)
	passage, share := riseBetween(m.published.Low, j.plainLoss, j.cutLoss)
	j.lossJoints, j.lossShare = append(j.lossJoints, passage), share
	for _, re := range m.corners {
		j.lossJoints = append(j.lossJoints, newJoint(re*(1-cornerWidth), re*(1+cornerWidth), j.cutLoss, j.cutLoss))
	}
	j.describe()
	return j
}

// describe prepares what is said outside the published range.
func (j *joinedFins) describe() {
	also := ""
	if j.heatShare < 1 {
		also = fmt.Sprintf(", of whose heat %.0f %% are taken since the published law gives less than they do", 100*j.heatShare)
	}
	if j.samples != "" {
		also += "; " + j.samples
		if j.lowered != "" {
			j.lowered += "; " + j.samples
		}
	}
	at := fmt.Sprintf("%s fins: the Reynolds number on the %s is ", j.fins, j.length.name)
	low := fmt.Sprintf("%sbelow %.0f, where the published laws end and would overstate the loss; ", at, j.published.Low)
	j.below = low + "those of plain fins are taken" + also
	j.passage = fmt.Sprintf("%sheat and loss pass from there to those of plain fins, reached at %.0f", low, j.published.Low/passageWidth) + also
	j.above = fmt.Sprintf("%sabove %.0f, where the published laws end; they are continued", at, j.published.High) + also
}

// plainHeat and the three after it return the logarithm of Nu or f Re, on the
// length of the published law, with its slope against ln Re.
func (j *joinedFins) plainHeat(re float64) (y, slope float64) {
	const step = 1e-5
	scale := j.plain.root / j.length.value
	at := func(x float64) float64 { return math.Log(j.plain.nusselt(x*scale, joinPrandtl) / scale) }
	return at(re), (at(re*math.Exp(step)) - at(re*math.Exp(-step))) / (2 * step)
}

func (j *joinedFins) cutHeat(re float64) (y, slope float64) {
	const step = 1e-5
	at := func(x float64) float64 { return math.Log(j.cut.colburn(x) * x * math.Cbrt(joinPrandtl)) }
	return at(re), (at(re*math.Exp(step)) - at(re*math.Exp(-step))) / (2 * step)
}

func (j *joinedFins) plainLoss(re float64) (y, slope float64) {
	scale := j.plain.root / j.length.value
	fRe, slope := j.plain.apparent(re * scale)
	return math.Log(fRe * j.diameter / (scale * j.plain.diameter)), slope
}

func (j *joinedFins) cutLoss(re float64) (y, slope float64) {
	f, slope := j.cut.fanning(re)
	return math.Log(f * re), 1 + slope
}

func (j *joinedFins) film(v float64, a Air) float64 {
	re := reynolds(v, j.length.value, a)
	nu := 0.0
	switch x := math.Log(re); {
	case x < j.heatJoint.x0:
		scale := j.plain.root / j.length.value
		nu = j.heatShare * j.plain.nusselt(re*scale, joinPrandtl) / scale
	case x < j.heatJoint.x1:
		y, _ := j.heatJoint.at(x)
		nu = math.Exp(y)
	default:
		nu = j.cut.colburn(re) * re * math.Cbrt(joinPrandtl)
	}
	return nu * math.Cbrt(a.Prandtl()/joinPrandtl) * a.Conductivity / j.length.value
}

func (j *joinedFins) friction(v float64, a Air) airLoss {
	re := reynolds(v, j.length.value, a)
	fRe, growth := j.fRe(re)
	rate := 2 * a.Viscosity * j.plain.depth / (j.length.value * j.diameter) * fRe
	return airLoss{rate * v, rate * (1 + growth)}
}

// fRe returns f Re with the slope of its logarithm against ln Re.
func (j *joinedFins) fRe(re float64) (fRe, growth float64) {
	x := math.Log(re)
	if x < j.lossJoints[0].x0 {
		scale := j.plain.root / j.length.value
		fRe, growth = j.plain.apparent(re * scale)
		return j.lossShare * fRe * j.diameter / (scale * j.plain.diameter), growth
	}
	for i := range j.lossJoints {
		if l := &j.lossJoints[i]; l.x0 <= x && x < l.x1 {
			y, slope := l.at(x)
			return math.Exp(y), slope
		}
	}
	f, slope := j.cut.fanning(re)
	return f * re, 1 + slope
}

func (j *joinedFins) ends(v float64, a Air) airLoss {
	head := j.closed * a.Density * v / 2
	return airLoss{head * v, 2 * head}
}

func (j *joinedFins) beyond(v float64, a Air) (float64, string) {
	re := reynolds(v, j.length.value, a)
	switch {
	case re < j.published.Low/passageWidth:
		return re, j.below
	case re < j.published.Low:
		return re, j.passage
	case re < j.loweredBelow:
		return re, j.lowered
	case re > j.published.High:
		return re, j.above
	}
	return re, j.samples
}

// joint is a cubic between two values with given slopes.
type joint struct{ x0, x1, y0, y1, s0, s1 float64 }

// newJoint joins two laws of ln Re at two Reynolds numbers.
func newJoint(low, high float64, from, to func(re float64) (y, slope float64)) joint {
	l := joint{x0: math.Log(low), x1: math.Log(high)}
	l.y0, l.s0 = from(low)
	l.y1, l.s1 = to(high)
	return l
}

// riseBetween joins two laws below a Reynolds number so that the joint does not
// fall: over a narrower span if need be, and with a share of the first law's value
// if that does not help. Slopes between zero and three times the secant keep a
// cubic monotone (F.N. Fritsch & R.E. Carlson, SIAM J. Numer. Anal. 17:238, 1980).
func riseBetween(high float64, from, to func(re float64) (y, slope float64)) (l joint, share float64) {
	var excess float64
	for _, width := range [...]float64{passageWidth, passageWidth / 2, passageWidth / 5} {
		l = newJoint(high/width, high, from, to)
		steepest := math.Max(0, math.Max(l.s0, l.s1))
		excess = l.y0 - (l.y1 - (l.x1-l.x0)*steepest/3)
		if excess <= 0 {
			return l, 1
		}
	}
	l.y0 -= excess
	return l, math.Exp(-excess)
}

// at returns value and slope at x between the ends.
func (l *joint) at(x float64) (y, slope float64) {
	h := l.x1 - l.x0
	t := (x - l.x0) / h
	secant := (l.y1 - l.y0) / h
	c2, c3 := 3*secant-2*l.s0-l.s1, l.s0+l.s1-2*secant
	return l.y0 + h*t*(l.s0+t*(c2+t*c3)), l.s0 + t*(2*c2+t*3*c3)
}
