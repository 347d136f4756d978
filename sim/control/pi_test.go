package control_test

import (
	"math"
	"testing"

	"soakledger/sim/control"
)

func newPI(t *testing.T, gain, integral float64) *control.Sampled {
	t.Helper()
	return newSampled(t, control.SampledSpec{Period: 2, Max: 1, PI: &control.PI{Setpoint: 40, Gain: gain, Integral: integral}})
}

// It begins at the output it finds, whatever the error, and from there rises by
// gain e period / integral time a sample while the error stays: 0.02 x 5 x 2 / 50.
func TestPIRamps(t *testing.T) {
	c := newPI(t, 0.02, 50)
	follow(t, c, c.Begin(0.3), []sample{{45, 0.3}, {45, 0.304}, {45, 0.308}, {40, 0.212}, {40, 0.212}, {35, 0.112}, {35, 0.108}})
}

// After an hour at full output it leaves the limit with the first sample at which
// proportional part and integral ask for less: the integral has not wound up.
func TestPIDoesNotWindUp(t *testing.T) {
	c := newPI(t, 0.02, 50)
	s := c.Begin(0.5)
	for k := range 1800 {
		c.Step(&s, c.Time(k), 60)
	}
	if s.Output() != 1 {
		t.Fatalf("after an hour it asks for %v", s.Output())
	}
	y, _ := c.Step(&s, c.Time(1800), 39)
	// At the limit gain e + integral was between 1 and one increment more,
	// 0.02 x 20 x 2 / 50; with e from 20 to -1 it is less by 0.02 x 21.
	if y < 1-0.42-1e-12 || y > 1-0.42+0.016 {
		t.Errorf("it leaves the limit with %v", y)
	}
	for k := range 1800 {
		c.Step(&s, c.Time(k), 20)
	}
	y, _ = c.Step(&s, c.Time(0), 41)
	if y > 0.42+1e-12 || y < 0.42-0.016 {
		t.Errorf("it leaves the lower limit with %v", y)
	}
}

// plant cools in proportion to the output: tau x' = ambient + rise / (0.2 + u) - x.
type plant struct{ x, rise, tau float64 }

func (p *plant) advance(u, dt float64) {
	end := 25 + p.rise/(0.2+u)
	p.x = end + (p.x-end)*math.Exp(-dt/p.tau)
}

// In a loop with a plant it brings the input to the setpoint, and to it again
// after the load has changed; the output there is that at which the plant rests
// at the setpoint: rise / 15 - 0.2.
func TestPIMeetsItsSetpoint(t *testing.T) {
	c := newPI(t, 0.01, 120)
	p := plant{x: 25, rise: 9, tau: 180}
	s := c.Begin(0.2)
	k := 0
	for _, rise := range []float64{9, 14, 6} {
		p.rise = rise
		for range 20_000 {
			u, _ := c.Step(&s, c.Time(k), p.x)
			p.advance(u, 2)
			k++
		}
		near(t, "input", p.x, 40, 1e-6)
		near(t, "output", s.Output(), rise/15-0.2, 1e-6)
	}
}

// Settled at the limits, and none at rest.
func TestPISettled(t *testing.T) {
	c := newSampled(t, control.SampledSpec{Period: 2, Min: 0.2, Max: 0.9, PI: &control.PI{Setpoint: 40, Gain: 0.02, Integral: 50}})
	for _, x := range []struct{ input, want float64 }{{41, 0.9}, {40, 0.2}, {30, 0.2}} {
		s := c.Settled(x.input)
		near(t, "settled", s.Output(), x.want, 0)
		y, changed := c.Step(&s, 0, x.input)
		if y != x.want || changed {
			t.Errorf("settled at %v, it goes on to %v", x.want, y)
		}
	}
	if _, _, ok := c.Rests(40); ok {
		t.Error("a PI has rests")
	}
}
