package sim_test

import (
	"testing"

	"soakledger/scenarios"
	"soakledger/sim/assemble"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// The facts of this file are common practice, no source.

// A chip just under 180 W with one radiator of 240 mm and two quiet fans more
// or less reaches its coolant level within 30 minutes.
func TestSoakedWithinHalfAnHour(t *testing.T) {
	for _, rpm := range []float64{750, 900, 1000} {
		p := run(t, desktop(178, 0.7, rpm)).Phases[0]
		rise := p.Level.Value - p.Begin
		if !p.Response[2].OK() || p.Response[2].Value > 1800 || !p.Shortfall[3].OK() || p.Shortfall[3].Value > 0.05*rise || !(rise > 5 && rise < 25) {
			t.Errorf("at %g rpm: t95 %+v s, after 30 min %+v K of %g K are still to come", rpm, p.Response[2], p.Shortfall[3], rise)
		}
	}
}

// With more coolant in the loop it warms more slowly and cools more slowly.
func TestFillingTakesTime(t *testing.T) {
	soak := func(volume float64) (up, down float64) {
		s := desktop(178, 0.7, 900)
		s.Loops[0].Parts[0] = reservoir("res", volume)
		s.Chips[0].Idle = spec.Some(10)
		onOff(s, 7200, 7200, spec.Repeat{})
		s.Duration = spec.Number{}
		r := run(t, s)
		up, down = r.Phases[0].Response[0].Value, r.Phases[1].Response[0].Value
		if up <= 0 || down <= 0 {
			t.Fatalf("t63 of %g s up and %g s down", up, down)
		}
		return up, down
	}
	up, down := soak(100)
	for _, volume := range []float64{200, 400, 800} {
		slowerUp, slowerDown := soak(volume)
		if !(slowerUp > 1.05*up && slowerDown > 1.05*down) {
			t.Errorf("with %g mL t63 is %g s up and %g s down, with less %g s and %g s", volume, slowerUp, slowerDown, up, down)
		}
		up, down = slowerUp, slowerDown
	}
}

// The range of the class of desktop chips takes in 0.28 K/W, about 50 K from
// package to coolant at just under 180 W: an input of the trade, and no check
// of the model.
func TestDesktopRange(t *testing.T) {
	for _, c := range part.ChipClasses() {
		if d := c.DieToPlate; c.Name == "desktop with spreader" && !(d.Low < 0.28 && 0.28 < d.High) {
			t.Errorf("%g to %g K/W", d.Low, d.High)
		}
	}
}

// Whole loops hold what loops of their size hold (common practice, no source):
// small ones 350 to 600 mL and 1.5 to 2.5 kg of metal, mid ones 900 to 1300 mL
// and 3.5 to 5 kg, large ones 2 to 4 L and 8 to 12 kg. Of their heat capacity a
// half to three quarters is the coolant's.
func TestWholeLoops(t *testing.T) {
	for name, want := range map[string]struct{ volume, metal [2]float64 }{
		"small_desktop": {[2]float64{350, 600}, [2]float64{1.5, 2.5}},
		"workstation":   {[2]float64{900, 1300}, [2]float64{3.5, 5}},
		"large_loop":    {[2]float64{2000, 4000}, [2]float64{8, 12}},
	} {
		doc, err := scenarios.Load(name)
		if err != nil {
			t.Fatal(err)
		}
		p, err := assemble.Build(doc.Scenario)
		if err != nil {
			t.Fatal(err)
		}
		metal := p.MetalMass
		volume := p.CoolantVolume * 1e6
		coolant, rest := p.HeatCapacity()
		t.Logf("%s: %.0f mL, %.2f kg, coolant %.2f kJ/K, metal and walls %.2f kJ/K", name, volume, metal, coolant/1e3, rest/1e3)
		if volume < want.volume[0] || volume > want.volume[1] || metal < want.metal[0] || metal > want.metal[1] {
			t.Errorf("%s holds %.0f mL in %.2f kg of metal", name, volume, metal)
		}
		if share := coolant / (coolant + rest); share < 0.5 || share > 0.75 {
			t.Errorf("%s: %.2f of the heat capacity is the coolant's", name, share)
		}
	}
}
