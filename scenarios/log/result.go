package log

import (
	"fmt"
	"math"
	"slices"

	"soakledger/sim/spec"
)

// log completes the table: order, duplicates, holes, findings.
func (t *table) log() (Log, error) {
	switch {
	case t.counts.Rows == 0:
		return Log{}, &Error{File: t.file, Text: "there are no rows of data under the headings"}
	case len(t.stamps) == 0:
		return Log{}, t.fault(place{column: t.stamper.at}, t.stamper.heading, fmt.Errorf("no row of %d has a stamp", t.counts.Rows))
	}
	if err := t.numbers.check(); err != nil {
		at := t.numbers.doubt
		return Log{}, t.fault(at, heading{}, err)
	}
	start := t.stamper.start(t.first)
	t.order()
	t.counts.Midnights = t.stamper.midnights
	times := t.times()
	step := median(times)
	if err := t.checkUnit(step, times[len(times)-1]); err != nil {
		return Log{}, t.fault(place{column: t.stamper.at}, t.stamper.heading, err)
	}
	l := Log{Start: start}
	for _, c := range t.columns {
		r, err := c.reading(times, step)
		if err != nil {
			return Log{}, t.fault(place{column: c.at}, c.heading, err)
		}
		l.Readings = append(l.Readings, r)
	}
	l.Findings = t.findings(times, step)
	l.Counts = t.counts
	return l, nil
}

// reading makes the series of a column. Columns without holes share the times,
// and their median step.
func (c *column) reading(times []float64, step float64) (Reading, error) {
	s := &spec.Series{Times: times, Values: c.values, Hold: c.want.Hold}
	if slices.ContainsFunc(c.values, math.IsNaN) {
		s.Times, s.Values = nil, nil
		for i, x := range c.values {
			if !math.IsNaN(x) {
				s.Times, s.Values = append(s.Times, times[i]), append(s.Values, x)
			}
		}
		step = median(s.Times)
	}
	if len(s.Values) == 0 {
		return Reading{}, fmt.Errorf("it has no value in %s: %s", plural(len(times), "row"), c.why())
	}
	return Reading{Heading: c.heading.text, Unit: c.conv.unit, Series: s, Step: step, Holes: c.holes, NotNumbers: c.strange}, nil
}

// why says what the cells of a column without any value hold.
func (c *column) why() string {
	if c.strange == 0 {
		return "all of its cells are empty"
	}
	return fmt.Sprintf("its cells hold other things, for example %s: write numbers, for example 21.5", c.places[0])
}

// checkUnit asks for the unit of stamps that are numbers, if nothing told it.
func (t *table) checkUnit(step, last float64) error {
	s := t.stamper
	if s.form != numberForm || s.unit.scale != 0 {
		return nil
	}
	was := "no unit is stated"
	if unit := s.heading.row + s.heading.unit; unit != "" {
		was = fmt.Sprintf("%q is not a unit of time that is known", shorten(unit))
	}
	if s.heading.unit == "m" || s.heading.row == "m" {
		was = `"m" could be minutes or metres`
	}
	return fmt.Errorf("%s: as s the log is %s long with a median step of %s, as ms %s with %s: write the unit into the heading, for example %s [s], or state it: %s",
		was, seconds(last), seconds(step), seconds(last/perMillisec), seconds(step/perMillisec), shorten(s.heading.name), orList(timeForms()[:len(timeForms())-len(clockForms)]))
}

// median returns the median step between times, 0 if there is none.
func median(times []float64) float64 {
	if len(times) < 2 {
		return 0
	}
	steps := make([]float64, len(times)-1)
	for i := range steps {
		steps[i] = times[i+1] - times[i]
	}
	slices.Sort(steps)
	return (steps[(len(steps)-1)/2] + steps[len(steps)/2]) / 2
}

// lowest returns the least value, in SI, that a quantity can have.
func lowest(dim spec.Dimension) float64 {
	if dim == spec.Temperature {
		return 0
	}
	return math.Inf(-1)
}
