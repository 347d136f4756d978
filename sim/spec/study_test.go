package spec

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// bench is a sound scenario with variants of every sort of thing and a study in
// every way, over the tower.
func bench() *Scenario {
	s := tower().Named()
	rpm := func(x float64) Value { return SpeedValue(Speed{Rate: Some(x / 60)}) }
	s.Variants = []Variants{
		{Of: "front", Choices: []Variant{
			{Name: "slim", Part: &Part{Price: Some(70), Radiator: &Radiator{Core: Core{FinsPerInch: Some(18)}}}},
			{Name: "deep", Part: &Part{Price: Some(90), Holds: Some(6e-4), Radiator: &Radiator{Core: Core{FinsPerInch: Some(10)}, Drop: []FlowDrop{{Some(6e-5), Some(2500)}, {Some(8e-5), Some(4000)}}}}},
		}},
		{Of: "coolant", Choices: []Variant{{Name: "mixed", Coolant: &Coolant{Fluid: "ethylene glycol", VolumeShare: Some(0.3)}}}},
		{Of: "rear", Choices: []Variant{{Name: "quiet", Fan: &Fan{Noise: Some(20)}}}},
		{Of: s.Chips[0].Name, Choices: []Variant{{Name: "limited", Chip: &Chip{Limits: []Limit{{Long: Some(125), Time: Some(56)}}}}}},
	}
	s.Study = Study{
		Vary: []Axis{
			{Path: "front", Variants: []string{"all"}},
			{Path: "ambient", From: NumberValue(290), To: NumberValue(300), Step: NumberValue(5), Column: "room"},
			{Path: "top.fans.speed", Values: []Value{rpm(600), rpm(900)}},
			{Path: "solver.tolerance", From: NumberValue(1e-5), To: NumberValue(1e-3), Count: Some(3), Scale: "log"},
		},
		Keep: []Comparison{{Text: "front != slim", Left: Operand{Path: "front"}, Is: "!=", Right: Operand{Value: TextValue("slim")}}},
	}
	return s
}

func TestBenchIsSound(t *testing.T) {
	for _, p := range Check(bench()) {
		t.Error(p)
	}
}

// TestStudyPaths: what study and variants state is found by its path and can be
// changed there, without a trace in the original and in the hash.
func TestStudyPaths(t *testing.T) {
	s, before := bench(), bench()
	found := map[string]Value{}
	for f, v := range s.All() {
		if !unhashed(f) || !v.IsSet() {
			continue
		}
		found[f.Path] = v
		if got, err := s.Get(f.Path); err != nil || got != v {
			t.Errorf("%s: All says %v, Get %v, %v", f.Path, v, got, err)
		}
		if f.Key == "name" || strings.HasPrefix(f.Path, "study.keep") {
			if _, err := s.With(f.Path, v); err == nil || !strings.Contains(err.Error(), "cannot be set") {
				t.Errorf("%s can be set: %v", f.Path, err)
			}
			continue
		}
		c, err := s.With(f.Path, Value{})
		if err != nil {
			t.Errorf("%s: %v", f.Path, err)
			continue
		}
		if got, _ := c.Get(f.Path); got.IsSet() || Hash(c) != Hash(s) || !reflect.DeepEqual(s, before) {
			t.Errorf("%s: taken back it is %v; or the hash or the original changed", f.Path, got)
		}
	}
	for path, want := range map[string]Value{
		"study.vary[1].step":                   NumberValue(5),
		"study.vary[2].values[1]":              SpeedValue(Speed{Rate: Some(15)}),
		"study.vary[0].variants[0]":            TextValue("all"),
		"study.keep[0]":                        TextValue("front != slim"),
		"variants.front[1].name":               TextValue("deep"),
		"variants.front[1].core.fins_per_inch": NumberValue(10),
		"variants.front[1].drop[1].drop":       NumberValue(4000),
		"variants.coolant[0].fluid":            TextValue("ethylene glycol"),
		"variants.rear[0].noise":               NumberValue(20),
	} {
		if found[path] != want {
			t.Errorf("%s is %v, want %v", path, found[path], want)
		}
	}
}

