package control_test

import (
	"math"
	"strings"
	"testing"

	"soakledger/sim/control"
)

// sample is one line of a table: an input and the output from there on.
type sample struct{ input, output float64 }

// follow gives a controller the inputs of a table from a state, and checks
// output and change sample by sample.
func follow(t *testing.T, c *control.Sampled, s control.SampledState, table []sample) {
	t.Helper()
	before := s.Output()
	for k, x := range table {
		got, changed := c.Step(&s, c.Time(k), x.input)
		if math.Abs(got-x.output) > 1e-12 || changed != (got != before) || s.Output() != got {
			t.Errorf("sample %d at %g s of %g: %v, changed %v; want %v after %v", k, c.Time(k), x.input, got, changed, x.output, before)
		}
		before = got
	}
}

// The diagram of the package comment.
func TestSampledDiagram(t *testing.T) {
	c := newSampled(t, control.SampledSpec{
		Period: 1, Max: 1, Curve: percent(t), Resolution: 0.01,
		Hysteresis: control.UpDown{Up: 2, Down: 3}, Hold: control.UpDown{Up: 2}, Slew: control.UpDown{Up: 0.1},
	})
	follow(t, c, c.Settled(30), []sample{
		{30, 0.30}, {32, 0.30}, {33, 0.30}, {60, 0.40}, {60, 0.50}, {60, 0.60}, {59, 0.60}, {56, 0.56}, {50, 0.50},
	})
}

// link is a controller with some links of the chain in use, and what it does.
// Unless stated, the period is 1 s, the maximum 1 and the curve percent.
type link struct {
	spec  control.SampledSpec
	start float64 // settled at this input
	table []sample
}

func followLinks(t *testing.T, links map[string]link) {
	t.Helper()
	for name, c := range links {
		t.Run(name, func(t *testing.T) {
			if c.spec.Period == 0 {
				c.spec.Period = 1
			}
			if c.spec.Max == 0 {
				c.spec.Max = 1
			}
			if c.spec.Curve == nil {
				c.spec.Curve = percent(t)
			}
			k := newSampled(t, c.spec)
			follow(t, k, k.Settled(c.start), c.table)
		})
	}
}

// The links in front of the curve, worked out by hand from their definitions.
func TestSampledInput(t *testing.T) {
	followLinks(t, map[string]link{
		"nothing but the curve": {control.SampledSpec{}, 20,
			[]sample{{20, 0.2}, {33.3, 0.333}, {5, 0.05}, {0, 0}, {150, 1}}},
		"mean of the last 3 samples, 5 s to 6 s": {control.SampledSpec{Period: 2, Window: 5.5}, 30,
			[]sample{{60, 0.4}, {60, 0.5}, {60, 0.6}, {30, 0.5}, {0, 0.3}, {0, 0.1}, {0, 0}}},
		"a window of exactly 3 periods": {control.SampledSpec{Period: 0.1, Window: 3 * 0.1}, 30,
			[]sample{{60, 0.4}, {60, 0.5}, {60, 0.6}, {60, 0.6}}},
		"hysteresis takes the mean's value": {control.SampledSpec{Hysteresis: control.UpDown{Up: 2, Down: 4}}, 50,
			[]sample{{51.9, 0.5}, {52, 0.52}, {53.9, 0.52}, {48.1, 0.52}, {48, 0.48}, {49.9, 0.48}, {50, 0.5}}},
		"no hysteresis up": {control.SampledSpec{Hysteresis: control.UpDown{Down: 4}}, 50,
			[]sample{{51, 0.51}, {48, 0.51}, {52, 0.52}, {48, 0.48}}},
		"hold down 3 s, broken once": {control.SampledSpec{Hold: control.UpDown{Down: 3}}, 50,
			[]sample{{40, 0.5}, {40, 0.5}, {50, 0.5}, {40, 0.5}, {41, 0.5}, {42, 0.5}, {43, 0.43}, {44, 0.44}}},
		"a turn of direction starts the wait anew": {control.SampledSpec{Hold: control.UpDown{Up: 2, Down: 2}}, 50,
			[]sample{{40, 0.5}, {60, 0.5}, {40, 0.5}, {40, 0.5}, {40, 0.4}}},
		"hold that is no whole number of periods": {control.SampledSpec{Period: 2, Hold: control.UpDown{Up: 3}}, 50,
			[]sample{{60, 0.5}, {60, 0.5}, {60, 0.6}}},
		"hold of 3 periods that are no binary fraction": {control.SampledSpec{Period: 0.1, Hold: control.UpDown{Up: 0.3}}, 50,
			[]sample{{60, 0.5}, {60, 0.5}, {60, 0.5}, {60, 0.6}}},
		"and whose times differ by less than 0.3 in rounding": {control.SampledSpec{Period: 0.1, Hold: control.UpDown{Up: 0.3}}, 50,
			[]sample{{50, 0.5}, {50, 0.5}, {50, 0.5}, {50, 0.5}, {50, 0.5}, {50, 0.5}, {60, 0.5}, {60, 0.5}, {60, 0.5}, {60, 0.6}}},
	})
}

