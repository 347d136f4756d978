package control_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/control"
)

var stop = []control.Effect{{Kind: control.PumpSpeed}}

func TestEffectsJoin(t *testing.T) {
	for _, c := range []struct {
		kind   control.EffectKind
		values []float64
		want   float64
	}{
		{control.PumpSpeed, nil, 1},
		{control.PumpSpeed, []float64{0.6, 0.8}, 0.6},
		{control.FanSpeed, []float64{0.5, 0}, 0},
		{control.FansFailed, []float64{1, 2}, 3},
		{control.CoreBlocked, nil, 0},
		{control.CoreBlocked, []float64{0.5, 0.5}, 0.75},
		{control.FlowRestriction, nil, 1},
		{control.FlowRestriction, []float64{2, 3}, 6},
		{control.CoolantLost, []float64{0.25, 0.2}, 0.4},
		{control.AmbientStep, []float64{5, -2}, 3},
	} {
		present := c.kind.Neutral()
		for _, v := range c.values {
			present = control.Effect{Kind: c.kind, Value: v}.Onto(present)
		}
		near(t, c.kind.String(), present, c.want, 1e-15)
	}
}

// Property: the order in which effects are added does not matter, and none of
// them ever leads out of what can be.
func TestEffectsJoinInAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := control.EffectKind(rapid.IntRange(int(control.PumpSpeed), int(control.AmbientStep)).Draw(t, "kind"))
		low, high := 0.0, 1.0
		switch kind {
		case control.FlowRestriction:
			low, high = 1, 50
		case control.CoreBlocked, control.CoolantLost:
			high = 0.95
		case control.FansFailed:
			high = 9
		case control.AmbientStep:
			low, high = -20, 20
		}
		values := rapid.SliceOfN(rapid.Float64Range(low, high), 1, 5).Draw(t, "values")
		join := func() float64 {
			x := kind.Neutral()
			for _, v := range values {
				x = control.Effect{Kind: kind, Value: v}.Onto(x)
			}
			return x
		}
		one := join()
		rand.New(rand.NewPCG(1, uint64(len(values)))).Shuffle(len(values), func(i, j int) { values[i], values[j] = values[j], values[i] })
		near(t, kind.String(), join(), one, 1e-12*(1+math.Abs(one)))
		if kind != control.FlowRestriction && kind != control.FansFailed && kind != control.AmbientStep && (one < 0 || one > 1) {
			t.Fatalf("%v of %v is %v", kind, values, one)
		}
	})
}

func TestFaultRefuses(t *testing.T) {
	when := func(observation int, level float64) *control.Condition {
		return &control.Condition{Observation: observation, Crossing: control.Crossing{Level: level}}
	}
	effect := func(k control.EffectKind, target int, value float64) control.Fault {
		return control.Fault{Effects: []control.Effect{{Kind: control.PumpSpeed, Value: 1}, {Kind: k, Target: target, Value: value}}}
	}
	for _, c := range []struct {
		fault control.Fault
		say   string
	}{
		{control.Fault{Name: "none"}, `fault "none": it has no effects`},
		{control.Fault{At: -1, Effects: stop}, "time is -1"},
		{control.Fault{At: math.NaN(), Effects: stop}, "time is NaN"},
		{control.Fault{At: 5, When: when(0, 300), Effects: stop}, "happens once"},
		{control.Fault{When: when(2, 300), Effects: stop}, "observation 2 is not one of 2"},
		{control.Fault{When: when(-1, 300), Effects: stop}, "observation -1"},
		{control.Fault{When: when(0, math.Inf(1)), Effects: stop}, "level +Inf"},
		{effect(0, 0, 0), "effect 2: EffectKind(0) is no kind"},
		{effect(99, 0, 0), "EffectKind(99) is no kind"},
		{effect(control.PumpSpeed, -1, 0), "target -1"},
		{effect(control.FanSpeed, 0, 1.1), "fan speed is 1.1"},
		{effect(control.FansFailed, 0, -1), "fans failed is -1"},
		{effect(control.CoreBlocked, 0, 0.96), "core blocked is 0.96"},
		{effect(control.FlowRestriction, 0, 0.5), "flow restriction is 0.5"},
		{effect(control.CoolantLost, 0, 1), "coolant lost is 1"},
		{effect(control.AmbientStep, 0, math.NaN()), "ambient step is NaN"},
	} {
		if err := c.fault.Check(2); err == nil || !strings.Contains(err.Error(), c.say) {
			t.Errorf("error %v, want one with %q", err, c.say)
		}
	}
	good := effect(control.FansFailed, 1, 2)
	if err := good.Check(0); err != nil {
		t.Error(err)
	}
}

// At one time faults come before limits and these before controllers, in file
// order; a shuffled list has one order only.
func TestEventOrder(t *testing.T) {
	want := []control.Event{
		{Time: 1, Kind: control.ControllerEvent, Index: 4},
		{Time: 2, Kind: control.FaultEvent, Index: 0},
		{Time: 2, Kind: control.FaultEvent, Index: 1},
		{Time: 2, Kind: control.LimitEvent, Index: 0},
		{Time: 2, Kind: control.ControllerEvent, Index: 0},
		{Time: 2, Kind: control.ControllerEvent, Index: 3},
		{Time: 2.5, Kind: control.FaultEvent, Index: 2},
	}
	for seed := range uint64(50) {
		got := slices.Clone(want)
		rand.New(rand.NewPCG(seed, 0)).Shuffle(len(got), func(i, j int) { got[i], got[j] = got[j], got[i] })
		slices.SortFunc(got, func(a, b control.Event) int {
			switch {
			case a.Before(b):
				return -1
			case b.Before(a):
				return 1
			}
			return 0
		})
		if !slices.Equal(got, want) {
			t.Fatalf("order %v", got)
		}
	}
	if want[0].Before(want[0]) {
		t.Error("an event is before itself")
	}
}
