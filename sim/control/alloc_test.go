package control_test

import (
	"testing"

	"soakledger/sim/control"
)

// Nothing that runs with the integration allocates.
func TestNothingAllocates(t *testing.T) {
	curve := newCurve(t, control.Smoothing, control.Point{In: 300, Out: 0.2}, control.Point{In: 320, Out: 1})
	onCurve := newSampled(t, control.SampledSpec{Period: 1, Window: 9, Max: 1, Curve: curve})
	onPI := newSampled(t, control.SampledSpec{Period: 1, Max: 1, PI: &control.PI{Setpoint: 310, Gain: 0.01, Integral: 60}})
	a, b := onCurve.Begin(0.5), onPI.Begin(0.5)
	limits := control.PowerLimits{{Long: 125, Short: 253, Tau: 56}, {Long: 200, Short: 300, Tau: 1}}
	regimes, averages := make([]control.Regime, 2), []float64{100, 180}
	guard, err := control.NewChatter([]string{"cpu.throttle"}, 5)
	if err != nil {
		t.Fatal(err)
	}
	k, x := 0, 300.0
	if n := testing.AllocsPerRun(200, func() {
		k, x = k+1, x+0.1
		curve.At(x)
		ahead := a
		onCurve.Step(&ahead, onCurve.Time(k), x)
		a = ahead
		onPI.Step(&b, onPI.Time(k), x)
		onCurve.Rests(x)
		limits.Next(regimes, 10*(x-295), averages)
		if err := guard.Switched(0, float64(k)); err != nil {
			t.Fatal(err)
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
