package control_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/control"
)

type changes = []control.Change

// wave is a record that goes by ramps of steps through turns, seconds apart.
func wave(start, every float64, steps int, turns ...float64) changes {
	record := changes{{Time: start, Value: turns[0]}}
	for i := 1; i < len(turns); i++ {
		for k := 1; k <= steps; k++ {
			record = append(record, control.Change{
				Time:  start + (float64(i-1)+float64(k)/float64(steps))*every,
				Value: turns[i-1] + (turns[i]-turns[i-1])*float64(k)/float64(steps),
			})
		}
	}
	return record
}

func TestHuntingVerdicts(t *testing.T) {
	wiggled := wave(0, 60, 1, 0.3, 0.6, 0.59, 0.6, 0.3, 0.31, 0.3, 0.6, 0.59, 0.6, 0.3, 0.31, 0.3, 0.6, 0.59, 0.6, 0.3)
	for _, c := range []struct {
		name          string
		record        changes
		hunts         bool
		period, swing float64
		reversals     int
	}{
		{"a constant", changes{{0, 0.5}}, false, 0, 0, 0},
		{"a ramp", wave(0, 600, 20, 0.3, 0.9), false, 0, 0, 0},
		{"up and down again", wave(0, 100, 5, 0.3, 0.9, 0.3), false, 0, 0, 0},
		{"two reversals that are alike, and a start", wave(0, 100, 5, 0.4, 0.6, 0.4, 0.6), false, 0, 0, 0},
		{"three reversals", wave(0, 100, 5, 0.4, 0.6, 0.4, 0.6, 0.4), true, 200, 0.2, 3},
		{"a ramp up, then hunting about the level", wave(0, 100, 5, 0.2, 0.8, 0.75, 0.8, 0.75, 0.8), true, 200, 0.05, 4},
		{"overshoot that dies out", wave(0, 100, 4, 0.2, 0.8, 0.56, 0.66, 0.62, 0.636), false, 0, 0, 0},
		{"swings that grow more than twofold", wave(0, 100, 4, 0.5, 0.51, 0.48, 0.55, 0.38), false, 0, 0, 0},
		{"swings that shrink two and a half times", wave(0, 100, 1, 0.3, 0.6, 0.3, 0.5, 0.38), false, 0, 0, 0},
		{"swings of 1, then 0.6 to 0.4", wave(0, 100, 5, 0.5, 1, 0, 0.6, 0.2, 0.7, 0.3), true, 200, 0.475, 4},
		{"swings about as large as half the span", wave(0, 100, 2, -1, 1, 0, 1, 0.1, 1, 0, 1, 0.1, 1, 0, 1, 0.1, 1, 0, 1), true, 200, 13.4 / 14, 14},
		{"two rhythms, the first counts", changes{{0, 0.4}, {100, 0.6}, {200, 0.4}, {300, 0.6}, {400, 0.4}, {800, 0.6}, {1200, 0.4}, {1600, 0.6}}, true, 200, 0.2, 3},
		{"no rhythm", changes{{0, 0.4}, {100, 0.6}, {200, 0.4}, {400, 0.6}, {800, 0.4}, {1600, 0.6}}, false, 0, 0, 0},
		{"short up, long down", changes{{0, 0.4}, {100, 0.6}, {120, 0.4}, {200, 0.6}, {220, 0.4}, {300, 0.6}}, true, 100, 0.2, 4},
		{"small reversals on the way", wiggled, true, 360, 0.3, 5},
		{"only small ones", wave(0, 60, 1, 0.3, 0.6, 0.59, 0.6, 0.59, 0.6), true, 120, 0.01, 4},
	} {
		t.Run(c.name, func(t *testing.T) {
			v := control.Hunting(c.record, 0, 3600)
			if v.Hunts != c.hunts {
				t.Errorf("hunts: %v", v.Hunts)
			}
			near(t, "period", v.Period, c.period, 1e-9)
			near(t, "swing", v.Swing, c.swing, 1e-9)
			near(t, "reversals", float64(v.Reversals), float64(c.reversals), 0)
			near(t, "lasts", v.Lasts, float64(c.reversals)/2*c.period, 1e-9)
			if want := len(c.record) - 1; v.Changes != want || v.PerHour != float64(want) {
				t.Errorf("%d changes, %v per hour, want %d", v.Changes, v.PerHour, want)
			}
		})
	}
}

// What belongs to a span: the value that holds when it begins, a change at its
// beginning, not one at its end.
func TestHuntingSpan(t *testing.T) {
	record := changes{{0, 0}, {10, 0.5}, {20, 0}, {30, 0}, {50, 0.3}, {60, 0}, {90, 0.8}}
	for _, c := range []struct {
		from, to float64
		changes  int
		zero     float64
	}{
		{0, 100, 5, 10 + 30 + 30},
		{0, 90, 4, 10 + 30 + 30},
		{10, 60, 3, 30},
		{15, 25, 1, 5},
		{25, 55, 1, 25},
		{30, 40, 0, 10},
		{95, 200, 0, 0},
		{-20, 5, 0, 5},
		{-20, 0, 0, 0},
	} {
		v := control.Hunting(record, c.from, c.to)
		if v.Changes != c.changes || v.AtZero != c.zero {
			t.Errorf("%g to %g s: %d changes and %g s at zero, want %d and %g", c.from, c.to, v.Changes, v.AtZero, c.changes, c.zero)
		}
		near(t, "per hour", v.PerHour, float64(c.changes)*3600/(c.to-c.from), 1e-9)
	}
	if v := control.Hunting(nil, 0, 1); v != (control.Verdict{}) {
		t.Errorf("of nothing: %+v", v)
	}
}