// TestFreeValues: a value of an axis has the type, range and unit of what the
// axis varies; a difference of temperatures is none of them.
func TestFreeValues(t *testing.T) {
	s := bench()
	low, high := 233.15, 343.15 // of the room
	for path, want := range map[string]Field{
		"study.vary[1].from":      {Type: TypeNumber, Dimension: Temperature, Min: low, Max: high},
		"study.vary[1].step":      {Type: TypeNumber, Dimension: Difference, Min: 0, Max: high - low},
		"study.vary[1].deviation": {Type: TypeNumber, Dimension: Difference, Min: 0, Max: high - low},
		"study.vary[2].values[0]": {Type: TypeSpeed, Dimension: RotationSpeed, Min: 0, Max: 500, ByLevel: true},
		"study.vary[3].mode":      {Type: TypeNumber, Dimension: Difference, Min: 1e-9, Max: 1},
		"study.vary[0].from":      {Type: TypeFree, Min: math.Inf(-1), Max: math.Inf(1)},
	} {
		f, err := s.FieldAt(path)
		got := Field{Type: f.Type, Dimension: f.Dimension, Min: f.Min, Max: f.Max, ByLevel: f.ByLevel}
		if err != nil || !reflect.DeepEqual(got, want) || f.Path != path {
			t.Errorf("%s: %+v at %s, %v; want %+v", path, got, f.Path, err, want)
		}
	}
	if _, err := s.With("study.vary[1].from", NumberValue(500)); err == nil {
		t.Error("227 degC is taken for the room")
	}
	s.Study.Vary[1].Path = "study.vary[1].from" // about itself
	if f, err := s.FieldAt("study.vary[1].from"); err != nil || f.Type != TypeFree {
		t.Errorf("an axis about itself: %v, %v", f.Type, err)
	}
	if Check(s) == nil {
		t.Error("an axis about itself is sound")
	}
}

// TestVariantInPlace: a variant replaces what it states, lists as a whole, and
// leaves the rest; its own memory stays its own.
func TestVariantInPlace(t *testing.T) {
	s, before := bench(), bench()
	c, err := s.With("front", TextValue("deep"))
	if err != nil {
		t.Fatal(err)
	}
	want := bench()
	for p := range want.Parts() {
		if p.Name == "front" {
			p.Price, p.Holds, p.Radiator.Core.FinsPerInch = Some(90), Some(6e-4), Some(10)
			p.Radiator.Drop = []FlowDrop{{Some(6e-5), Some(2500)}, {Some(8e-5), Some(4000)}}
		}
	}
	if !reflect.DeepEqual(c, want) {
		t.Errorf("got %+v", c)
	}
	for p := range c.Parts() {
		if p.Name == "front" {
			p.Radiator.Drop[0].Drop = Some(1)
		}
	}
	if !reflect.DeepEqual(s, before) {
		t.Error("changing the design changed the variant")
	}
	if _, err := s.With("front", TextValue("wide")); err == nil {
		t.Error("a variant that is not there is set")
	}
}

// TestDesign is With one after the other, variants first, without the study.
func TestDesign(t *testing.T) {
	s := bench()
	var fields []Field
	for f := range s.All() {
		if f.Key != "name" && f.Key != KindKey && f.Path != "start" && !strings.Contains(f.Path, "log.") && !strings.HasPrefix(f.Path, "study.") && !strings.HasPrefix(f.Path, "variants.") {
			fields = append(fields, f)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		var changes []Change
		for range rapid.IntRange(0, 5).Draw(t, "changes") {
			f := rapid.SampledFrom(fields).Draw(t, "field")
			changes = append(changes, Change{f.Path, drawValue(t, f)})
		}
		want, err := s.With("front", TextValue("slim"))
		for _, c := range changes {
			if err == nil {
				want, err = want.With(c.Path, c.Value)
			}
		}
		if err != nil {
			t.Fatal(err)
		}
		got, err := s.Design(append(changes, Change{"front", TextValue("slim")}), false)
		if err != nil || !reflect.DeepEqual(got, want.Alone()) {
			t.Fatalf("got %+v, %v; want %+v", got, err, want)
		}
		if got.Study.Vary != nil || got.Variants != nil {
			t.Fatal("the design has a study of its own")
		}
	})
}

// TestAxisLevels counts values; the expected numbers are counted by hand.
func TestAxisLevels(t *testing.T) {
	s := bench()
	n := NumberValue
	for i, c := range []struct {
		axis Axis
		want int
	}{
		{s.Study.Vary[0], 2},
		{s.Study.Vary[1], 3},
		{s.Study.Vary[2], 2},
		{s.Study.Vary[3], 3},
		{Axis{Path: "ambient", From: n(300), To: n(290), Step: n(5)}, 3},
		{Axis{Path: "ambient", From: n(290), To: n(300), Step: n(3)}, 4},
		{Axis{Path: "ambient", From: n(290), To: n(290.3), Step: n(0.1)}, 4}, // 0.1 three times is not 0.3
		{Axis{Path: "ambient", From: n(290), To: n(300)}, 0},
		{Axis{Path: "ambient", Distribution: "uniform", Low: n(290), High: n(300)}, 0},
		{Axis{Path: "ambient", From: n(290), To: n(300), Step: n(1e-9)}, MostRuns + 1},
		{Axis{Path: "ambient"}, 0},
		{Axis{Path: "nowhere", From: n(1), To: n(2), Step: n(1)}, 0},
	} {
		if got := s.Levels(&c.axis); got != c.want {
			t.Errorf("axis %d has %d levels, want %d", i, got, c.want)
		}
	}
	for combine, want := range map[string]int{"": 2 * 3 * 2 * 3, "grid": 36, "one at a time": 1 + 10, "halton": 77} {
		s.Study.Combine, s.Study.Runs = combine, Some(77)
		if got := s.Designs(); got != want {
			t.Errorf("%s: %d designs, want %d", combine, got, want)
		}
	}
}

