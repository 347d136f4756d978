package spec

// Keys of a scenario that say how designs are made of it, and change nothing in
// the scenario by itself.
const (
	studyKey    = "study"
	variantsKey = "variants"
)

// Study says which designs are made of a scenario.
type Study struct {
	Vary    []Axis       `spec:"vary" eg:"[{path: ambient.temperature, values: [20 degC, 30 degC]}]" doc:"what is varied, an axis each; the last of a grid moves fastest"`
	Combine string       `spec:"combine" one:"grid|zip|one at a time|latin hypercube|halton|random" eg:"grid" doc:"grid, every value with every other, if not stated; zip, all axes together; one at a time, the scenario as stated and then each value by itself; the others draw as many designs as runs says"`
	Runs    Number       `spec:"runs" dim:"count" min:"1" max:"1e8" eg:"500" doc:"how many designs are drawn"`
	Seed    Number       `spec:"seed" dim:"count" min:"0" max:"1e9" eg:"7" doc:"any number; the same draws the same designs"`
	Keep    []Comparison `spec:"keep" eg:"ambient.temperature <= 30 degC" doc:"conditions between a path or column and a value or another path; a design that fails one is dropped"`
}

// Axis is one thing that a study varies, in one of four ways: by Values, over a
// range From To, by Variants, or by drawing from a Distribution. Its values are
// those of the field that Path leads to (Scenario.Varied).
type Axis struct {
	Path         string   `spec:"path" eg:"front.fans.speed" doc:"what it varies: one value, or a part that has variants"`
	Column       string   `spec:"column" eg:"fan_rpm" doc:"name of its column; made of path and unit if not stated"`
	Values       []Value  `spec:"values" eg:"700 rpm, 1000 rpm, 1300 rpm" doc:"the values one after the other"`
	From         Value    `spec:"from" eg:"700 rpm" doc:"first value of a range"`
	To           Value    `spec:"to" eg:"1500 rpm" doc:"last value of a range"`
	Count        Number   `spec:"count" dim:"count" min:"1" max:"1e8" eg:"5" doc:"how many values a range has, both ends among them"`
	Step         Value    `spec:"step" difference:"yes" eg:"200 rpm" doc:"between the values of a range, instead of count"`
	Scale        string   `spec:"scale" one:"linear|log" eg:"log" doc:"steps of a range with equal differences, or with equal ratios; linear if not stated"`
	Variants     []string `spec:"variants" eg:"all" doc:"names of variants, or all"`
	Distribution string   `spec:"distribution" one:"uniform|normal|truncated normal|triangular" eg:"uniform" doc:"what its values are drawn from, under latin hypercube, halton or random"`
	Low          Value    `spec:"low" eg:"900 rpm" doc:"least value drawn"`
	High         Value    `spec:"high" eg:"1300 rpm" doc:"greatest value drawn"`
	Mean         Value    `spec:"mean" eg:"1100 rpm" doc:"of a normal distribution, before anything is cut off"`
	Deviation    Value    `spec:"deviation" difference:"yes" eg:"50 rpm" doc:"standard deviation of a normal distribution, before anything is cut off"`
	Mode         Value    `spec:"mode" eg:"1000 rpm" doc:"likeliest value of a triangular distribution"`
	Zip          string   `spec:"zip" eg:"fans" doc:"any word; axes with the same move together"`
}

// AllVariants stands for every variant of a thing.
const AllVariants = "all"

// Way tells how an axis states its values.
type Way uint8

// The ways of an axis. NoWay is that of one which states none, or several.
const (
	NoWay Way = iota
	ByValues
	ByRange
	ByVariants
	ByDistribution
)

// Way returns the way in which the axis states its values.
func (a *Axis) Way() Way {
	way := NoWay
	for _, w := range a.ways() {
		if way != NoWay {
			return NoWay
		}
		way = w
	}
	return way
}

// ways lists all that the axis states.
func (a *Axis) ways() []Way {
	var all []Way
	if len(a.Values) > 0 {
		all = append(all, ByValues)
	}
	if a.From.IsSet() || a.To.IsSet() {
		all = append(all, ByRange)
	}
	if len(a.Variants) > 0 {
		all = append(all, ByVariants)
	}
	if a.Distribution != "" {
		all = append(all, ByDistribution)
	}
	return all
}

// Group is a set of axes that move together.
type Group struct{ Axes []int }

// Groups returns the axes that move together, by their index in Vary, in the
// order of the first of each: those with the same Zip, or all of them where the
// axes are combined by zip.
func (s *Study) Groups() []Group {
	var all []Group
	known := map[string]int{}
	for i, a := range s.Vary {
		zip := a.Zip
		if s.Combine == "zip" {
			zip = "zip"
		}
		if at, ok := known[zip]; ok && zip != "" {
			all[at].Axes = append(all[at].Axes, i)
			continue
		}
		known[zip] = len(all)
		all = append(all, Group{Axes: []int{i}})
	}
	return all
}

