package control_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/control"
)

// Of a constant power the average is that of the closed form, over any time; of a ramp
// P0 + s t it is P0 + s (t - tau) + (a - P0 + s tau) exp(-t/tau), which solves
// a' = (P - a)/tau.
func TestAverageOf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		l := control.PowerLimit{Long: 100, Short: 200, Tau: math.Exp(draw("tau", -4, 6))}
		a, p, s := draw("before", 0, 300), draw("power", 0, 300), draw("slope", -2, 2)
		h := l.Tau * math.Exp(draw("time", -12, 6))
		near(t, "constant", l.AverageOf(a, func(float64) float64 { return p }, h), l.Average(a, p, h), 1e-10*300)
		want := p + s*(h-l.Tau) + (a-p+s*l.Tau)*math.Exp(-h/l.Tau)
		near(t, "ramp", l.AverageOf(a, func(d float64) float64 { return p + s*d }, h), want, 1e-10*(300+math.Abs(s)*(h+l.Tau)))
	})
}

// The average meets Long when that closed form says so.
func TestMeets(t *testing.T) {
	l := control.PowerLimit{Long: 125, Short: 253, Tau: 56}
	at, met := l.Meets(20, func(float64) float64 { return 253 }, 1000)
	near(t, "constant", at, l.BoostLeft(20, 253), 1e-9)
	if _, early := l.Meets(20, func(float64) float64 { return 253 }, at*0.999); !met || early {
		t.Errorf("met %v, early %v", met, early)
	}
	if at, met := l.Meets(125, nil, 10); at != 0 || !met {
		t.Errorf("at Long it takes %g s, %v", at, met)
	}
	if _, met := l.Meets(20, func(float64) float64 { return 125 }, 1e6); met {
		t.Error("a power of Long brings the average there")
	}
	ramp := func(d float64) float64 { return 125 + d }
	at, _ = l.Meets(100, ramp, 1000)
	near(t, "average there", l.AverageOf(100, ramp, at), 125, 1e-9)
}

// Edges lie just outside of the band within which no regime changes.
func TestEdges(t *testing.T) {
	ls := control.PowerLimits{{Long: 100, Short: 200, Tau: 1}, {Long: 150, Short: math.Inf(1), Tau: 1}}
	for _, rising := range []bool{true, false} {
		var all []float64
		ls.Edges(rising, func(x float64) { all = append(all, x) })
		if len(all) != 3 {
			t.Fatalf("edges %v", all)
		}
		now := control.Limited
		if rising {
			now = control.Free
		}
		if next := ls[0].Next(now, all[0], 0); next == now {
			t.Errorf("rising %v: at %v W the regime stays %v", rising, all[0], now)
		}
	}
}