// TestGroups: axes with the same zip move together, in the order of the first.
func TestGroups(t *testing.T) {
	st := Study{Vary: []Axis{{Zip: "a"}, {}, {Zip: "b"}, {Zip: "a"}, {}}}
	want := []Group{{[]int{0, 3}}, {[]int{1}}, {[]int{2}}, {[]int{4}}}
	if got := st.Groups(); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	st.Combine = "zip"
	if got := st.Groups(); len(got) != 1 || !slices.Equal(got[0].Axes, []int{0, 1, 2, 3, 4}) {
		t.Errorf("zip gives %v", got)
	}
}

func TestScalar(t *testing.T) {
	f := Field{Dimension: Length}
	for _, c := range []struct {
		v    Value
		x    float64
		of   Dimension
		none bool
	}{
		{v: NumberValue(2), x: 2, of: Length},
		{v: PowerValue(Power{Watts: Some(3)}), x: 3, of: PowerFlow},
		{v: PowerValue(Power{Share: Some(0.5), Of: "cpu"}), x: 0.5, of: Ratio},
		{v: SpeedValue(Speed{Rate: Some(9)}), x: 9, of: RotationSpeed},
		{v: SpeedValue(Speed{Share: Some(0.4)}), x: 0.4, of: Ratio},
		{v: SpeedValue(Speed{Level: Some(30)}), x: 30, of: SoundLevel},
		{v: RepeatValue(Repeat{Count: 8}), x: 8, of: Count},
		{v: RepeatValue(Repeat{Forever: true}), none: true},
		{v: TextValue("plain"), none: true},
		{none: true},
	} {
		x, of, ok := c.v.Scalar(f)
		if x != c.x || of != c.of || ok == c.none {
			t.Errorf("%v: %v of %s, %t", c.v, x, of, ok)
		}
		w := c.v.WithScalar(7)
		if y, _, _ := w.Scalar(f); ok && y != 7 || !ok && w != c.v || !c.v.Alike(w) {
			t.Errorf("%v with 7 is %v", c.v, w)
		}
	}
	share := PowerValue(Power{Share: Some(0.5), Of: "cpu"})
	if share.Alike(PowerValue(Power{Share: Some(0.5), Of: "gpu"})) || share.Alike(PowerValue(Power{Watts: Some(0.5)})) {
		t.Error("shares of different parts are alike")
	}
}

func TestSplitComparison(t *testing.T) {
	for text, want := range map[string][3]string{
		"front.fans.speed <= 1300 rpm":    {"front.fans.speed", "<=", "1300 rpm"},
		"a<b":                             {"a", "<", "b"},
		" a  b ==  propylene   glycol ":   {"a b", "=", "propylene glycol"},
		"a = b":                           {"a", "=", "b"},
		"a!=b":                            {"a", "!=", "b"},
		"30 degC >= ambient.temperature":  {"30 degC", ">=", "ambient.temperature"},
		"front.core.thickness > 0.5 inch": {"front.core.thickness", ">", "0.5 inch"},
	} {
		left, is, right, err := SplitComparison(text)
		if got := [3]string{left, is, right}; got != want || err != nil {
			t.Errorf("%q: got %q, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "a", "a <", "< a", "a < b < c", "a !~ b", "a =! b", "a => b", "a <> b", "!a = b"} {
		if _, _, _, err := SplitComparison(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}

// FuzzSplitComparison: no text makes it panic, and what it accepts it reads the
// same when it is written from its pieces.
func FuzzSplitComparison(f *testing.F) {
	for _, text := range []string{"a <= 3 mm", "a==b", "!", "<>", "a < b < c", "\xff = \xff", "a\n=\tb"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		left, is, right, err := SplitComparison(text)
		if err != nil {
			return
		}
		l, i, r, err := SplitComparison(left + " " + is + " " + right)
		if l != left || i != is || r != right || err != nil || left == "" || right == "" {
			t.Fatalf("%q: %q %q %q, then %q %q %q, %v", text, left, is, right, l, i, r, err)
		}
	})
}
