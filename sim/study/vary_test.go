package study

import (
	"context"
	"math"
	"reflect"
	"slices"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/spec"
)

// shipped hands every shipped scenario to a test, with its figures to vary.
func shipped(t *testing.T, test func(t *testing.T, v *variations)) {
	for _, e := range scenarios.Shipped() {
		t.Run(e.Name, func(t *testing.T) {
			doc, err := scenarios.Load(e.Name)
			if err != nil {
				t.Fatal(err)
			}
			v, err := newVariations(doc.Scenario.Named(), 0)
			if err != nil {
				t.Fatal(err)
			}
			test(t, v)
		})
	}
}

// moved returns how far the watched levels move with a figure set to x, K.
func moved(t *testing.T, v *variations, f figure, x float64) float64 {
	t.Helper()
	s, err := v.with(f, x)
	if err != nil {
		t.Fatalf("%s: %v", f.Path, err)
	}
	l, err := sim.LevelsOf(s, v.at)
	if err != nil {
		t.Fatalf("%s: %v", f.Path, err)
	}
	most := 0.0
	for k, level := range levelsOf(l) {
		most = max(most, math.Abs(level.Value-v.levels[k].Value))
	}
	return most
}

// Stating an assumed figure as it was assumed changes nothing, so that what a
// variation does is the figure's own doing.
func TestStatingWhatIsAssumed(t *testing.T) {
	derived := 0
	shipped(t, func(t *testing.T, v *variations) {
		for _, f := range v.varied {
			if f.in != v.stated {
				derived++
			}
			if d := moved(t, v, f, f.Value); !(d <= 1e-6) {
				t.Errorf("stating %s moves a level by %g K", f.Path, d)
			}
		}
	})
	if derived == 0 {
		t.Error("no figure stands in the completed scenario alone")
	}
}

// A value that no scenario may state, as a whole or by itself, is refused.
func TestUnsound(t *testing.T) {
	doc, err := scenarios.Load("workstation")
	if err != nil {
		t.Fatal(err)
	}
	v, err := newVariations(doc.Scenario.Named(), 0)
	if err != nil {
		t.Fatal(err)
	}
	f, err := v.place(spec.Assumed{Path: "front.size", Dimension: spec.Length})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{0.25, 9} { // no row of fans, no such radiator
		if _, err := v.with(f, x); err == nil {
			t.Errorf("a size of %g m passes", x)
		}
	}
	if _, err := v.place(spec.Assumed{Path: "front.colour"}); err == nil {
		t.Error("a colour is varied")
	}
}

// What variants state is no part of the machine, so that any figure which it leaves open
// may be varied beside them.
func TestVariantsAreLeftOut(t *testing.T) {
	doc, err := scenarios.Read("variants", []byte(`
ambient: 24 degC
chips: [{name: gpu, power: 300 W}]
loop:
  - {part: pump, flow: 4 L/min}
  - {part: block}
  - {part: radiator, name: top, size: 360 mm, thickness: 30 mm, fins_per_inch: 16, fans: 900 rpm}
work: {on: 90 min, off: 45 min}
variants: {top: [{name: slim, empty: 860 g, full: 1010 g}]}
study: {vary: [{path: top, variants: all}]}
`))
	if err != nil {
		t.Fatal(err)
	}
	s := doc.Scenario.Named()
	with, err := BandOf(context.Background(), s, Settings{At: spec.Some(0)})
	if err != nil {
		t.Fatal(err)
	}
	without, err := BandOf(context.Background(), s.Alone(), Settings{At: spec.Some(0)})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(with.Terms, func(x Term) bool { return x.Path == "top.holds" }) || with.Failed != without.Failed || !reflect.DeepEqual(with, without) {
		t.Errorf("with variants %d terms fail, without %d", with.Failed, without.Failed)
	}
}

// What is left out for its dimension moves no level.
func TestLeftOut(t *testing.T) {
	count := 0
	shipped(t, func(t *testing.T, v *variations) {
		for _, a := range v.base.Plan.Assumed {
			if a.Text != "" || counts(a) || a.Path == roomPath {
				continue
			}
			count++
			f, err := v.place(a)
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range []float64{a.Low, a.High} {
				if d := moved(t, v, f, x); !(d <= 1e-6) {
					t.Errorf("%s at %g moves a level by %g K", a.Path, x, d)
				}
			}
		}
	})
	if count == 0 {
		t.Error("nothing is left out")
	}
}

// A share of the rated speed is a share, a rate is a rate.
func TestValueOfASpeed(t *testing.T) {
	speed := spec.Field{Type: spec.TypeSpeed}
	if got := value(speed, spec.Ratio, 0.6); got != spec.SpeedValue(spec.Speed{Share: spec.Some(0.6)}) {
		t.Errorf("a share is %v", got)
	}
	if got := value(speed, spec.RotationSpeed, 20); got != spec.NumberValue(20) {
		t.Errorf("a rate is %v", got)
	}
	if got := value(spec.Field{Type: spec.TypeNumber}, spec.Ratio, 0.6); got != spec.NumberValue(0.6) {
		t.Errorf("a ratio is %v", got)
	}
}

// What is worth varying is a number with a range.
func TestCounts(t *testing.T) {
	for _, c := range []struct {
		a    spec.Assumed
		want bool
	}{
		{spec.Assumed{Path: "room.conductance", Low: 1, High: 2, Dimension: spec.Conductance}, true},
		{spec.Assumed{Path: "tank.volume", Low: 1, High: 2, Dimension: spec.Volume}, true},
		{spec.Assumed{Path: "room.conductance", Low: 2, High: 2, Dimension: spec.Conductance}, false},
		{spec.Assumed{Path: "ambient.temperature", Low: 290, High: 300, Dimension: spec.Temperature}, false},
		{spec.Assumed{Path: "cpu.class", Text: "workstation"}, false},
		{spec.Assumed{Path: "room.capacity", Low: 1, High: 2, Dimension: spec.HeatCapacity}, false},
		{spec.Assumed{Path: "x.empty", Low: 1, High: 2, Dimension: spec.Mass}, false},
		{spec.Assumed{Path: "x.lag", Low: 1, High: 2, Dimension: spec.Time}, false},
		{spec.Assumed{Path: "x.price", Low: 1, High: 2, Dimension: spec.Price}, false},
	} {
		if got := counts(c.a); got != c.want {
			t.Errorf("counts(%+v) is %v", c.a, got)
		}
	}
}
