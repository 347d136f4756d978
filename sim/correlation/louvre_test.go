package correlation_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
)

func louvredFin() correlation.LouvredFin {
	return correlation.LouvredFin{
		Angle: 27 * math.Pi / 180, FinPitch: 1.6e-3, LouvrePitch: 1.2e-3, FinLength: 8e-3, FinDepth: 25e-3,
		LouvreLength: 7e-3, TubePitch: 10e-3, TubeThickness: 2e-3, FinThickness: .08e-3, HydraulicDiameter: 2.5e-3,
	}
}

// Chang & Wang 1997; Chang et al. 2000 with the amendment of 2006. Computed independently
// in double precision from the formulas.
func TestLouvreTable(t *testing.T) {
	fin := louvredFin()
	for _, c := range []struct {
		re   float64
		j, f string
	}{
		{100, ".043740", ".267233"}, {130, ".038464", ".210712"}, {180, ".032794", ".180562"},
		{230, ".029083", ".144243"}, {300, ".025532", ".122176"}, {500, ".019879", ".091321"},
		{1000, ".014154", ".064578"},
	} {
		printed(t, fmt.Sprint("j at ", c.re), correlation.ColburnLouvre(fin, c.re), c.j)
		printed(t, fmt.Sprint("f at ", c.re), correlation.FanningLouvre(fin, c.re), c.f)
	}
}

// The formulas hold ratios only: the same fin twice as large has the same factors.
func TestLouvreScale(t *testing.T) {
	fin := louvredFin()
	large := fin
	for _, p := range []*float64{
		&large.FinPitch, &large.LouvrePitch, &large.FinLength, &large.FinDepth, &large.LouvreLength,
		&large.TubePitch, &large.TubeThickness, &large.FinThickness, &large.HydraulicDiameter,
	} {
		*p *= 2
	}
	for _, re := range []float64{20, 110, 180, 700} {
		near(t, "j", correlation.ColburnLouvre(large, re), correlation.ColburnLouvre(fin, re), 1e-13)
		near(t, "f", correlation.FanningLouvre(large, re), correlation.FanningLouvre(fin, re), 1e-13)
	}
}

// Where friction is smooth and where it is not: no jump anywhere, a kink at 130 and at 230,
// none where the low branch turns into f Re = constant.
func TestLouvreSmoothness(t *testing.T) {
	fin := louvredFin()
	f := func(re float64) float64 { return correlation.FanningLouvre(fin, re) }
	for _, c := range []struct{ low, high float64 }{{20, 129}, {131, 229}, {230, 3000}} {
		if !smooth(f, c.low, c.high) {
			t.Errorf("kink between %g and %g", c.low, c.high)
		}
	}
	if smooth(f, 100, 160) || smooth(f, 200, 260) {
		t.Error("the kinks at 130 and 230 that are documented are not there")
	}
	for _, re := range []float64{72.3, 130, 230} {
		near(t, fmt.Sprint("f across ", re), f(re*(1+1e-12)), f(re*(1-1e-12)), 1e-10)
	}
	if !smooth(func(re float64) float64 { return correlation.ColburnLouvre(fin, re) }, 10, 3000) {
		t.Error("j has a kink")
	}
}

// The low branch is left exactly where its logarithmic slope is -1, so that the slope itself
// is continuous there.
func TestLouvreTurn(t *testing.T) {
	for _, pitch := range []float64{.8e-3, 1.6e-3, 2e-3} {
		fin := louvredFin()
		fin.FinPitch = pitch
		slope := func(re float64) float64 {
			const h = 1e-5
			return math.Log(correlation.FanningLouvre(fin, re*(1+h))/correlation.FanningLouvre(fin, re*(1-h))) / (2 * h)
		}
		for re := 40.0; re < 99; re *= 1 + 2e-4 {
			if jump := slope(re*(1+2e-4)) - slope(re); math.Abs(jump) > 1e-3 {
				t.Fatalf("fin pitch %g: logarithmic slope jumps by %g at Re %g", pitch, jump, re)
			}
		}
	}
}

// Towards rest the pressure drop, which goes as f Re², falls to zero in proportion to Re.
func TestLouvreTowardsRest(t *testing.T) {
	fin := louvredFin()
	constant := correlation.FanningLouvre(fin, 10) * 10
	for _, re := range []float64{1e-6, .5, 2, 40} {
		near(t, fmt.Sprint("f Re at ", re), correlation.FanningLouvre(fin, re)*re, constant, 1e-13)
	}
	// It is the least value f Re has on the published branch, just below its range.
	if inRange := 100 * correlation.FanningLouvre(fin, 100); constant > inRange || constant < .95*inRange {
		t.Errorf("f Re at rest %g, at 100 %g", constant, inRange)
	}
	// Fins so far apart that the published branch is steeper than 1/Re even at 100.
	fin.FinPitch = 7.9e-3
	if correlation.FanningLouvre(fin, 100.9)*100.9 >= correlation.FanningLouvre(fin, 100)*100 {
		t.Error("wide fins: the published branch should begin at 100")
	}
	near(t, "wide fins", correlation.FanningLouvre(fin, 50), 2*correlation.FanningLouvre(fin, 100), 1e-13)
	fin.FinPitch = 12e-3
	if correlation.FanningLouvre(fin, 100.9)*100.9 >= correlation.FanningLouvre(fin, 100)*100 {
		t.Error("very wide fins: the published branch should begin at 100")
	}
	near(t, "very wide fins", correlation.FanningLouvre(fin, 50), 2*correlation.FanningLouvre(fin, 100), 1e-13)
}

func TestLouvreProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := func(name string, low, high float64) float64 { return rapid.Float64Range(low, high).Draw(t, name) }
		fin := correlation.LouvredFin{
			Angle: draw("angle", .15, .6), FinPitch: draw("fin pitch", 5e-4, 3e-3), LouvrePitch: draw("louvre pitch", 7e-4, 3e-3),
			FinLength: draw("length", 4e-3, 2e-2), FinDepth: draw("depth", 1e-2, 8e-2), LouvreLength: draw("louvre length", 3e-3, 1.8e-2),
			TubePitch: draw("tube pitch", 6e-3, 2.5e-2), TubeThickness: draw("tube", 1e-3, 5e-3),
			FinThickness: draw("fin", 5e-5, 2e-4), HydraulicDiameter: draw("dh", 8e-4, 5e-3),
		}
		if err := fin.Check(); err != nil {
			t.Fatal(err)
		}
		re := positive(t, "re", -6, 6)
		f, j := correlation.FanningLouvre(fin, re), correlation.ColburnLouvre(fin, re)
		if !(f > 0 && finite(f) && j > 0 && finite(j)) {
			t.Fatalf("Re %g: f %g, j %g", re, f, j)
		}
		if re < 90 && correlation.FanningLouvre(fin, re*1.1)*1.1 < f*(1-1e-12) {
			t.Fatalf("f Re falls at Re %g", re)
		}
	})
}

func TestLouvreCheck(t *testing.T) {
	steep := louvredFin()
	steep.Angle = 1.5
	for _, fin := range []correlation.LouvredFin{louvredFin(), steep} {
		if err := fin.Check(); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		change func(*correlation.LouvredFin)
		want   string
	}{
		{func(l *correlation.LouvredFin) { l.Angle = 0 }, "louvre angle 0 must be positive"},
		{func(l *correlation.LouvredFin) { l.Angle = 1.58 }, "louvre angle 1.58 rad must be less"},
		{func(l *correlation.LouvredFin) { l.Angle = 27 }, "louvre angle 27 rad must be less than a right angle"},
		{func(l *correlation.LouvredFin) { l.FinLength = math.NaN() }, "fin length NaN must be positive"},
		{func(l *correlation.LouvredFin) { l.HydraulicDiameter = math.Inf(1) }, "hydraulic diameter +Inf must be positive and finite"},
		{func(l *correlation.LouvredFin) { l.TubeThickness = .01 }, "tube thickness 0.01 m must be less than the tube pitch 0.01 m"},
		{func(l *correlation.LouvredFin) { l.FinThickness = 1e-5 }, "fin thickness 1e-05 m must be at least 0.0125 of the fin pitch"},
	} {
		fin := louvredFin()
		c.change(&fin)
		if err := fin.Check(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want %q", err, c.want)
		}
	}
	// Without the check a thin fin is held, not turned into nonsense.
	thin := louvredFin()
	thin.FinThickness = 1e-6
	held := louvredFin()
	held.FinThickness = .0125 * held.FinPitch
	for _, re := range []float64{50, 150, 400} {
		near(t, fmt.Sprint("thin fin at ", re), correlation.FanningLouvre(thin, re), correlation.FanningLouvre(held, re), 1e-13)
	}
}

func TestLouvreRanges(t *testing.T) {
	j, f := correlation.ColburnLouvreRange(), correlation.FanningLouvreRange()
	if j.Contains(99) || !j.Contains(100) || !j.Contains(3000) || j.Contains(3001) {
		t.Errorf("range of j %v", j)
	}
	if f.Contains(99) || !f.Contains(100) || !f.Contains(5000) || f.Contains(5001) {
		t.Errorf("range of f %v", f)
	}
}

func ExampleFanningLouvre() {
	fin := correlation.LouvredFin{
		Angle: 27 * math.Pi / 180, FinPitch: 1.6e-3, LouvrePitch: 1.2e-3, FinLength: 8e-3, FinDepth: 25e-3,
		LouvreLength: 7e-3, TubePitch: 10e-3, TubeThickness: 2e-3, FinThickness: 0.08e-3, HydraulicDiameter: 2.5e-3,
	}
	fmt.Printf("j %.4f, f %.4f\n", correlation.ColburnLouvre(fin, 300), correlation.FanningLouvre(fin, 300))
	// Output: j 0.0255, f 0.1222
}