// The links behind it, and standing.
func TestSampledOutput(t *testing.T) {
	followLinks(t, map[string]link{
		"slew": {control.SampledSpec{Period: 2, Slew: control.UpDown{Up: 0.05, Down: 0.1}}, 50,
			[]sample{{100, 0.6}, {100, 0.7}, {75, 0.75}, {20, 0.55}, {20, 0.35}, {20, 0.2}, {20, 0.2}}},
		"slew slower than the resolution": {control.SampledSpec{Slew: control.UpDown{Up: 0.004}, Resolution: 0.01}, 50,
			[]sample{{52, 0.5}, {52, 0.51}, {52, 0.51}, {52, 0.52}, {52, 0.52}}},
		"limits": {control.SampledSpec{Min: 0.25, Max: 0.8}, 50,
			[]sample{{10, 0.25}, {25, 0.25}, {26, 0.26}, {90, 0.8}}},
		"resolution of 5 %, halves up": {control.SampledSpec{Resolution: 0.05}, 50,
			[]sample{{52.4, 0.5}, {52.6, 0.55}, {62.5, 0.65}, {57.4, 0.55}}},
		"rounding stays within limits": {control.SampledSpec{Resolution: 0.1, Min: 0.12, Max: 0.87}, 50,
			[]sample{{100, 0.87}, {0, 0.12}, {50, 0.5}}},
		"stop and start": {control.SampledSpec{Start: 0.3, Stop: 0.2}, 50,
			[]sample{{20, 0.2}, {19.9, 0}, {25, 0}, {29.9, 0}, {30, 0.3}, {25, 0.25}, {19, 0}}},
		"a start jumps to start, then slews": {control.SampledSpec{Start: 0.3, Stop: 0.2, Slew: control.UpDown{Up: 0.1, Down: 0.1}}, 10,
			[]sample{{60, 0.3}, {60, 0.4}, {60, 0.5}, {10, 0.4}, {10, 0.3}, {10, 0.2}, {10, 0}, {25, 0}}},
		"a start jumps to the minimum": {control.SampledSpec{Min: 0.4, Start: 0.3, Zero: control.Zero{On: true, Below: 20}, Slew: control.UpDown{Up: 0.1}}, 10,
			[]sample{{60, 0.4}, {60, 0.5}}},
		"zero below 30, back at 35": {control.SampledSpec{Min: 0.2, Zero: control.Zero{On: true, Below: 30, Band: 5}}, 50,
			[]sample{{31, 0.31}, {30, 0}, {34.9, 0}, {35, 0.35}, {31, 0.31}, {10, 0}}},
		"zero without a band": {control.SampledSpec{Zero: control.Zero{On: true, Below: 30}}, 50,
			[]sample{{30, 0}, {30.1, 0.301}, {30, 0}}},
		"zero takes the mean, not the held input": {control.SampledSpec{
			Window: 2, Hysteresis: control.UpDown{Up: 50, Down: 50}, Hold: control.UpDown{Up: 99, Down: 99}, Zero: control.Zero{On: true, Below: 30, Band: 5}}, 40,
			[]sample{{22, 0.4}, {30, 0}, {40, 0.4}}},
		"zero slows down to the minimum, then stands": {control.SampledSpec{Min: 0.2, Slew: control.UpDown{Down: 0.1}, Zero: control.Zero{On: true, Below: 30}}, 45,
			[]sample{{20, 0.35}, {20, 0.25}, {20, 0}, {20, 0}}},
		"a curve that falls": {control.SampledSpec{Hysteresis: control.UpDown{Up: 5, Down: 1},
			Curve: newCurve(t, 0, control.Point{In: 0, Out: 1}, control.Point{In: 100, Out: 0})}, 40,
			[]sample{{44, 0.6}, {45, 0.55}, {44, 0.56}}},
	})
}

