package sim_test

import (
	"fmt"
	"testing"

	"soakledger/sim"
	"soakledger/sim/fluid"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// The facts of this file are common practice, no source. Nothing of the model is
// tuned to them.

// slab is a radiator of two 120 mm sections as the trade knows it.
type slab struct {
	thickness, fins float64 // mm, per inch
	holds           float64 // mL, as stated
}

// slabs are a thin and dense, a middling and a thick and open one.
var slabs = [3]slab{{20.5, 22, 108}, {35.5, 18, 164}, {45, 13, 232}}

// quietCube is a case of 18 L without a graphics card: a radiator at the bottom
// that draws in, with fans at a speed (rpm); as many exhaust fans at the top as
// given, at 1200 rpm; a small pump at 40 %; a chip of 178 W. All else is what is
// assumed where nothing is stated, a reservoir included, of which nothing is.
func quietCube(r slab, rpm float64, exhausts int) *spec.Scenario {
	s := base(22)
	s.Coolant.Fluid = "water"
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(178)}}
	s.Case = &spec.Case{Volume: spec.Some(18e-3),
		Fans: []spec.Fan{{Name: "exhaust", Moves: "out", Count: spec.Some(float64(exhausts)), Size: spec.Some(0.12), Speed: turns(1200)}}}
	rad := spec.Part{Kind: "radiator", Name: "rad", Radiator: &spec.Radiator{
		Size: spec.Some(0.24), Thickness: spec.Some(r.thickness * 1e-3), FinsPerInch: spec.Some(r.fins), Mount: "bottom", Fans: spec.Fans{Speed: turns(rpm)},
	}}
	pump := spec.Part{Kind: "pump", Pump: &spec.Pump{Class: "small", Speed: spec.Speed{Share: spec.Some(0.4)}}}
	hose := spec.Part{Kind: "tube", Tube: &spec.Tube{}}
	tank := spec.Part{Kind: "reservoir", Name: "tank", Reservoir: &spec.Reservoir{}}
	s.Loops = []spec.Loop{{Parts: []spec.Part{pump, hose, cooling("cpu"), hose, rad, hose, tank}}}
	s.Duration = spec.Some(3600)
	return s
}

// soaked is what a run of such a machine tells.
type soaked struct {
	level, slope, within float64 // degC; K/min over minutes 1 to 5; s until within 0.1 K
	volume, filled       float64 // mL and kg of the radiator
	perSection           float64 // W/K
}

func soak(t *testing.T, r slab, rpm float64, exhausts int) soaked {
	t.Helper()
	return soakOf(t, quietCube(r, rpm, exhausts), fmt.Sprintf("%4g mm, %2g fins per inch, %g rpm, %d exhausts", r.thickness, r.fins, rpm, exhausts))
}

func soakOf(t *testing.T, scenario *spec.Scenario, name string) soaked {
	t.Helper()
	res := run(t, scenario)
	p := res.Phases[0]
	if !p.Level.OK() || !p.Within[2].OK() {
		t.Fatalf("no level: %+v, %+v", p.Level, p.Within[2])
	}
	coolant := res.Plan.Subject.Column + "_c"
	w := res.Plan.Air[0]
	s := soaked{level: p.Level.Value - zeroCelsius, within: p.Within[2].Value, perSection: w.Conductance / 2}
	s.slope = (at(t, res.Trace, coolant, 300) - at(t, res.Trace, coolant, 60)) / 4
	s.volume, s.filled = weight(res)
	t.Logf("%s: %.2f degC, %.2f K/min, within 0.1 K after %4.1f min; %5.1f W/K, %4.1f m3/h at %4.1f Pa, case %5.2f Pa",
		name, s.level, s.slope, s.within/60, w.Conductance, 3600*w.Airflow, w.Drop, res.Plan.CaseAir.Pressure)
	return s
}

// weight returns the coolant in the radiator (mL) and what it weighs with it (kg).
// Copper and brass have one specific heat here, 380 J/(kg K).
func weight(r *sim.Result) (volume, filled float64) {
	const t = 295.15
	w := fluid.Water()
	for _, n := range r.Plan.Find("rad.coolant") {
		volume += r.Plan.Network.Capacity(n.Lump, t) / (w.Density(t) * w.SpecificHeat(t))
	}
	metal := 0.0
	for _, n := range r.Plan.Find("rad.metal") {
		metal += r.Plan.Network.Capacity(n.Lump, t) / 380
	}
	return volume * 1e6, metal + volume*w.Density(t)
}

