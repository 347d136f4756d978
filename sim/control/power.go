package control

import (
	"fmt"
	"math"
)

// PowerLimit caps the power of a chip by its exponential moving average a, with
// a' = (power - a) / Tau, which is a state of the machine: Short while the
// average is below Long, else Long. Power means the total, leakage included.
type PowerLimit struct {
	Long  float64 // W, what may be drawn for ever, > 0
	Short float64 // W, what may be drawn until the average meets Long, >= Long; +Inf for no limit
	Tau   float64 // s, time constant of the average, > 0
}

// Regime is the state of a power limit. The zero value is Free.
type Regime uint8

const (
	Free     Regime = iota // the request is within Long; the average cannot pass it
	Boosting               // the request is above Long, the average still below; Short caps it
	Limited                // the request is above Long and the average has met it; Long caps it
)

// String returns the word for the regime.
func (r Regime) String() string {
	switch r {
	case Free:
		return "free"
	case Boosting:
		return "boosting"
	case Limited:
		return "limited"
	}
	return fmt.Sprintf("Regime(%d)", uint8(r))
}

// requestBand is the relative width on either side of Long within which a
// request changes no regime. It keeps a request of exactly Long from switching
// to and fro, and is far below what any figure resolves.
const requestBand = 1e-9

// Check reports a figure out of its range.
func (l PowerLimit) Check() error {
	if err := outside(
		bound{name: "long", value: l.Long, high: math.MaxFloat64, open: true},
		bound{name: "short", value: l.Short, low: l.Long, high: math.Inf(1)},
		bound{name: "time constant", value: l.Tau, high: math.MaxFloat64, open: true},
	); err != nil {
		return fmt.Errorf("control: power limit: %w", err)
	}
	return nil
}

// Next returns the regime that follows, from the power requested (W: what would
// be drawn without this limit, all others applied) and the average (W):
//
//	from      to        when
//	any       Free      the request falls to Long (1 - 1e-9)
//	Free      Boosting  the request rises to Long (1 + 1e-9), average below Long
//	Free      Limited   the request rises to Long (1 + 1e-9), average not below
//	Boosting  Limited   the average rises to Long
//
// A limited chip draws Long, so that its average stays; it does not boost again
// until its request has been at Long or below. The rules hold at a jump of the
// request as at a located crossing, and repeating Next changes nothing.
func (l PowerLimit) Next(now Regime, request, average float64) Regime {
	switch {
	case l.fall().Met(request):
		return Free
	case now == Free && !l.rise().Met(request):
		return Free
	case now == Limited || average >= l.Long:
		return Limited
	}
	return Boosting
}

func (l PowerLimit) rise() Crossing { return Crossing{l.Long * (1 + requestBand), true} }
func (l PowerLimit) fall() Crossing { return Crossing{l.Long * (1 - requestBand), false} }

// RequestCrossing returns the level of the request (W) that ends the regime.
func (l PowerLimit) RequestCrossing(now Regime) Crossing {
	if now == Free {
		return l.rise()
	}
	return l.fall()
}

// AverageCrossing returns the level of the average (W) that ends the regime, and
// false if none does.
func (l PowerLimit) AverageCrossing(now Regime) (Crossing, bool) {
	return Crossing{l.Long, true}, now == Boosting
}

// Allowed returns the most power that may be drawn, W.
func (l PowerLimit) Allowed(now Regime) float64 {
	if now == Limited {
		return l.Long
	}
	return l.Short
}

// Average returns the moving average after a time (s) at a constant power, from
// its value before, W.
func (l PowerLimit) Average(before, power, after float64) float64 {
	return power + (before-power)*math.Exp(-after/l.Tau)
}

// gauss are the abscissas and weights of the Gauss-Legendre rule of four points on 0 to 1
// (Abramowitz & Stegun 1972, table 25.4, moved there).
var gauss = [4][2]float64{
	{0.06943184420297371, 0.17392742256872693}, {0.33000947820757187, 0.32607257743127307},
	{0.6699905217924281, 0.32607257743127307}, {0.9305681557970263, 0.17392742256872693},
}