// A controller that begins takes its first sample as it is, but slews from the
// output given.
func TestSampledBegins(t *testing.T) {
	spec := control.SampledSpec{
		Period: 1, Max: 1, Curve: percent(t), Window: 2,
		Hysteresis: control.UpDown{Up: 30, Down: 30}, Hold: control.UpDown{Up: 60, Down: 60}, Slew: control.UpDown{Up: 0.2, Down: 0.1},
	}
	c := newSampled(t, spec)
	follow(t, c, c.Begin(0.3), []sample{{60, 0.5}, {60, 0.6}, {60, 0.6}})
	follow(t, c, c.Begin(0.8), []sample{{60, 0.7}, {60, 0.6}})
	follow(t, c, c.Begin(0), []sample{{60, 0.2}, {60, 0.4}})
	spec.Min, spec.Start, spec.Stop, spec.Resolution = 0.25, 0.35, 0.3, 0.1
	c = newSampled(t, spec)
	for _, b := range []struct{ given, want float64 }{{0, 0}, {0.1, 0.3}, {0.44, 0.4}, {7, 1}} {
		s := c.Begin(b.given)
		near(t, "begun output", s.Output(), b.want, 1e-15)
	}
}

// The mean of a window that is not yet full is that of the samples there are.
func TestSampledFillsItsWindow(t *testing.T) {
	c := newSampled(t, control.SampledSpec{Period: 1, Max: 1, Curve: percent(t), Window: control.MaxWindow})
	follow(t, c, c.Begin(0), []sample{{10, 0.1}, {20, 0.15}, {60, 0.3}})
	s := c.Begin(0)
	for k := range 2 * control.MaxWindow {
		c.Step(&s, c.Time(k), float64(k%control.MaxWindow))
	}
	near(t, "mean of 0 to 63", s.Output(), 0.315, 1e-14)
}

// A settled controller stays where it is, whatever it is.
func TestSampledSettled(t *testing.T) {
	for _, input := range []float64{10, 22, 25, 30, 31, 47.3, 100} {
		c := newSampled(t, control.SampledSpec{
			Period: 1, Max: 0.9, Min: 0.1, Start: 0.3, Stop: 0.25, Curve: percent(t), Window: 7, Resolution: 0.01,
			Hysteresis: control.UpDown{Up: 2, Down: 1}, Slew: control.UpDown{Up: 0.1, Down: 0.1}, Zero: control.Zero{On: true, Below: 22, Band: 3},
		})
		s := c.Settled(input)
		want := s.Output()
		for k := range 20 {
			if got, changed := c.Step(&s, c.Time(k), input); got != want || changed {
				t.Fatalf("settled at %g with %v, it goes to %v", input, want, got)
			}
		}
	}
}

// Sample times are products, so that the millionth is as exact as the first, and
// After finds each of them from the one before.
func TestSampledTimes(t *testing.T) {
	c := newSampled(t, control.SampledSpec{Period: 0.1, Offset: 0.03, Max: 1, Curve: percent(t)})
	if k, at := c.After(-1); k != 0 || at != 0.03 {
		t.Errorf("the first sample is %d at %v", k, at)
	}
	if k, at := c.After(0.0299); k != 0 || at != 0.03 {
		t.Errorf("the sample after 0.0299 s is %d at %v", k, at)
	}
	for _, from := range []int{0, 999_990} {
		for k := from; k < from+3000; k++ {
			next, at := c.After(c.Time(k))
			if next != k+1 || at != 0.03+float64(k+1)*0.1 {
				t.Fatalf("after sample %d comes %d at %v", k, next, at)
			}
			if again, _ := c.After(math.Nextafter(c.Time(k), 0)); again != k {
				t.Fatalf("just before sample %d the next is %d", k, again)
			}
		}
	}
}

