package spec

import "math"

// countable reports whether a field's values can lie in a range.
func (f Field) countable() bool {
	return f.Type == TypeNumber || f.Type == TypePower || f.Type == TypeSpeed
}

// axisRange checks a range of values.
func (c *checker) axisRange(at string, a *Axis, f Field) {
	if !f.countable() {
		c.add(at+".from", "%s has no range: list its values, for example values: [%s]", f.Key, f.Example)
		return
	}
	switch {
	case !a.From.IsSet() || !a.To.IsSet():
		c.add(at, "a range needs from and to, and count or step for single values, for example from: %s, to: ..., count: 5", f.Example)
		return
	case !a.From.Alike(a.To):
		c.add(at+".to", "both ends of a range are stated alike, and from is stated otherwise")
		return
	case a.From == a.To:
		c.add(at+".to", "the range begins and ends at one value: list it as values, or give another end")
		return
	case a.Count.Set && a.Step.IsSet():
		c.add(at+".step", "count and step exclude each other: keep one")
	case a.Count.Set && a.Count.Value < 2:
		c.add(at+".count", "a range has at least its two ends: write count: 2 or more")
	case a.Step.IsSet():
		c.axisStep(at, a, f)
	}
	if a.Scale == "log" {
		c.logScale(at, a, f)
	}
	c.wholeSteps(at, a, f)
}

// axisStep checks the step of a range.
func (c *checker) axisStep(at string, a *Axis, f Field) {
	step, _, _ := a.Step.Scalar(f)
	from, _, _ := a.From.Scalar(f)
	to, _, _ := a.To.Scalar(f)
	steps := math.Abs(to-from) / step
	switch {
	case !a.Step.Alike(a.From):
		c.add(at+".step", "a step is stated like the ends of its range, and from is stated otherwise")
	case !(step > 0):
		c.add(at+".step", "a step is above zero, whichever way the range goes")
	case c.s.steps(a) < 2:
		c.add(at+".step", "the step is longer than the range: take a shorter one")
	case a.Scale == "log":
		c.add(at+".step", "the steps of a log scale have equal ratios, not differences: write count instead of step")
	case math.Abs(steps-math.Round(steps)) > rounding*max(1, steps):
		c.add(at+".step", "whole steps do not come to the end of the range, which would be left out: write count: %.0f for %.0f even steps, or another step or end", math.Round(steps)+1, math.Round(steps))
	}
}

// logScale checks that ratios of the values mean anything.
func (c *checker) logScale(at string, a *Axis, f Field) {
	from, of, _ := a.From.Scalar(f)
	to, _, _ := a.To.Scalar(f)
	switch {
	case of == Temperature || of == SoundLevel:
		c.add(at+".scale", "a %s has no ratios: its scale is linear", of.words())
	case !(from > 0 && to > 0):
		c.add(at+".scale", "a log scale needs both ends above zero")
	}
}

// words writes a dimension as it is spoken of.
func (d Dimension) words() string {
	if d == SoundLevel {
		return "sound level"
	}
	return string(d)
}

// wholeSteps checks that a range of counts has whole numbers.
func (c *checker) wholeSteps(at string, a *Axis, f Field) {
	n := c.s.steps(a)
	if f.Dimension != Count || n < 2 {
		return
	}
	from, _, _ := a.From.Scalar(f)
	to, _, _ := a.To.Scalar(f)
	step := (to - from) / float64(n-1)
	if a.Step.IsSet() {
		step, _, _ = a.Step.Scalar(f)
	}
	if step != math.Trunc(step) || a.Scale == "log" {
		c.add(at, "%s is counted in whole numbers, and the range has others: write step: 1, or list values", f.Key)
	}
}

// parameter is a value that a distribution may need.
type parameter struct {
	key      string
	value    Value
	need, no bool
}

