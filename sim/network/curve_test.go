package network_test

import (
	"math"
	"testing"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/part"
)

// lost is the network of a wall that loses heat to ambient by a curve, and the
// rate of a lump of 1 J/K: the heat itself.
func lost(t *testing.T, reversed bool, heat func(d float64) (q, slope float64)) func(d float64) float64 {
	t.Helper()
	b := network.NewBuilder(nil)
	wall, ambient, out := b.Lump("wall", 1), b.Boundary("ambient"), b.Path("out")
	if reversed {
		b.Curve(ambient, wall, out, heat)
	} else {
		b.Curve(wall, ambient, out, heat)
	}
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in, dydt := n.Inputs(), make([]float64, 2)
	in.Temperature[0] = 512 // so that differences are exact
	n.SetInputs(in)
	return func(d float64) float64 {
		n.F(0, []float64{512 + d, 0}, dydt)
		if dydt[0] != -dydt[1] {
			t.Fatalf("the wall loses %g W and the path takes %g", -dydt[0], dydt[1])
		}
		return dydt[1]
	}
}

// A tube's and a reservoir's loss to still air is within 2e-4 of what is
// tabulated, but for the innermost quarter of a kelvin, where it is within 1 % of
// the loss at 1 K; it is zero without a difference and rises with it.
func TestCurveOfAWall(t *testing.T) {
	air, err := fluid.FastAir(101325, 0.008)
	if err != nil {
		t.Fatal(err)
	}
	rubber := part.Material{Density: 1200, SpecificHeat: 1000, Conductivity: 0.15, Emissivity: 0.9}
	for name, skin := range map[string]part.Skin{
		"tube":        part.TubeSkin(0.010, 0.016, 0.4, rubber),
		"narrow tube": part.TubeSkin(0.006, 0.008, 0.1, rubber),
		"reservoir":   part.ReservoirSkin(250e-6, rubber),
	} {
		heat := func(d float64) (q, slope float64) {
			q, slope, _ = skin.Loss(air, 295+d, 295)
			return q, slope
		}
		table := lost(t, false, heat)
		worst, where, before := 0.0, 0.0, math.Inf(-1)
		atOne, _ := heat(1)
		for k := -80 * 32; k <= 80*32; k++ {
			d := float64(k) / 32
			want, _ := heat(d)
			got := table(d)
			if k == 0 && got != 0 {
				t.Errorf("%s: %g W without a difference", name, got)
			}
			off := math.Abs(got - want)
			if math.Abs(d) < 0.25 && off > 0.01*atOne {
				t.Errorf("%s: off by %g W at %g K", name, off, d)
			}
			if off /= math.Abs(want); math.Abs(d) >= 0.25 && !(off <= worst) {
				worst, where = off, d
			}
			if !(got > before) {
				t.Errorf("%s: %g W at %g K, %g W before", name, got, d, before)
			}
			before = got
		}
		if worst > 2e-4 {
			t.Errorf("%s: off by %.1e at %g K", name, worst, where)
		}
	}
}

// Beyond 80 K a curve goes on in a straight line, and all along value and slope
// are continuous.
func TestCurveIsSmooth(t *testing.T) {
	heat := func(d float64) (q, slope float64) { return math.Sinh(d / 40), math.Cosh(d/40) / 40 }
	table := lost(t, false, heat)
	const step = 1. / 64
	for k := -100 * 64; k < 100*64; k++ {
		d := float64(k) * step
		second := table(d-step) - 2*table(d) + table(d+step)
		if !(math.Abs(second) <= 4*math.Sinh(2)/1600*step*step) {
			t.Fatalf("bends by %g at %g K", second, d)
		}
	}
	for _, sign := range []float64{-1, 1} {
		q, slope := heat(80 * sign)
		if got, want := table(180*sign), q+slope*100*sign; math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("%g W at %g K, want %g", got, 180*sign, want)
		}
	}
}

// Heat from a boundary to a lump is that of the difference the other way.
func TestCurveFromABoundary(t *testing.T) {
	heat := func(d float64) (q, slope float64) { // flows better one way than the other
		if d < 0 {
			return 2 * d, 2
		}
		return 2*d + d*d*d/400, 2 + 3*d*d/400
	}
	table := lost(t, true, heat)
	for _, d := range []float64{-40, -3, 0, 2, 56} {
		want, _ := heat(-d)
		if got := table(d); math.Abs(got+want) > 1e-13*math.Abs(want) {
			t.Errorf("%g W at %g K, want %g", got, d, -want)
		}
	}
}