// Draws reports whether the study draws its designs.
func (s *Study) Draws() bool {
	return s.Combine == "latin hypercube" || s.Combine == "halton" || s.Combine == "random"
}

// Varied describes the field that an axis with the given path varies. A path to
// a section for which one value may stand leads to that value: ambient to
// ambient.temperature. Of a part and everything else with keys of its own it
// describes the section. The error is a *PathError.
func (s *Scenario) Varied(path string) (Field, error) {
	f, err := s.target(path)
	if err == nil {
		return f, nil
	}
	failure := &PathError{Path: path, Reason: err.Error()}
	if _, other := err.(otherKindError); !other && err != errNotItself {
		failure.Nearest = s.nearestPath(path)
	}
	return Field{}, failure
}

// target is Varied with a plain error. A study is no part of what it varies,
// which also keeps an axis from being about itself.
func (s *Scenario) target(path string) (Field, error) {
	if steps, err := splitPath(path); err != nil {
		return Field{}, err
	} else if first := steps[0].key; first == studyKey || first == variantsKey {
		return Field{}, errNotItself
	}
	p, err := s.resolve(path, false)
	if err != nil {
		return Field{}, err
	}
	f := p.field
	if f.Type == TypeSection && f.Short != "" && !s.HasVariants(path) {
		short, _ := f.Section.Field(f.Short)
		short.Path = path + "." + short.Key
		return short, nil
	}
	return f, nil
}

// aim gives a free value of an axis the type, the range and all else of the
// field that the axis varies.
func (d Draft) aim(f Field) Field {
	if f.Type != TypeFree && f.Type != TypeValues || d.of == nil {
		return f
	}
	axis, ok := d.v.Addr().Interface().(*Axis)
	if !ok {
		return f
	}
	target, err := d.of.target(axis.Path)
	if err != nil || target.Section != nil || target.Type.many() {
		return f
	}
	aimed := target
	aimed.Path, aimed.Key, aimed.Doc, aimed.index = f.Path, f.Key, f.Doc, f.index
	aimed.aim = target.Key
	if aimed.Type == TypeStart {
		aimed.Type = TypeText // one of its rules
	}
	if f.difference {
		aimed = aimed.ofDifference()
	}
	if f.Type == TypeValues {
		aimed.Type, aimed.item = TypeValues, aimed.Type
	}
	return aimed
}

// ofDifference describes the difference of two values of the field.
func (f Field) ofDifference() Field {
	if f.Dimension == Temperature {
		f.Dimension, f.Example = Difference, "2 K"
	}
	f.Min, f.Max = 0, f.Max-f.Min
	return f
}

// Scalar returns the number by which a value of the field is stated, and what
// it measures: a speed may be a rate, a share or a level. ok is false for words
// and for what states nothing.
func (v Value) Scalar(f Field) (x float64, measures Dimension, ok bool) {
	switch {
	case v.Type == TypeNumber:
		return v.Number, f.Dimension, true
	case v.Type == TypePower && v.Power.Watts.Set:
		return v.Power.Watts.Value, PowerFlow, true
	case v.Type == TypePower:
		return v.Power.Share.Value, Ratio, true
	case v.Type == TypeSpeed && v.Speed.Rate.Set:
		return v.Speed.Rate.Value, RotationSpeed, true
	case v.Type == TypeSpeed && v.Speed.Share.Set:
		return v.Speed.Share.Value, Ratio, true
	case v.Type == TypeSpeed:
		return v.Speed.Level.Value, SoundLevel, true
	case v.Type == TypeRepeat && !v.Repeat.Forever:
		return float64(v.Repeat.Count), Count, true
	}
	return 0, None, false
}

// WithScalar returns the value with another number in the place of Scalar's. A
// word stays as it is.
func (v Value) WithScalar(x float64) Value {
	switch {
	case v.Type == TypeNumber:
		v.Number = x
	case v.Type == TypePower && v.Power.Watts.Set:
		v.Power.Watts.Value = x
	case v.Type == TypePower:
		v.Power.Share.Value = x
	case v.Type == TypeSpeed && v.Speed.Rate.Set:
		v.Speed.Rate.Value = x
	case v.Type == TypeSpeed && v.Speed.Share.Set:
		v.Speed.Share.Value = x
	case v.Type == TypeSpeed:
		v.Speed.Level.Value = x
	case v.Type == TypeRepeat && !v.Repeat.Forever:
		v.Repeat.Count = int(x)
	}
	return v
}

// Alike reports whether two values of one field are stated by the same sort of
// number: two rates, two shares of the same part.
func (v Value) Alike(w Value) bool { return v.WithScalar(0) == w.WithScalar(0) }