// What the trade states of three thicknesses in a small case holds in bands, with
// one, two and three exhaust fans, whose number is not stated.
func TestThicknessInASmallCase(t *testing.T) {
	for _, exhausts := range []int{1, 2, 3} {
		var slow, fast [3]soaked
		for i, r := range slabs {
			slow[i], fast[i] = soak(t, r, 1200, exhausts), soak(t, r, 1500, exhausts)
		}
		thin, mid, thick := slow[0], slow[1], slow[2]
		t.Logf("stated: thin to middling about 1 K, to thick 1.7 K, 2 to 2.5 K by 1500 rpm; predicted %.2f K, %.2f K, and %.2f, %.2f and %.2f K",
			thin.level-mid.level, thin.level-thick.level, thin.level-fast[0].level, mid.level-fast[1].level, thick.level-fast[2].level)
		if !(thin.level > mid.level && thin.level > thick.level) || !(thin.slope > mid.slope && thin.slope > thick.slope) {
			t.Errorf("%d exhausts: the thin one is not the hottest and fastest: %+v", exhausts, slow)
		}
		spread := thin.level - min(mid.level, thick.level)
		if last := thin.level - thick.level; !(last > 0.3 && last < 2.5) {
			t.Errorf("%d exhausts: %.2f K from thin to thick, stated 1.7 K", exhausts, last)
		}
		for i := range slabs {
			gain := slow[i].level - fast[i].level
			if !(gain > spread && gain < 3) {
				t.Errorf("%d exhausts, %g mm: 1500 rpm bring %.2f K, stated 2 to 2.5 K and more than the thickness, %.2f K", exhausts, slabs[i].thickness, gain, spread)
			}
			switch what := fmt.Sprintf("%d exhausts, %g mm: 1500 rpm bring more than 1 K", exhausts, slabs[i].thickness); {
			case exhausts == 3:
				// Three exhaust fans drive more of the intake's air than its own fans do.
				fails(t, what, gain > 1, gain, [...]float64{0.84, 0.99, 0.85}[i])
			case !(gain > 1):
				t.Errorf("it does not hold that with %s: %.2f K", what, gain)
			}
			if worst := max(slow[i].within, fast[i].within); worst > 1800 {
				t.Errorf("%g mm: within 0.1 K after %.0f s", slabs[i].thickness, worst)
			}
		}
	}
}

// fails is for a fact that the model does not give: the test passes only while it
// fails as documented, by its figure within 0.05 of it, and says so.
func fails(t *testing.T, what string, holds bool, got, documented float64) {
	t.Helper()
	t.Logf("known failure of the model: it does not hold that with %s; it gives %.2f, documented is %.2f", what, got, documented)
	if holds {
		t.Errorf("%s: that holds now, by %.2f; make it a condition", what, got)
	}
	if !(got > documented-0.05 && got < documented+0.05) {
		t.Errorf("%s: it fails in another way than documented, by %.2f and not %.2f", what, got, documented)
	}
}

// That the thin one rises steepest over minutes 1 to 5 is a matter of the loop's
// size, which is not stated: without a reservoir, with some 0.35 L, it is so near
// its level within the first minute that the thick one overtakes it.
func TestThinRisesSteepest(t *testing.T) {
	for exhausts, documented := range map[int]float64{1: -0.07, 2: -0.09, 3: -0.10} {
		var slope [3]float64
		for i, r := range slabs {
			s := quietCube(r, 1200, exhausts)
			s.Loops[0].Parts = s.Loops[0].Parts[:6]
			slope[i] = soakOf(t, s, fmt.Sprintf("%4g mm, %d exhausts, no reservoir", r.thickness, exhausts)).slope
		}
		lead := slope[0] - max(slope[1], slope[2]) // K/min
		fails(t, fmt.Sprintf("%d exhausts and no reservoir the thin one rises steepest, K/min ahead", exhausts), lead > 0, lead, documented)
	}
}

// Volumes by the geometry lie within a quarter of what is stated, and filled the
// thickest weighs about twice the thinnest: stated is more than twice.
func TestBodiesOfThreeThicknesses(t *testing.T) {
	var filled [3]float64
	for i, r := range slabs {
		var volume float64
		volume, filled[i] = weight(run(t, quietCube(r, 1200, 1)))
		t.Logf("%g mm: stated %g mL, predicted %.0f mL (%+.0f %%), filled %.2f kg", r.thickness, r.holds, volume, 100*(volume/r.holds-1), filled[i])
		if volume < 0.75*r.holds || volume > 1.25*r.holds {
			t.Errorf("%g mm hold %.0f mL, stated are %g mL", r.thickness, volume, r.holds)
		}
	}
	if ratio := filled[2] / filled[0]; !(ratio > 1.7) {
		t.Errorf("filled the thick one weighs %.2f times the thin one", ratio)
	}
}

// On an open bench cores of usual measures come near the band that the trade has
// for a section of 120 mm: no less than half of its lower end, no more than a tenth
// over its upper one. What they have in the small case is logged beside it.
func TestSectionsBesideTheBand(t *testing.T) {
	for _, rpm := range []float64{500, 750, 1000, 1200, 1500, 1850} {
		band := part.SectionConductance(rpm/60, 0.12)
		for _, r := range slabs {
			s := quietCube(r, rpm, 2)
			cased := run(t, s).Plan.Air[0].Conductance / 2
			open := s.Clone()
			open.Case = nil
			for p := range open.Parts() {
				if p.Radiator != nil {
					p.Radiator.Mount = ""
				}
			}
			free := run(t, open).Plan.Air[0].Conductance / 2
			t.Logf("%4g rpm, %4g mm: %5.1f W/K for 120 mm on a bench, %5.1f in the case; the trade has %.1f to %.1f", rpm, r.thickness, free, cased, band.Low, band.High)
			if !(free > 0.5*band.Low && free < 1.1*band.High) {
				t.Errorf("%g rpm, %g mm: %.1f W/K for 120 mm on a bench, the trade has %.1f to %.1f", rpm, r.thickness, free, band.Low, band.High)
			}
		}
	}
}
