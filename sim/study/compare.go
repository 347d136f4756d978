package study

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"soakledger/sim"
	"soakledger/sim/metric"
	"soakledger/sim/spec"
)

// Design is one of the machines that are compared.
type Design struct {
	Name     string
	Scenario *spec.Scenario // sound and named, as for BandOf; it is not changed
	Err      error          // why there is no scenario; the design is then a row that says so
}

// Comparison holds a row a design, in the order in which they were given.
type Comparison struct {
	Rows []Row

	// Reference is the row that the others are compared with: the first one whose run
	// is done and warms up. If there is none it is 0, and nothing has a difference.
	Reference int
}

// Row is what is known of one design.
type Row struct {
	Name       string
	Err        error       // why it could not be assembled or run; there is no result then
	Result     *sim.Result // of a run without a trace
	Phase      int         // the phase that is compared, an index of the result's; -1 if there is none
	Cooling    int         // the first phase after it in which the subject cools; -1 if there is none
	Difference *Difference // to the reference; nil in its own row
}

// Compare runs every design, without a trace, and says how far its rise lies from
// that of the first that can be compared, and how sure that is; see Difference. Of every run the phase
// with the largest warming is compared, or that of set.At if it is set.
//
// For the differences the levels are found anew with each assumed figure at both
// ends of its range, as BandOf does: two levels a figure and design, no further
// runs. The comparison does not depend on the number of workers.
//
// A design that cannot be assembled or run is no error, but a row that says why.
// The error is of fewer than two designs, or says that ctx was done.
func Compare(ctx context.Context, designs []Design, set Settings) (*Comparison, error) {
	if len(designs) < 2 {
		return nil, fmt.Errorf("study: comparing takes two designs or more, %d given", len(designs))
	}
	all := make([]candidate, len(designs))
	err := each(ctx, len(all), set.Workers, func(i int) { all[i] = newCandidate(ctx, designs[i], set.At) })
	if err != nil {
		return nil, err
	}
	c := &Comparison{Rows: make([]Row, len(all)), Reference: reference(all)}
	if err := vary(ctx, all, all[c.Reference].varied, set.Workers); err != nil {
		return nil, err
	}
	for i := range all {
		if i != c.Reference {
			all[i].Difference = newDifference(&all[c.Reference], &all[i])
		}
		c.Rows[i] = all[i].Row
	}
	return c, nil
}

// candidate is a design while it is compared.
type candidate struct {
	Row
	varied  *variations // nil if there is no level to be sure of
	unknown string      // says why there is none
	called  string      // in what is said of others, if it is the reference
}

// reference finds the design that the others are compared with.
func reference(all []candidate) int {
	at := max(0, slices.IndexFunc(all, func(c candidate) bool { return c.incomparable("it") == "" }))
	all[at].called = "the first design"
	if at > 0 {
		all[at].called = "the reference"
	}
	return at
}

// newCandidate runs a design and prepares the variations of its level.
func newCandidate(ctx context.Context, d Design, at spec.Number) candidate {
	c := candidate{Row: Row{Name: d.Name, Phase: -1, Cooling: -1}}
	if c.Err = d.Err; c.Err != nil {
		return c
	}
	run, err := sim.New(d.Scenario, sim.Settings{NoTrace: true})
	if err != nil {
		c.Err = err
		return c
	}
	if c.Result, err = run.Run(ctx); err != nil {
		c.Result, c.Err = nil, err
		return c
	}
	c.Phase, c.Cooling = phases(c.Result, at)
	c.varied, err = c.variations(d.Scenario)
	if err != nil {
		c.unknown = err.Error()
	}
	return c
}

// phases returns the phase that is meant and the first cooling one after it.
func phases(r *sim.Result, at spec.Number) (phase, cooling int) {
	if !at.Set {
		return r.Heating, r.Cooling
	}
	phase, cooling = -1, -1
	for i := range r.Phases {
		p := &r.Phases[i]
		switch {
		case p.From <= at.Value && at.Value < p.To:
			phase = i
		case phase >= 0 && cooling < 0 && p.Cooling():
			cooling = i
		}
	}
	return phase, cooling
}

// sameLevel is how near the level of the run must lie to the one that variations
// start from, K.
const sameLevel = 0.01

// variations prepares those of the level that is compared.
func (c *candidate) variations(s *spec.Scenario) (*variations, error) {
	p := c.phase()
	if p == nil || !p.Level.OK() {
		return nil, errors.New("study: it has no level to be sure of")
	}
	v, err := newVariations(s, p.From)
	if err != nil {
		return nil, err
	}
	if d := math.Abs(v.levels[0].Value - p.Level.Value); !(d <= sameLevel) {
		return nil, fmt.Errorf("study: where it settles depends on what came before (%.2g K apart)", d)
	}
	return v, nil
}

// phase returns the phase that is compared, or nil.
func (r *Row) phase() *metric.Phase {
	if r.Result == nil || r.Phase < 0 {
		return nil
	}
	return &r.Result.Phases[r.Phase]
}

// vary computes the variations of all designs on several workers, unless there are
// none of the reference to compare them with.
func vary(ctx context.Context, all []candidate, of *variations, workers int) error {
	if of == nil {
		return nil
	}
	type job struct {
		v *variations
		i int
	}
	var jobs []job
	for _, c := range all {
		if c.varied == nil {
			continue
		}
		for i := range c.varied.changes {
			jobs = append(jobs, job{c.varied, i})
		}
	}
	return each(ctx, len(jobs), workers, func(k int) {
		v, i := jobs[k].v, jobs[k].i
		v.changes[i] = v.change(i/ends, i%ends)
	})
}
