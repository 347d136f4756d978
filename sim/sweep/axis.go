package sweep

import (
	"math"

	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// Axis is one thing that a plan varies.
type Axis struct {
	Index  int           // in the study's vary
	Path   string        // of the value that it sets, or of the thing whose variant it picks
	Column record.Column // of its values among the columns of runs, named as if it were alone
	Levels int           // number of its values; 0 if they are drawn from a whole range
	Words  bool          // its values are words: names of variants or patterns, kinds of fins

	from     *spec.Axis
	field    spec.Field
	sample   spec.Value // that all of its values are stated like
	measures spec.Dimension
	unit     unit
	variants []string
	quantile quantile
	lowest   float64 // of what is drawn
	highest  float64
	steps    []spec.Value // of a range with single values; nil of one with more than mostKeptSteps
}

// mostKeptSteps bounds how many values of a range are kept ready.
const mostKeptSteps = 1 << 12

// newAxis prepares an axis of a study that spec.Check finds sound.
func newAxis(s *spec.Scenario, index int) (Axis, error) {
	a := &s.Study.Vary[index]
	f, err := s.Varied(a.Path)
	if err != nil {
		return Axis{}, err
	}
	x := Axis{Index: index, Path: f.Path, Levels: s.Levels(a), from: a, field: f}
	switch a.Way() {
	case spec.ByVariants:
		x.variants = s.ChosenVariants(a)
	case spec.ByValues:
		x.sample = a.Values[0]
	case spec.ByRange:
		x.sample = a.From
		x.ranged()
	case spec.ByDistribution:
		x.sample = a.Low
		if !a.Low.IsSet() {
			x.sample = a.Mean
		}
		x.distributed()
	}
	var number bool
	_, x.measures, number = x.sample.Scalar(f)
	x.Words = !number
	x.unit = unitOf(f, x.measures)
	x.Column = x.column()
	if a.Way() == spec.ByRange && x.Levels <= mostKeptSteps {
		for j := range x.Levels {
			x.steps = append(x.steps, x.step(j))
		}
	}
	return x, nil
}

// scalar returns the number of one of the axis' values, 0 if it is unset.
func (x *Axis) scalar(v spec.Value) float64 {
	n, _, _ := v.Scalar(x.field)
	return n
}

// ranged prepares draws from a range.
func (x *Axis) ranged() {
	from, to := x.scalar(x.from.From), x.scalar(x.from.To)
	x.lowest, x.highest = min(from, to), max(from, to)
	switch {
	case x.from.Scale == "log":
		x.quantile = logUniform(x.lowest, x.highest)
	case x.field.Dimension == spec.Count:
		x.quantile = whole(x.lowest, x.highest)
	default:
		x.quantile = uniform(x.lowest, x.highest)
	}
}

// distributed prepares draws from a distribution. A normal one ends where the
// field does, which lies beyond spec.NormalRoom deviations.
func (x *Axis) distributed() {
	a := x.from
	x.lowest, x.highest = x.scalar(a.Low), x.scalar(a.High)
	mean, deviation := x.scalar(a.Mean), x.scalar(a.Deviation)
	switch a.Distribution {
	case "uniform":
		x.quantile = uniform(x.lowest, x.highest)
		if x.field.Dimension == spec.Count {
			x.quantile = whole(x.lowest, x.highest)
		}
	case "triangular":
		x.quantile = triangular(x.lowest, x.scalar(a.Mode), x.highest)
	case "normal":
		x.lowest, x.highest = x.field.Limits(x.sample)
		x.quantile = truncatedNormal(mean, deviation, x.lowest, x.highest)
	case "truncated normal":
		x.quantile = truncatedNormal(mean, deviation, x.lowest, x.highest)
	}
}

// value returns what the axis has on a level or at a share of its draws.
func (x *Axis) value(p position) spec.Value {
	switch {
	case p.kind == level:
		return x.onLevel(p.level)
	case x.Levels > 0: // each as likely
		return x.onLevel(min(int(p.share*float64(x.Levels)), x.Levels-1))
	}
	return x.number(x.quantile(p.share))
}

// number returns a value with a number that was computed.
func (x *Axis) number(n float64) spec.Value {
	n = x.unit.rounded(n)
	return x.sample.WithScalar(min(max(n, x.lowest), x.highest))
}

// onLevel returns value j of a list, of variants or of a range.
func (x *Axis) onLevel(j int) spec.Value {
	switch x.from.Way() {
	case spec.ByVariants:
		return spec.TextValue(x.variants[j])
	case spec.ByValues:
		return x.from.Values[j]
	}
	if x.steps != nil {
		return x.steps[j]
	}
	return x.step(j)
}

// step computes value j of a range.
func (x *Axis) step(j int) spec.Value {
	from, to := x.scalar(x.from.From), x.scalar(x.from.To)
	switch last := x.Levels - 1; {
	case j == 0:
		return x.from.From
	case x.from.Step.IsSet():
		return x.number(from + float64(j)*math.Copysign(x.scalar(x.from.Step), to-from))
	case j == last:
		return x.from.To
	case x.from.Scale == "log":
		return x.number(from * math.Exp(float64(j)/float64(last)*math.Log(to/from)))
	default:
		return x.number(from + float64(j)/float64(last)*(to-from))
	}
}
