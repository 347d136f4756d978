package log

import (
	"fmt"
	"strings"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// What makes a step between two stamps a gap, in median steps.
const gapSteps = 5

// Limits beyond which stamps in s or ms look as if their unit had been
// exchanged for the other: denser than the quickest power logs, some 250 Hz, or
// over within a minute, while steps in s would be usual; sparser than usual slow
// logs, which take a sample a minute. Common practice, no source.
const (
	quickStep   = 3e-3  // s
	shortestLog = 60.0  // s
	slowStep    = 90.0  // s
	slowestStep = 120.0 // s
	perMillisec = 1e3
)

// findings tells everything that was left out, put in order or looks doubtful,
// and counts the gaps.
func (t *table) findings(times []float64, step float64) []string {
	list := t.timeFindings(times, step)
	for _, c := range t.columns {
		name := columnName(c.at+1, c.heading.text)
		if c.finding != "" {
			list = append(list, fmt.Sprintf("%s: %s", name, c.finding))
		}
		if c.holes > 0 {
			list = append(list, fmt.Sprintf("%s: %s, the first in %s %d: the series has no samples there",
				name, plural(c.holes, "empty cell"), t.rows, c.hole.line))
		}
		if c.strange > 0 {
			list = append(list, fmt.Sprintf("%s: %s with no value of this quantity, %s: the series has no samples there",
				name, plural(c.strange, "cell"), places(c.places, c.strange)))
		}
	}
	return list
}

func (t *table) timeFindings(times []float64, step float64) []string {
	var list []string
	n, s := t.counts, t.stamper
	tell := func(format string, args ...any) { list = append(list, "time: "+fmt.Sprintf(format, args...)) }
	if s.finding != "" {
		tell("%s", s.finding)
	}
	if n.Unplaced > 0 {
		tell("%s left out for want of a stamp: %s", plural(n.Unplaced, "row"), places(t.unplaced, n.Unplaced))
	}
	if n.Backward > 0 {
		tell("%s, the first in %s %d: the rows were put in order", plural(n.Backward, "backward stamp"), t.rows, t.backward.line)
	}
	if n.Midnights > 0 {
		tell("%s passed by a clock that tells no date", plural(n.Midnights, "midnight"))
	}
	if n.Duplicates > 0 {
		tell("%s with the stamp of another one: the last value of each stamp was kept", plural(n.Duplicates, "row"))
	}
	if count, first := gaps(times, step); count > 0 {
		t.counts.Gaps = count
		tell("%s of more than %d median steps (%s), the first of %s at %s", plural(count, "gap"), gapSteps,
			seconds(step), seconds(times[first+1]-times[first]), seconds(times[first]))
	}
	if doubt := t.suspicion(step, times[len(times)-1]); doubt != "" {
		tell("%s", doubt)
	}
	return list
}

// gaps counts the gaps and returns the index of the stamp before the first.
func gaps(times []float64, step float64) (count, first int) {
	for i := len(times) - 1; i > 0; i-- {
		if times[i]-times[i-1] > gapSteps*step {
			count++
			first = i - 1
		}
	}
	return count, first
}

// suspicion tells of a unit of stamps that does not look like that of a log.
func (t *table) suspicion(step, length float64) string {
	unit := t.stamper.unit
	switch {
	case step == 0 || t.stamper.form != numberForm:
	case unit.scale == 1/perMillisec && (step < quickStep || length < shortestLog && step*perMillisec <= slowStep):
		return fmt.Sprintf("stamps in ms lie %s apart and the log is %s long: if they are seconds, state the unit s (%s apart, %s long); read as ms",
			seconds(step), seconds(length), seconds(step*perMillisec), seconds(length*perMillisec))
	case unit.scale == 1 && step > slowestStep:
		return fmt.Sprintf("stamps in s lie %s apart and the log is %s long: if they are milliseconds, state the unit ms (%s apart, %s long); read as s",
			seconds(step), seconds(length), seconds(step/perMillisec), seconds(length/perMillisec))
	}
	return ""
}

func seconds(t float64) string { return quantity.Format(t, spec.Time) }

func span(ns int64) string { return seconds(float64(ns) / float64(second)) }

// places lists the first places of n.
func places(list []string, n int) string {
	text := strings.Join(list, ", ")
	if n > len(list) {
		text += ", …"
	}
	return text
}
