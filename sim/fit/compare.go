package fit

import (
	"fmt"
	"math"
	"sort"

	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// zeroCelsius is 0 degC in kelvin.
const zeroCelsius = 273.15

// timeColumn is the trace's column of the time, s from the start of the run.
const timeColumn = "time_s"

// tailShare is the part of what is compared that is its tail if no length is
// stated.
const tailShare = 0.1

// Measured is what a log says of one temperature of a run.
type Measured struct {
	Path   string       // of the node, as the scenario names it: coolant, ambient, cpu.die
	Column string       // of the trace, degC, with what the model says: cpu_die_c
	Series *spec.Series // K, over the time of the log
	Gap    float64      // s, 0 or more: the longest step between two samples that is not yet a gap; +Inf for none
}

// Settings say how a log is laid beside a run. The zero value begins both at the
// same time and makes the last tenth of what is compared the tail.
type Settings struct {
	Start float64     // s, the time in the log at which the run begins; below zero if the log begins later
	Tail  spec.Number // s, above 0: the length of the tail
}

// Span is an interval, s from the start of the run.
type Span struct{ From, To float64 }

// Length returns the length of the interval, s.
func (s Span) Length() float64 { return s.To - s.From }

// Comparison is a log beside a run.
type Comparison struct {
	RunTo float64 // s, the time the run reached
	Nodes []Node  // in the order in which they were given to Compare

	start float64 // s, as in Settings
}

// Node is the comparison of one temperature. All differences are measured minus
// modelled, all times count from the start of the run.
type Node struct {
	Measured
	Log     Span    // what the log covers, from its first sample to its last
	Common  Span    // from the first sample within the run to the last
	Samples int     // within the run
	Gaps    int     // within the run, between samples
	Missing float64 // s, all of them together

	Tail   float64    // s, how much of the end counts as the tail
	Offset float64    // K, the difference at the first sample within the run
	All    Difference // of what was measured
	Less   Difference // of what was measured less the offset
}

// Difference sums up measured minus modelled, K.
type Difference struct {
	Mean      float64 // over time
	RMS       float64 // root mean square over time, 0 or more
	Largest   float64 // the one farthest from zero, with its sign; the first of several
	LargestAt float64 // s
	Tail      float64 // mean over the tail
}

// MostlyOffset reports whether the offset at the start explains most of the
// difference: less than half of its root mean square is left without it.
func (n *Node) MostlyOffset() bool { return n.Less.RMS < n.All.RMS/2 }

// NoOverlapError says that a log has no sample within the run.
type NoOverlapError struct {
	Path  string
	Log   Span
	RunTo float64 // s
}

// Error names the node and both spans.
func (e *NoOverlapError) Error() string {
	return fmt.Sprintf("fit: %s: the log has no sample within the run: it covers %.6g s to %.6g s of the run's time, the run 0 s to %.6g s",
		e.Path, e.Log.From, e.Log.To, e.RunTo)
}

// Compare lays what a log says of some temperatures beside a run's trace, which
// must have at least one row. Each column of the trace may be asked for once. The
// error is a *NoOverlapError where the log has no sample within the run.
func Compare(trace *record.Frame, all []Measured, set Settings) (*Comparison, error) {
	if err := set.check(); err != nil {
		return nil, err
	}
	col := trace.Col(timeColumn)
	if col < 0 || trace.Rows() == 0 {
		return nil, fmt.Errorf("fit: the trace has no rows with a column %s", timeColumn)
	}
	times := trace.Floats(col)
	c := &Comparison{RunTo: times[len(times)-1], start: set.Start}
	for i, m := range all {
		for _, other := range all[:i] {
			if other.Column == m.Column {
				return nil, fmt.Errorf("fit: %s: the trace's column %s is asked for twice", m.Path, m.Column)
			}
		}
		col := trace.Col(m.Column)
		if err := m.check(col); err != nil {
			return nil, fmt.Errorf("fit: %s: %w", m.Path, err)
		}
		n, err := c.node(m, times, trace.Floats(col), set.Tail)
		if err != nil {
			return nil, err
		}
		c.Nodes = append(c.Nodes, n)
	}
	return c, nil
}

// check says what is wrong with the settings.
func (s Settings) check() error {
	switch {
	case math.IsNaN(s.Start) || math.IsInf(s.Start, 0):
		return fmt.Errorf("fit: the run begins at %g s of the log, which is no time", s.Start)
	case s.Tail.Set && !(s.Tail.Value > 0 && s.Tail.Value < math.Inf(1)):
		return fmt.Errorf("fit: a tail of %g s: it must be longer than none", s.Tail.Value)
	}
	return nil
}

// check says what is wrong with a request; col is its column in the trace.
func (m Measured) check(col int) error {
	switch {
	case col < 0:
		return fmt.Errorf("the trace has no column %s", m.Column)
	case !(m.Gap >= 0):
		return fmt.Errorf("steps of more than %g s cannot be gaps", m.Gap)
	}
	return m.Series.Check()
}

// node compares one temperature with the model's values (degC) at times.
func (c *Comparison) node(m Measured, times, model []float64, tail spec.Number) (Node, error) {
	stamps := m.Series.Times
	log := Span{stamps[0] - c.start, stamps[len(stamps)-1] - c.start}
	r := residual{gap: m.Gap}
	for i, stamp := range stamps {
		at := stamp - c.start
		if at < times[0] || at > c.RunTo {
			continue
		}
		r.at = append(r.at, at)
		r.k = append(r.k, m.Series.Values[i]-zeroCelsius-along(times, model, at))
	}
	if len(r.at) == 0 {
		return Node{}, &NoOverlapError{Path: m.Path, Log: log, RunTo: c.RunTo}
	}
	n := Node{Measured: m, Log: log, Common: Span{r.at[0], r.at[len(r.at)-1]}, Samples: len(r.at), Offset: r.k[0]}
	n.Gaps, n.Missing = r.gaps()
	n.Tail = math.Min(tail.Or(tailShare*n.Common.Length()), n.Common.Length())
	n.All, n.Less = r.sum(n.Tail, 0), r.sum(n.Tail, n.Offset)
	return n, nil
}

// along returns the value at t on the straight lines that join values at times,
// which rise; t lies within them.
func along(times, values []float64, t float64) float64 {
	i := sort.SearchFloat64s(times, t)
	if times[i] == t {
		return values[i]
	}
	share := (t - times[i-1]) / (times[i] - times[i-1])
	return values[i-1] + share*(values[i]-values[i-1])
}
