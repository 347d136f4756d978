package control_test

import (
	"testing"

	"soakledger/sim/control"
)

// Which controllers remember, by their figures alone.
func TestRemembers(t *testing.T) {
	for _, c := range []struct {
		what string
		with func(s *control.SampledSpec)
		want bool
	}{
		{"a plain curve", func(*control.SampledSpec) {}, false},
		{"a window", func(s *control.SampledSpec) { s.Window = 5 }, false},
		{"slew", func(s *control.SampledSpec) { s.Slew = control.UpDown{Up: 0.1, Down: 0.1} }, false},
		{"rounding", func(s *control.SampledSpec) { s.Resolution = 0.1 }, false},
		{"hysteresis up", func(s *control.SampledSpec) { s.Hysteresis.Up = 1 }, true},
		{"hysteresis down", func(s *control.SampledSpec) { s.Hysteresis.Down = 1 }, true},
		{"hold", func(s *control.SampledSpec) { s.Hold.Down = 1 }, true},
		{"a zero band", func(s *control.SampledSpec) { s.Zero = control.Zero{On: true, Below: 20, Band: 2} }, true},
		{"a curve that falls below what turns", func(s *control.SampledSpec) { s.Start, s.Stop = 0.3, 0.2 }, true},
		{"a PI", func(s *control.SampledSpec) {
			s.Curve, s.PI = nil, &control.PI{Setpoint: 40, Gain: 0.1, Integral: 60}
		}, true},
	} {
		s := control.SampledSpec{Period: 1, Max: 1, Curve: percent(t)}
		c.with(&s)
		if got := newSampled(t, s).Remembers(); got != c.want {
			t.Errorf("%s: remembers %v, want %v", c.what, got, c.want)
		}
	}
}

// Controllers are alike after inputs that are, and not after others: by what they hold,
// what is in their window, where their slew is, whether they stand, what a PI gathered.
func TestLike(t *testing.T) {
	base := control.SampledSpec{Period: 1, Max: 1, Curve: percent(t)}
	for _, c := range []struct {
		what string
		with func(s *control.SampledSpec)
		a, b []float64 // inputs
		like bool
	}{
		{"the same", func(*control.SampledSpec) {}, []float64{30, 60, 50}, []float64{30, 60, 50}, true},
		{"another past, forgotten", func(*control.SampledSpec) {}, []float64{30, 60, 50}, []float64{30, 10, 50}, true},
		{"another input", func(*control.SampledSpec) {}, []float64{50}, []float64{51}, false},
		{"next to the same", func(*control.SampledSpec) {}, []float64{50}, []float64{50 + 1e-7}, true},
		{"held elsewhere by hysteresis, rounded away", func(s *control.SampledSpec) { s.Hysteresis.Up, s.Resolution = 5, 0.1 }, []float64{52, 54}, []float64{54, 54}, false},
		{"waiting", func(s *control.SampledSpec) { s.Hold.Up = 9 }, []float64{50, 50}, []float64{50, 60}, false},
		{"another window", func(s *control.SampledSpec) { s.Window, s.Hysteresis.Up, s.Hysteresis.Down = 3, 50, 50 }, []float64{50, 50, 50}, []float64{50, 53, 50}, false},
		{"slewing", func(s *control.SampledSpec) { s.Slew.Up, s.Resolution = 0.01, 0.1 }, []float64{30, 30, 90}, []float64{30, 90, 90}, false},
		{"standing", func(s *control.SampledSpec) { s.Start, s.Stop = 0.3, 0.2 }, []float64{10, 25}, []float64{40, 25}, false},
		{"a zero band", func(s *control.SampledSpec) { s.Zero = control.Zero{On: true, Below: 20, Band: 5} }, []float64{30, 22}, []float64{10, 22}, false},
		{"what a PI gathered, rounded away", func(s *control.SampledSpec) {
			s.Curve, s.PI, s.Resolution = nil, &control.PI{Setpoint: 40, Gain: 0.1, Integral: 60}, 0.5
		}, []float64{42, 42}, []float64{42.5, 42}, false},
	} {
		s := base
		c.with(&s)
		controller := newSampled(t, s)
		run := func(inputs []float64) control.SampledState {
			state := controller.Begin(0.4)
			for k, x := range inputs {
				controller.Step(&state, controller.Time(k), x)
			}
			return state
		}
		a, b := run(c.a), run(c.b)
		if got := a.Like(&b, 1e-6, 1e-6); got != c.like {
			t.Errorf("%s: %v, want %v", c.what, got, c.like)
		}
		if a.Like(&b, 1e-6, 1e-6) != b.Like(&a, 1e-6, 1e-6) {
			t.Errorf("%s: depends on the order", c.what)
		}
	}
}
