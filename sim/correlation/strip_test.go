package correlation_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
)

// Manglik & Bergles 1995, eqs. 34 and 35; computed independently in double precision.
func TestStripTable(t *testing.T) {
	fin := correlation.OffsetStripFin{Spacing: .25, Thickness: .03, Gap: .06}
	for _, c := range []struct {
		re   float64
		j, f string
	}{
		{300, ".027026", ".130806"}, {500, ".020839", ".089675"},
		{1000, ".014880", ".055312"}, {2000, ".010848", ".040042"},
	} {
		printed(t, fmt.Sprint("j at ", c.re), correlation.ColburnStrip(fin, c.re), c.j)
		printed(t, fmt.Sprint("f at ", c.re), correlation.FanningStrip(fin, c.re), c.f)
	}
	if r := correlation.StripRange(); r.Contains(119) || !r.Contains(120) || !r.Contains(1e4) || r.Contains(10001) {
		t.Errorf("range %v", r)
	}
}

// Thin fins: the hydraulic diameter tends to that of the plain passage, 2 s h/(s + h).
// A worked passage by hand: s 2, h 8, t 0.1, l 4 mm gives 256/81.8 mm.
func TestStripHydraulicDiameter(t *testing.T) {
	near(t, "thin", correlation.StripHydraulicDiameter(2e-3, 8e-3, 1e-12, 4e-3), 3.2e-3, 1e-8)
	near(t, "by hand", correlation.StripHydraulicDiameter(2e-3, 8e-3, 1e-4, 4e-3), 256e-3/81.8, 1e-12)
}

func TestStripProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		fin := correlation.OffsetStripFin{
			Spacing: positive(t, "alpha", -1.5, 0), Thickness: positive(t, "delta", -2, -.7), Gap: positive(t, "gamma", -2, -.7),
		}
		re := positive(t, "re", -3, 5)
		j, f := correlation.ColburnStrip(fin, re), correlation.FanningStrip(fin, re)
		if !(j > 0 && f > 0 && finite(j) && finite(f)) {
			t.Fatalf("j %g, f %g", j, f)
		}
		if correlation.ColburnStrip(fin, re*1.01) >= j || correlation.FanningStrip(fin, re*1.01) >= f {
			t.Fatalf("j or f rises with Re at %g", re)
		}
	})
	fin := correlation.OffsetStripFin{Spacing: .25, Thickness: .03, Gap: .06}
	for name, law := range map[string]func(correlation.OffsetStripFin, float64) float64{
		"j": correlation.ColburnStrip, "f": correlation.FanningStrip,
	} {
		if !smooth(func(u float64) float64 { return law(fin, math.Exp(u)) }, 3, 10) {
			t.Errorf("%s has a kink", name)
		}
	}
}

// Kays & London 1984: figures computed independently in double precision.
func TestCoreLossTable(t *testing.T) {
	flow := correlation.CoreFlow{
		MassVelocity: 4, InletDensity: 1.18, OutletDensity: 1.12, FreeArea: .7,
		Friction: .06, Length: .025, HydraulicDiameter: 4 * .0006, Entrance: .4, Exit: .1,
	}
	printed(t, "warmed air", correlation.CoreLoss(flow), "21.37046")
	flow.OutletDensity = 1.18
	printed(t, "constant density", correlation.CoreLoss(flow), "20.33898")
	// At constant density only the losses remain: G²/2ρ (Kc + Ke + 4 f L/Dh).
	near(t, "sum of losses", correlation.CoreLoss(flow), 16/2.36*(.4+.1+4*.06*.025/.0024), 1e-14)
}

// Kays 1950 for plates; figures computed independently in double precision.
func TestKaysLosses(t *testing.T) {
	for sigma, figures := range map[float64][2]string{
		.5: {".6377", ".0500"}, .6: {".5806", "-.0800"}, .7: {".5188", "-.1900"}, .8: {".4609", "-.2800"},
	} {
		printed(t, fmt.Sprint("Kc at ", sigma), correlation.CoreEntranceLoss(sigma, correlation.MomentumPlates), figures[0])
		printed(t, fmt.Sprint("Ke at ", sigma), correlation.CoreExitLoss(sigma, correlation.MomentumPlates), figures[1])
	}
	// A flat profile leaving into a large space loses its whole head; one that fills the face
	// loses nothing.
	near(t, "exit into the open", correlation.CoreExitLoss(0, correlation.MomentumTurbulent), 1, 1e-15)
	if got := correlation.CoreExitLoss(1, correlation.MomentumTurbulent); got != 0 {
		t.Errorf("exit without widening: %g", got)
	}
	for _, law := range []func(float64, float64) float64{correlation.CoreEntranceLoss, correlation.CoreExitLoss} {
		if law(-1, 1.2) != law(0, 1.2) || law(2, 1.2) != law(1, 1.2) {
			t.Error("not held outside 0..1")
		}
		for sigma := 0.0; sigma < 1; sigma += .01 {
			if law(sigma+.01, 1.2) >= law(sigma, 1.2) {
				t.Errorf("loss rises with the free area at %g", sigma)
			}
		}
	}
	order := []float64{correlation.MomentumTurbulent, correlation.MomentumPlates, correlation.MomentumSquare, correlation.MomentumTriangle}
	for i := 1; i < len(order); i++ {
		if correlation.CoreEntranceLoss(.7, order[i]) <= correlation.CoreEntranceLoss(.7, order[i-1]) {
			t.Errorf("a more peaked profile should lose more: %v", order)
		}
	}
	printed(t, "momentum of square and triangle", correlation.MomentumSquare+correlation.MomentumTriangle, "2.82")
}

// Momentum factors follow from the velocity profiles: 6/5 for plates is exact.
func TestMomentumOfPlates(t *testing.T) {
	square, cells := 0.0, 10000
	for i := range cells {
		y := (float64(i)+.5)/float64(cells)*2 - 1
		u := 1.5 * (1 - y*y)
		square += u * u / float64(cells)
	}
	near(t, "plates", correlation.MomentumPlates, square, 1e-6)
}

func ExampleCoreLoss() {
	loss := correlation.CoreLoss(correlation.CoreFlow{
		MassVelocity: 2.3, InletDensity: 1.18, OutletDensity: 1.14, FreeArea: 0.77,
		Friction: 0.09, Length: 0.03, HydraulicDiameter: 2.6e-3,
		Entrance: correlation.CoreEntranceLoss(0.77, correlation.MomentumPlates),
		Exit:     correlation.CoreExitLoss(0.77, correlation.MomentumPlates),
	})
	fmt.Printf("%.1f Pa\n", loss)
	// Output: 10.1 Pa
}
