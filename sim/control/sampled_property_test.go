package control_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/control"
)

// drawSpec draws a controller on a curve or a PI with any of its links in use.
func drawSpec(t *rapid.T) control.SampledSpec {
	draw := func(name string, choices ...float64) float64 { return rapid.SampledFrom(choices).Draw(t, name) }
	s := control.SampledSpec{
		Period:     draw("period", 0.1, 1, 2),
		Offset:     draw("offset", 0, 0.7),
		Window:     draw("window", 0, 1, 6),
		Hysteresis: control.UpDown{Up: draw("hysteresis up", 0, 1, 3), Down: draw("hysteresis down", 0, 2, 5)},
		Hold:       control.UpDown{Up: draw("hold up", 0, 0.3, 4), Down: draw("hold down", 0, 5)},
		Slew:       control.UpDown{Up: draw("slew up", 0, 0.03, 0.2), Down: draw("slew down", 0, 0.05)},
		Min:        draw("min", 0, 0.15, 0.3),
		Max:        draw("max", 0.62, 1),
		Resolution: draw("resolution", 0, 0.01, 0.07),
	}
	s.Start = draw("start", 0, 0.25, 0.4)
	s.Stop = s.Start * draw("stop", 0, 0.5, 1)
	if rapid.Bool().Draw(t, "zero") {
		s.Zero = control.Zero{On: true, Below: draw("below", 20, 35), Band: draw("band", 0, 4)}
	}
	if rapid.Bool().Draw(t, "pi") {
		s.PI = &control.PI{Setpoint: 45, Gain: draw("gain", 0.01, 0.1), Integral: draw("integral", 5, 100)}
	} else {
		s.Curve, _ = control.NewCurve([]control.Point{{In: 20, Out: draw("first", 0, 0.2)}, {In: 40, Out: 0.5}, {In: 70, Out: 1}}, 0)
	}
	return s
}

// drawInputs draws a walk of inputs with jumps, ramps and rests.
func drawInputs(t *rapid.T) []float64 {
	var inputs []float64
	x := rapid.Float64Range(10, 80).Draw(t, "from")
	for range rapid.IntRange(1, 8).Draw(t, "pieces") {
		slope := rapid.SampledFrom([]float64{0, 0, 0.3, -0.3, 2, -2}).Draw(t, "slope")
		for range rapid.IntRange(1, 20).Draw(t, "samples") {
			x += slope
			inputs = append(inputs, x)
		}
		x += rapid.SampledFrom([]float64{0, 30, -30, 1.5}).Draw(t, "jump")
	}
	return inputs
}

// play returns the outputs of a controller from a drawn beginning on.
func play(t *rapid.T, spec control.SampledSpec, inputs []float64) []float64 {
	c := newSampled(t, spec)
	s := c.Begin(rapid.SampledFrom([]float64{0, 0.5, 1}).Draw(t, "begin"))
	outputs := []float64{s.Output()}
	for k, x := range inputs {
		y, _ := c.Step(&s, c.Time(k), x)
		outputs = append(outputs, y)
	}
	return outputs
}

// Property: an output is 0, or within its limits and on its grid.
func TestSampledStaysWithinLimits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spec := drawSpec(t)
		least := max(spec.Min, spec.Stop)
		for k, y := range play(t, spec, drawInputs(t))[1:] {
			if y == 0 {
				continue
			}
			if y < least || y > spec.Max {
				t.Fatalf("sample %d: %v is not within %v to %v", k, y, least, spec.Max)
			}
			if n := y / spec.Resolution; spec.Resolution > 0 && y != least && y != spec.Max && math.Abs(n-math.Round(n)) > 1e-9 {
				t.Fatalf("sample %d: %v is not a multiple of %v", k, y, spec.Resolution)
			}
		}
	})
}

// Property: between any two samples of a fan that turns in between, the output
// changes no faster than the slew allows, but for one step of the resolution.
func TestSampledKeepsItsSlew(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spec := drawSpec(t)
		spec.Slew = control.UpDown{Up: 0.03, Down: 0.05}
		outputs := play(t, spec, drawInputs(t))
		for i, from := range outputs {
			for j := i + 1; j < len(outputs) && outputs[i] > 0 && outputs[j] > 0; j++ {
				span := float64(j-i) * spec.Period
				step := outputs[j] - from
				if step > spec.Slew.Up*span+spec.Resolution+1e-12 || -step > spec.Slew.Down*span+spec.Resolution+1e-12 {
					t.Fatalf("from %v to %v within %g s (samples %d to %d)", from, outputs[j], span, i, j)
				}
			}
		}
	})
}

// Property: noise that is smaller than the hysteresis on either side of the held
// input never changes the output of a settled controller on a curve.
func TestSampledIgnoresNoise(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		spec := drawSpec(t)
		spec.PI, spec.Zero = nil, control.Zero{}
		spec.Hysteresis = control.UpDown{Up: rapid.Float64Range(0.1, 3).Draw(t, "up"), Down: rapid.Float64Range(0.1, 3).Draw(t, "down")}
		spec.Curve = newCurve(t, 0, control.Point{In: 20, Out: 0.1}, control.Point{In: 70, Out: 1})
		c := newSampled(t, spec)
		at := rapid.Float64Range(25, 65).Draw(t, "at")
		s := c.Settled(at)
		want := s.Output()
		noise := rapid.SliceOfN(rapid.Float64Range(-0.999*spec.Hysteresis.Down, 0.999*spec.Hysteresis.Up), 1, 60).Draw(t, "noise")
		for k, n := range noise {
			if got, changed := c.Step(&s, c.Time(k), at+n); got != want || changed {
				t.Fatalf("noise of %v about %v changed %v to %v", n, at, want, got)
			}
		}
	})
}

// Property: stepping a copy tells what stepping the state will do, and leaves the
// state alone; two states that went the same way are the same.
func TestSampledLooksAhead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := newSampled(t, drawSpec(t))
		s := c.Begin(0.4)
		inputs := drawInputs(t)
		for k := 0; k < len(inputs); k += 5 {
			kept, ahead := s, s
			var seen []float64
			for i := k; i < min(k+5, len(inputs)); i++ {
				y, _ := c.Step(&ahead, c.Time(i), inputs[i])
				seen = append(seen, y)
			}
			if s != kept {
				t.Fatal("stepping a copy changed the state")
			}
			for i, want := range seen {
				if y, _ := c.Step(&s, c.Time(k+i), inputs[k+i]); y != want {
					t.Fatalf("sample %d gives %v, ahead of time %v", k+i, y, want)
				}
			}
			if s != ahead {
				t.Fatal("the state and the copy went apart")
			}
		}
	})
}

// Property: with a hold, an output that moves up has been asked to for that long:
// every sample of the hold before it lay above the input that was held.
func TestSampledHoldsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		const hold = 4 // samples of 1 s
		c := newSampled(t, control.SampledSpec{Period: 1, Max: 1, Curve: percent(t), Hold: control.UpDown{Up: hold, Down: hold}})
		inputs := drawInputs(t)
		s := c.Settled(inputs[0])
		for k, x := range inputs {
			before := s.Output()
			y, changed := c.Step(&s, c.Time(k), x)
			if !changed {
				continue
			}
			if k < hold {
				t.Fatalf("it changed at sample %d already", k)
			}
			for _, past := range inputs[k-hold : k+1] {
				if asked := min(max(past/100, 0), 1); (asked-before)*(y-before) < 0 {
					t.Fatalf("it went from %v to %v at sample %d though %v asked for %v", before, y, k, past, asked)
				}
			}
		}
	})
}
