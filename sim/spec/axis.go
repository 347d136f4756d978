package spec

import "math"

// MostRuns bounds how many designs a study makes.
const MostRuns = 1e8

// rounding is by what share of a step the end of a range may lie beyond a multiple of it.
const rounding = 1e-9

// Levels returns how many values an axis has: those of its list or range, or its
// variants. It is 0 where values are drawn from a whole range or distribution,
// and MostRuns+1 where there would be more than MostRuns.
func (s *Scenario) Levels(a *Axis) int {
	switch a.Way() {
	case ByValues:
		return len(a.Values)
	case ByVariants:
		return len(s.ChosenVariants(a))
	case ByRange:
		return s.steps(a)
	}
	return 0
}

// steps counts the values of a range.
func (s *Scenario) steps(a *Axis) int {
	if a.Count.Set {
		return int(a.Count.Value)
	}
	from, to, step, ok := s.ends(a)
	if !ok || !(step > 0) {
		return 0
	}
	n := math.Floor(math.Abs(to-from)/step+rounding) + 1
	return int(min(n, MostRuns+1))
}

// ends returns the numbers of a range with steps; ok is false where one of them
// is missing or of another sort.
func (s *Scenario) ends(a *Axis) (from, to, step float64, ok bool) {
	f, err := s.target(a.Path)
	if err != nil {
		return 0, 0, 0, false
	}
	from, _, isFrom := a.From.Scalar(f)
	to, _, isTo := a.To.Scalar(f)
	step, _, isStep := a.Step.Scalar(f)
	return from, to, step, isFrom && isTo && isStep && a.From.Alike(a.To) && a.From.Alike(a.Step)
}

// Designs returns how many designs the study makes before any is dropped, at
// most MostRuns+1; 0 where an axis lacks the values that its combination needs.
func (s *Scenario) Designs() int {
	st := &s.Study
	if st.Draws() {
		return int(st.Runs.Or(0))
	}
	product, sum := 1.0, 1.0
	for _, g := range st.Groups() {
		n := float64(s.Levels(&st.Vary[g.Axes[0]]))
		product, sum = product*n, sum+n
	}
	if st.Combine == "one at a time" {
		product = sum
	}
	return int(min(product, MostRuns+1))
}