// Property: a regular swing of at least three reversals is found with its period
// and size, whatever ramp leads up to it, on either side and at any scale.
func TestHuntingFindsARegularSwing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		half := rapid.Float64Range(1, 300).Draw(t, "half period")
		swing := rapid.Float64Range(0.01, 0.5).Draw(t, "swing") * rapid.SampledFrom([]float64{1, -1, 60}).Draw(t, "scale")
		jitter := func() float64 { return 1 + rapid.Float64Range(-0.15, 0.15).Draw(t, "jitter") }
		steps := rapid.IntRange(1, 6).Draw(t, "steps")
		turns := []float64{-swing * rapid.Float64Range(0, 5).Draw(t, "ramp")}
		for i := range rapid.IntRange(4, 15).Draw(t, "turns") {
			turns = append(turns, swing*float64((i+1)%2)*jitter())
		}
		record := wave(5, half, steps, turns...)
		v := control.Hunting(record, 0, 1e6)
		if !v.Hunts {
			t.Fatalf("%v does not hunt", turns)
		}
		near(t, "period", v.Period, 2*half, 1e-6*half)
		near(t, "swing", v.Swing, math.Abs(swing), 0.3*math.Abs(swing))
		upside := make(changes, len(record))
		for i, c := range record {
			upside[i] = control.Change{Time: c.Time, Value: -c.Value}
		}
		if u := control.Hunting(upside, 0, 1e6); u.Period != v.Period || u.Swing != v.Swing || !u.Hunts {
			t.Fatalf("upside down it is %+v, not %+v", u, v)
		}
	})
}

// Property: an output that only rises, or rises and falls once, never hunts.
func TestHuntingLeavesRampsAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var record changes
		at, y := 0.0, 0.0
		n := rapid.IntRange(1, 60).Draw(t, "changes")
		turn := rapid.IntRange(0, n).Draw(t, "turn")
		for i := range n {
			record = append(record, control.Change{Time: at, Value: y})
			at += rapid.Float64Range(0.1, 10).Draw(t, "after")
			step := rapid.Float64Range(0, 0.1).Draw(t, "step")
			if i >= turn {
				step = -step
			}
			y += step
		}
		if v := control.Hunting(record, 0, at); v.Hunts {
			t.Fatalf("%+v", v)
		}
	})
}

// A steep sampled curve on a plant of four lags hunts with the period of the
// plant's own cycles, counted from the upward passages of a mid output; a flatter
// one with hysteresis comes to rest.
func TestHuntingOfALoop(t *testing.T) {
	spec := control.SampledSpec{Period: 2, Max: 1, Resolution: 0.01,
		Curve: newCurve(t, 0, control.Point{In: 39.5, Out: 0.2}, control.Point{In: 40.5, Out: 1})}
	record, passages := loop(t, spec)
	v := control.Hunting(record, 3600, 7200)
	if !v.Hunts || len(passages) < 10 {
		t.Fatalf("%+v with %d cycles", v, len(passages))
	}
	cycles := float64(len(passages) - 1)
	want := (passages[len(passages)-1] - passages[0]) / cycles
	near(t, "period", v.Period, want, 0.02*want)
	near(t, "reversals", float64(v.Reversals), 2*cycles, 4)
	near(t, "lasts", v.Lasts, 3600, 2*want)

	spec.Curve = newCurve(t, 0, control.Point{In: 35, Out: 0.2}, control.Point{In: 55, Out: 1})
	spec.Hysteresis = control.UpDown{Up: 2, Down: 2}
	record, _ = loop(t, spec)
	if v := control.Hunting(record, 3600, 7200); v.Hunts || v.Changes != 0 {
		t.Errorf("with hysteresis: %+v", v)
	}
}

// loop runs two hours of a controller on four lags in a row, and returns the
// outputs and the upward passages of 0.5 in the second hour.
func loop(t *testing.T, spec control.SampledSpec) (record changes, passages []float64) {
	c := newSampled(t, spec)
	s := c.Begin(0.2)
	p := plant{x: 25, rise: 9, tau: 60}
	lags := [3]float64{25, 25, 25}
	record = changes{{0, s.Output()}}
	for k := range 3600 {
		before := s.Output()
		u, changed := c.Step(&s, c.Time(k), lags[2])
		if changed {
			record = append(record, control.Change{Time: c.Time(k), Value: u})
		}
		if c.Time(k) > 3600 && before < 0.5 && u >= 0.5 {
			passages = append(passages, c.Time(k))
		}
		p.advance(u, 2)
		into := p.x
		for i := range lags {
			lags[i] += (into - lags[i]) * (1 - math.Exp(-2.0/20))
			into = lags[i]
		}
	}
	return record, passages
}