// distribution checks what values are drawn from.
func (c *checker) distribution(at string, a *Axis, f Field) {
	if !f.countable() {
		c.add(at+".distribution", "%s is not drawn from a distribution: list its values, each of which is as likely, for example values: [%s]", f.Key, f.Example)
		return
	}
	normal, cut := a.Distribution == "normal", a.Distribution == "truncated normal"
	flat, peak := a.Distribution == "uniform", a.Distribution == "triangular"
	if !normal && !cut && !flat && !peak {
		return // its word is a problem of its own
	}
	good := true
	var first Value
	for _, p := range []parameter{
		{"low", a.Low, flat || peak || cut, normal}, {"high", a.High, flat || peak || cut, normal}, {"mode", a.Mode, peak, !peak},
		{"mean", a.Mean, normal || cut, flat || peak}, {"deviation", a.Deviation, normal || cut, flat || peak},
	} {
		good = c.parameter(at, a, f, p, &first) && good
	}
	if f.Dimension == Count && !flat {
		c.add(at+".distribution", "%s is counted in whole numbers, which are drawn evenly: write distribution: uniform, or list values", f.Key)
		return
	}
	if good {
		c.parameters(at, a, f)
	}
}

// parameter checks that a value is there where the distribution has it, and
// stated like the first of the others.
func (c *checker) parameter(at string, a *Axis, f Field, p parameter, first *Value) bool {
	switch {
	case p.need && !p.value.IsSet():
		c.add(at, "a %s distribution needs %s, for example {distribution: %s}", a.Distribution, p.key, distributionExample(a.Distribution))
		return false
	case p.no && p.value.IsSet():
		c.add(at+"."+p.key, "a %s distribution has no %s: leave it out", a.Distribution, p.key)
		return false
	case !p.value.IsSet():
		return true
	}
	if !first.IsSet() {
		*first = p.value
	}
	if !p.value.Alike(*first) {
		c.add(at+"."+p.key, "the values of a distribution are all stated alike, and this one is stated otherwise")
		return false
	}
	return true
}

func distributionExample(word string) string {
	switch word {
	case "uniform":
		return "uniform, low: 900 rpm, high: 1300 rpm"
	case "triangular":
		return "triangular, low: 900 rpm, mode: 1000 rpm, high: 1300 rpm"
	case "truncated normal":
		return "truncated normal, mean: 1100 rpm, deviation: 100 rpm, low: 900 rpm, high: 1300 rpm"
	}
	return "normal, mean: 1100 rpm, deviation: 50 rpm"
}

// NormalRoom is how many standard deviations a normal distribution must stay
// away from what a field allows: one draw in a thousand million lies farther.
const NormalRoom = 6

// parameters checks those of a distribution against each other.
func (c *checker) parameters(at string, a *Axis, f Field) {
	low, of, _ := a.Low.Scalar(f)
	high, _, _ := a.High.Scalar(f)
	mode, _, _ := a.Mode.Scalar(f)
	mean, measures, _ := a.Mean.Scalar(f)
	deviation, _, _ := a.Deviation.Scalar(f)
	switch {
	case a.Low.IsSet() && !(low < high):
		c.add(at+".high", "high lies above low")
	case a.Mode.IsSet() && !(low <= mode && mode <= high):
		c.add(at+".mode", "the likeliest value lies between low and high")
	case a.Deviation.IsSet() && !(deviation > 0):
		c.add(at+".deviation", "a standard deviation is above zero")
	case a.Distribution == "normal":
		least, most := f.limits(measures)
		if mean-NormalRoom*deviation < least || mean+NormalRoom*deviation > most {
			c.add(at+".deviation", "%d deviations from the mean lie beyond what %s can be: write distribution: truncated normal with low and high, or a smaller deviation", NormalRoom, f.Key)
		}
	case a.Distribution == "truncated normal" && of != None && !(high > mean-NormalRoom*deviation && low < mean+NormalRoom*deviation):
		c.add(at+".low", "nothing is left between low and high, which lie more than %d deviations from the mean: check all four", NormalRoom)
	}
}

// limits returns the least and greatest number of a value that measures this:
// a share of a speed or power has limits of its own.
func (f Field) limits(measures Dimension) (least, most float64) {
	switch {
	case f.Type == TypeSpeed && measures == Ratio:
		return 0, maxSpeed
	case f.Type == TypeSpeed && measures == SoundLevel:
		return leastLevel, mostLevel
	case f.Type == TypePower && measures == Ratio:
		return 0, maxShare
	}
	return f.Min, f.Max
}

// Limits returns the least and greatest number that a value of the field, stated
// like v, may have (SI).
func (f Field) Limits(v Value) (least, most float64) {
	_, measures, _ := v.Scalar(f)
	return f.limits(measures)
}