// Where a controller rests after a slow rise and a slow fall is where stepping
// it slowly takes it.
func TestSampledRests(t *testing.T) {
	specs := map[string]control.SampledSpec{
		"hysteresis":       {Hysteresis: control.UpDown{Up: 2, Down: 3}},
		"start and stop":   {Start: 0.4, Stop: 0.3},
		"with hysteresis":  {Start: 0.4, Stop: 0.3, Hysteresis: control.UpDown{Up: 1, Down: 1}},
		"never starts":     {Start: 0.9, Stop: 0.3, Max: 0.9, Curve: newCurve(t, 0, control.Point{In: 0, Out: 0.1}, control.Point{In: 100, Out: 0.8})},
		"always turns":     {Start: 0.4, Stop: 0.1, Min: 0.2},
		"zero and minimum": {Min: 0.2, Zero: control.Zero{On: true, Below: 35, Band: 10}},
		"zero and start":   {Start: 0.5, Stop: 0.2, Zero: control.Zero{On: true, Below: 35, Band: 3}, Hysteresis: control.UpDown{Up: 2}},
	}
	for name, spec := range specs {
		t.Run(name, func(t *testing.T) {
			spec.Period, spec.Max = 1, max(spec.Max, 0.95)
			if spec.Curve == nil {
				spec.Curve = percent(t)
			}
			c := newSampled(t, spec)
			const step = 0.01
			for _, input := range []float64{5, 21, 33, 36, 39.5, 44, 47, 52, 80, 99} {
				rising, falling, ok := c.Rests(input)
				if !ok {
					t.Fatal("a controller on a curve has no rests")
				}
				up, down := c.Settled(-50), c.Settled(-50)
				k := 0
				for x := -50.0; x < input; x += step {
					c.Step(&up, float64(k), x)
					k++
				}
				c.Step(&up, float64(k), input)
				for x := -50.0; x < 150; x += 0.5 {
					c.Step(&down, 0, x)
				}
				for x := 150.0; x > input; x -= step {
					c.Step(&down, 0, x)
				}
				c.Step(&down, 0, input)
				// Hysteresis moves in steps of its own size: the output lies between the
				// furthest lag, which Rests gives, and none. Without it, it is met.
				most, least := rising, falling
				if spec.Hysteresis.Up > 0 {
					most = max(rising, spec.Curve.Exact(input))
				}
				if spec.Hysteresis.Down > 0 {
					least = min(falling, spec.Curve.Exact(input))
				}
				between(t, "rising", input, up.Output(), rising, most)
				between(t, "falling", input, down.Output(), least, falling)
			}
		})
	}
}

func between(t *testing.T, name string, input, got, low, high float64) {
	t.Helper()
	if got < low-1e-9 || got > high+1e-9 {
		t.Errorf("%s, input %g: %v, want %v to %v", name, input, got, low, high)
	}
}

func TestNewSampledRefuses(t *testing.T) {
	good := control.SampledSpec{Period: 1, Max: 1, Start: 0.3, Stop: 0.2, Curve: percent(t)}
	if _, err := control.NewSampled(good); err != nil {
		t.Fatal(err)
	}
	pi := &control.PI{Setpoint: 310, Gain: 0.05, Integral: 300}
	for say, change := range map[string]func(*control.SampledSpec){
		"period is 0, but must be finite and above 0": func(s *control.SampledSpec) { s.Period = 0 },
		"offset":                                func(s *control.SampledSpec) { s.Offset = -1 },
		"window is 65, but must lie in 0 to 64": func(s *control.SampledSpec) { s.Window = 65 },
		"hysteresis up is -1, but must be a number of at least 0": func(s *control.SampledSpec) { s.Hysteresis.Up = -1 },
		"hysteresis down":                       func(s *control.SampledSpec) { s.Hysteresis.Down = math.NaN() },
		"hold up":                               func(s *control.SampledSpec) { s.Hold.Up = -1 },
		"hold down":                             func(s *control.SampledSpec) { s.Hold.Down = math.Inf(1) },
		"slew up":                               func(s *control.SampledSpec) { s.Slew.Up = -1 },
		"slew down":                             func(s *control.SampledSpec) { s.Slew.Down = -1 },
		"maximum":                               func(s *control.SampledSpec) { s.Max = 0 },
		"minimum":                               func(s *control.SampledSpec) { s.Min = 1.1 },
		"start":                                 func(s *control.SampledSpec) { s.Start = 1.1 },
		"stop is 0.4":                           func(s *control.SampledSpec) { s.Stop = 0.4 },
		"resolution":                            func(s *control.SampledSpec) { s.Resolution = 2 },
		"zero below is NaN, but must be finite": func(s *control.SampledSpec) { s.Zero.Below = math.NaN() },
		"zero band":                             func(s *control.SampledSpec) { s.Zero.Band = -1 },
		"a curve or a PI":                       func(s *control.SampledSpec) { s.Curve = nil },
		"one of them":                           func(s *control.SampledSpec) { s.PI = pi },
		"gain":                                  func(s *control.SampledSpec) { s.Curve, s.PI = nil, &control.PI{Integral: 1} },
		"integral time":                         func(s *control.SampledSpec) { s.Curve, s.PI = nil, &control.PI{Gain: 1} },
		"setpoint":                              func(s *control.SampledSpec) { s.Curve, s.PI = nil, &control.PI{math.NaN(), 1, 1} },
	} {
		spec := good
		change(&spec)
		if _, err := control.NewSampled(spec); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("error %v, want one with %q", err, say)
		}
	}
}
