package figure

import (
	"errors"
	"fmt"
	"math"
)

// What a figure can hold.
const (
	MaxRuns   = 8 // as many as there are patterns of dashes
	MaxPanels = 4
)

// Figure is what is to be drawn. Texts may hold anything; what cannot be shown on one
// line (control characters) becomes a space.
type Figure struct {
	Title  string  // over the picture
	Note   string  // at its foot, behind the line on what is shown
	Key    string  // over the labels: what their values are of, unless each says it itself
	Panels []Panel // from the top down, 1 to MaxPanels, over one axis of time
	Runs   []Run   // 1 to MaxRuns
}

// Panel is one quantity with a scale of its own.
type Panel struct {
	Name string // "coolant"
	Unit string // as it is to be printed: "°C"
}

// Run is the lines of one run, which look alike in every panel.
type Run struct {
	// Label stands where a line ends, with commas between its terms. In a figure of one
	// run it may be empty: the panel's name then stands there.
	Label []Term
	// Times are the times of all values, s, increasing; at least one.
	Times []float64
	// Curves are the values, one curve a panel, in the order of the panels.
	Curves []Curve
	// Load is the power requested of all sources together, W, at Times, with straight
	// lines between; nil where it is not known.
	Load []float64
	// Broken says that the run did not come to its end. A cross marks where it stopped.
	Broken bool
}

// Term is a part of a label: a name, a value, or both. Where room is short the name is
// shortened, not the value.
type Term struct{ Name, Value string }

// Curve is one quantity of one run, in the panel's unit. NaN is a value that is
// missing: the line has a gap there.
type Curve struct {
	Values   []float64 // at the times of the run
	Measured []float64 // likewise, drawn as points; nil if nothing was measured
	Level    *Level    // nil where there is none
}

// Level is where a quantity settles under the load of one phase.
type Level struct {
	Value    float64 // in the panel's unit
	From, To float64 // s, the phase; From < To
}

// check reports everything about the figure that cannot be drawn.
func (f *Figure) check() error {
	var errs []error
	if n := len(f.Panels); n < 1 || n > MaxPanels {
		errs = append(errs, fmt.Errorf("%d panels: want 1 to %d", n, MaxPanels))
	}
	if n := len(f.Runs); n < 1 || n > MaxRuns {
		errs = append(errs, fmt.Errorf("%d runs: want 1 to %d", n, MaxRuns))
	}
	for i := range f.Runs {
		if err := f.Runs[i].check(len(f.Panels)); err != nil {
			errs = append(errs, fmt.Errorf("run %d of %d, %q: %w", i+1, len(f.Runs), labelText(f.Runs[i].Label), err))
		}
	}
	for k, p := range f.Panels {
		if len(errs) == 0 && !f.hasValue(k) {
			errs = append(errs, fmt.Errorf("panel %q: no run has a value", p.Name))
		}
	}
	return errors.Join(errs...)
}

// hasValue reports whether any run has a value in panel k.
func (f *Figure) hasValue(k int) bool {
	for i := range f.Runs {
		if f.Runs[i].Curves[k].last() >= 0 {
			return true
		}
	}
	return false
}

func (r *Run) check(panels int) error {
	if len(r.Times) == 0 {
		return errors.New("it has no rows")
	}
	for i, t := range r.Times {
		if t-t != 0 || i > 0 && t <= r.Times[i-1] {
			return fmt.Errorf("time %d is %g s: times must increase", i, t)
		}
	}
	if len(r.Curves) != panels {
		return fmt.Errorf("%d curves for %d panels", len(r.Curves), panels)
	}
	if err := r.checkValues("loads", r.Load, false); err != nil {
		return err
	}
	for k := range r.Curves {
		c := &r.Curves[k]
		if c.Values == nil {
			return fmt.Errorf("curve %d has no values", k)
		}
		if err := errors.Join(r.checkValues("values", c.Values, true), r.checkValues("measured values", c.Measured, true), c.Level.check()); err != nil {
			return fmt.Errorf("curve %d: %w", k, err)
		}
	}
	return nil
}

// checkValues reports values (nil if there are none) that do not fit the times or
// cannot be drawn.
func (r *Run) checkValues(what string, values []float64, gaps bool) error {
	if values == nil {
		return nil
	}
	if len(values) != len(r.Times) {
		return fmt.Errorf("%d %s at %d times", len(values), what, len(r.Times))
	}
	for i, v := range values {
		if math.Abs(v) > largest || !gaps && v != v {
			return fmt.Errorf("%s: number %d is %g, which cannot be drawn", what, i, v)
		}
	}
	return nil
}

// largest magnitude of a value: differences and squares of such stay finite.
const largest = 1e100

func (l *Level) check() error {
	if l == nil {
		return nil
	}
	if !(math.Abs(l.Value) <= largest && math.Abs(l.From) <= largest && math.Abs(l.To) <= largest && l.From < l.To) {
		return fmt.Errorf("a level of %g from %g s to %g s cannot be drawn", l.Value, l.From, l.To)
	}
	return nil
}

// last returns the place of the last value that is not missing, or -1.
func (c *Curve) last() int {
	for i := len(c.Values) - 1; i >= 0; i-- {
		if c.Values[i] == c.Values[i] {
			return i
		}
	}
	return -1
}

// highest returns the largest value, or -Inf.
func (c *Curve) highest() float64 {
	top := math.Inf(-1)
	for _, v := range c.Values {
		if v > top {
			top = v
		}
	}
	return top
}