// Spans of a moving average, in time constants: what is older than memory counts for
// nothing beside rounding; over stretch the rule of four points is exact to that.
const (
	memory  = 40.0
	stretch = 0.25
)

// AverageOf returns the moving average after a time (s) at a power (W) that changes
// with the time since then, from its value before, W.
func (l PowerLimit) AverageOf(before float64, power func(since float64) float64, after float64) float64 {
	if after <= 0 {
		return before
	}
	from := math.Max(0, after-memory*l.Tau)
	n := math.Ceil((after - from) / (stretch * l.Tau))
	sum := 0.0
	for k := range int(n) {
		for _, g := range gauss {
			d := from + (after-from)*(float64(k)+g[0])/n
			sum += g[1] * power(d) * math.Exp(-(after-d)/l.Tau)
		}
	}
	return before*math.Exp(-after/l.Tau) + sum*(after-from)/(n*l.Tau)
}

// Meets returns when the average of AverageOf meets Long, s, and false if that is not
// within a time. The power must not fall below Long before.
func (l PowerLimit) Meets(before float64, power func(since float64) float64, within float64) (float64, bool) {
	if before >= l.Long {
		return 0, true
	}
	if within <= 0 || l.AverageOf(before, power, within) < l.Long {
		return 0, false
	}
	low, high := 0.0, within
	for range 200 {
		middle := low + (high-low)/2
		if middle == low || middle == high {
			break
		}
		if l.AverageOf(before, power, middle) < l.Long {
			low = middle
		} else {
			high = middle
		}
	}
	return high, true
}

// BoostLeft returns how long a constant power (W) may be drawn until the average
// meets Long, from its value now, s:
//
//	t = Tau ln((power - average) / (power - Long))
//
// It is 0 if the average has met it, and +Inf if that power never brings it
// there. From Average, by solving for the time.
func (l PowerLimit) BoostLeft(average, power float64) float64 {
	switch {
	case average >= l.Long:
		return 0
	case power <= l.Long:
		return math.Inf(1)
	}
	return l.Tau * math.Log((power-average)/(power-l.Long))
}

// PowerLimits are the limits of one chip together, in file order. The least
// wins. None at all allow any power.
type PowerLimits []PowerLimit

// Allowed returns the most power that all allow together, W; +Inf if none
// limits it. There is one regime a limit.
func (ls PowerLimits) Allowed(regimes []Regime) float64 {
	return ls.allowedBut(-1, regimes)
}

// allowedBut returns the most power that all limits but one allow.
func (ls PowerLimits) allowedBut(skip int, regimes []Regime) float64 {
	least := math.Inf(1)
	for i, l := range ls {
		if i != skip {
			least = min(least, l.Allowed(regimes[i]))
		}
	}
	return least
}

// Request returns what a chip that requests a power (W) would draw if limit i
// were not there: the request that limit's Next and RequestCrossing refer to.
func (ls PowerLimits) Request(i int, regimes []Regime, request float64) float64 {
	return min(request, ls.allowedBut(i, regimes))
}

// Edges calls yield with every request (W, throttle applied) at which the rule of some
// limit changes, as it rises or falls, just past the band within which it does not.
func (ls PowerLimits) Edges(rising bool, yield func(request float64)) {
	band := 1 - 2*requestBand
	if rising {
		band = 1 + 2*requestBand
	}
	for _, l := range ls {
		yield(l.Long * band)
		if !math.IsInf(l.Short, 1) {
			yield(l.Short * band)
		}
	}
}

// Next brings all regimes up to date, in place, from the power requested (W,
// throttle applied, limits not) and the averages (W), and reports whether any
// changed. Since each limit sees what the others leave, it goes round in file
// order until nothing changes: the limits with the least Long settle first, so
// that takes no more rounds than there are limits, and one to see it.
func (ls PowerLimits) Next(regimes []Regime, request float64, averages []float64) (changed bool) {
	for range len(ls) + 1 {
		settled := true
		for i, l := range ls {
			next := l.Next(regimes[i], ls.Request(i, regimes, request), averages[i])
			if next != regimes[i] {
				regimes[i], settled, changed = next, false, true
			}
		}
		if settled {
			break
		}
	}
	return changed
}
