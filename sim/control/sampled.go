package control

import (
	"errors"
	"fmt"
	"math"
)

// MaxWindow is the most samples that a controller averages over.
const MaxWindow = 64

// DefaultResolution is the step in which common controllers set their output, as
// a share of full speed (common practice, no source).
const DefaultResolution = 0.01

// UpDown is a figure for either direction.
type UpDown struct{ Up, Down float64 }

// Zero lets the output stand at 0 while the input is low.
type Zero struct {
	On    bool
	Below float64 // the output goes to 0 when the mean input is at or below this
	Band  float64 // and comes back when it is this much above, in the same unit; >= 0
}

// SampledSpec describes a sampled controller. The unit of inputs is the curve's
// or the setpoint's, the unit of outputs the curve's or that of gain times input.
type SampledSpec struct {
	Period     float64 // s between samples, > 0
	Offset     float64 // s, time of the first sample, >= 0
	Window     float64 // s: samples less than this old are averaged; 0 takes the newest alone
	Hysteresis UpDown  // difference from the held input that is followed, >= 0
	Hold       UpDown  // s for which it must last, >= 0
	Slew       UpDown  // greatest rate of the output, 1/s of its unit; 0 does not limit it
	Start      float64 // output that gets a standing fan turning, >= Stop
	Stop       float64 // output below which a turning fan stands, >= 0
	Zero       Zero
	Resolution float64 // step of the output; 0 does not round it
	Min, Max   float64 // limits of the output while it does not stand, 0 <= Min <= Max, Max > 0
	Curve      *Curve  // the output asked for, by the held input: this ...
	PI         *PI     // ... or this
}

// Sampled is a controller that acts at its samples only, in the order of steps
// that the package comment draws. It does not change and may be shared; what
// changes is a SampledState.
type Sampled struct {
	spec    SampledSpec
	samples int     // in the averaging window
	rise    float64 // greatest change of the output in a period
	fall    float64
	least   float64 // output below which nothing turns: the greater of Min and Stop
}

// NewSampled returns the controller, or an error that names the figure which
// cannot be.
func NewSampled(spec SampledSpec) (*Sampled, error) {
	if err := spec.check(); err != nil {
		return nil, fmt.Errorf("control: sampled controller: %w", err)
	}
	c := &Sampled{spec: spec, samples: spec.window(), least: max(spec.Min, spec.Stop)}
	c.rise, c.fall = perPeriod(spec.Slew.Up, spec.Period), perPeriod(spec.Slew.Down, spec.Period)
	return c, nil
}

// perPeriod returns the greatest change in a period at a rate, of which 0 is no limit.
func perPeriod(rate, period float64) float64 {
	if rate == 0 {
		return math.Inf(1)
	}
	return rate * period
}

// window returns how many samples are averaged: those less than Window old, to
// a billionth of a period, and the newest in any case.
func (s SampledSpec) window() int {
	return max(1, int(math.Ceil(s.Window/s.Period-1e-9)))
}

// check reports the first figure that cannot be.
func (s SampledSpec) check() error {
	const most = math.MaxFloat64
	if err := outside(
		bound{name: "period", value: s.Period, high: most, open: true},
		bound{name: "offset", value: s.Offset, high: most},
		bound{name: "window", value: s.Window, high: MaxWindow * s.Period},
		bound{name: "hysteresis up", value: s.Hysteresis.Up, high: most},
		bound{name: "hysteresis down", value: s.Hysteresis.Down, high: most},
		bound{name: "hold up", value: s.Hold.Up, high: most},
		bound{name: "hold down", value: s.Hold.Down, high: most},
		bound{name: "slew up", value: s.Slew.Up, high: most},
		bound{name: "slew down", value: s.Slew.Down, high: most},
		bound{name: "maximum", value: s.Max, high: most, open: true},
		bound{name: "minimum", value: s.Min, high: s.Max},
		bound{name: "start", value: s.Start, high: s.Max},
		bound{name: "stop", value: s.Stop, high: s.Start},
		bound{name: "resolution", value: s.Resolution, high: s.Max},
		bound{name: "zero below", value: s.Zero.Below, low: -most, high: most},
		bound{name: "zero band", value: s.Zero.Band, high: most},
	); err != nil {
		return err
	}
	switch {
	case (s.Curve == nil) == (s.PI == nil):
		return errors.New("it needs a curve or a PI, one of them")
	case s.PI != nil:
		return s.PI.check()
	}
	return nil
}

// Time returns the time of sample k, counted from 0, s. It is a product and does
// not drift.
func (c *Sampled) Time(k int) float64 { return c.spec.Offset + float64(k)*c.spec.Period }

// After returns the first sample after time t, by number and time (s).
func (c *Sampled) After(t float64) (k int, at float64) {
	if t < c.spec.Offset {
		return 0, c.Time(0)
	}
	k = int((t - c.spec.Offset) / c.spec.Period)
	// The division may round down across a sample; the products decide.
	for c.Time(k) <= t {
		k++
	}
	return k, c.Time(k)
}

// asked returns an output asked for by the curve or the PI, within Min and Max
// and rounded.
func (c *Sampled) asked(output float64) float64 {
	return c.rounded(min(max(output, c.spec.Min), c.spec.Max), c.spec.Min)
}

// rounded returns an output on the grid, the nearest, halves upwards, but never
// outside low to Max.
func (c *Sampled) rounded(output, low float64) float64 {
	return min(max(roundTo(output, c.spec.Resolution), low), c.spec.Max)
}

// Hysteresis returns how far an input may differ from the held one, above and below.
func (c *Sampled) Hysteresis() UpDown { return c.spec.Hysteresis }

// Remembers reports whether the output depends on how its input came to be where it is,
// however long it has been there: by hysteresis, hold, a fan that may stand, or the
// integral of a PI.
func (c *Sampled) Remembers() bool {
	s := c.spec
	return s.PI != nil || s.Hysteresis != UpDown{} || s.Hold != UpDown{} || c.stands()
}

// stands reports whether a curve may let the fan stand.
func (c *Sampled) stands() bool {
	return c.spec.Zero.On || c.asked(c.spec.Curve.points[0].Out) < c.spec.Stop
}

// Rests returns the outputs at which a controller on a curve ends when its input
// has risen, or fallen, so slowly to a value that hysteresis holds it back as far
// as it can: the held input then lags by Hysteresis.Up, or Down. A standing fan
// that needs more than it is asked for still stands on the way up, a turning one
// still turns on the way down. Between these two the output depends on the past.
// The curve is taken to rise. A controller with a PI has no such outputs, and ok is false.
func (c *Sampled) Rests(input float64) (rising, falling float64, ok bool) {
	s := c.spec
	if s.Curve == nil {
		return 0, 0, false
	}
	rising = c.asked(s.Curve.Exact(input - s.Hysteresis.Up))
	falling = c.asked(s.Curve.Exact(input + s.Hysteresis.Down))
	last := s.Curve.points[len(s.Curve.points)-1]
	stood := c.stands()
	never := stood && c.asked(last.Out) < s.Start
	if s.Zero.On && input < s.Zero.Below+s.Zero.Band || stood && rising < s.Start || rising < s.Stop {
		rising = 0
	}
	if s.Zero.On && input <= s.Zero.Below || falling < s.Stop || never {
		falling = 0
	}
	return rising, falling, true
}
