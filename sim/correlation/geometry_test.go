package correlation_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
)

// coreA is a face of 240 x 120 mm, 25 mm deep, tubes 2 mm thick every 10 mm, 16 fins per
// inch of 0.05 mm.
func coreA() correlation.FlatTubeCore {
	return correlation.FlatTubeCore{
		Width: .240, Height: .120, Depth: .025,
		TubePitch: .010, TubeThickness: .002,
		FinPitch: .0254 / 16, FinThickness: .05e-3,
	}
}

// Computed independently in double precision from the geometry.
func TestCoreAGeometry(t *testing.T) {
	core := coreA()
	rect, err := core.Rectangular()
	if err != nil {
		t.Fatal(err)
	}
	tri, err := core.Triangular()
	if err != nil {
		t.Fatal(err)
	}
	printed(t, "fin pitch mm", core.FinPitch*1e3, "1.5875")
	for _, c := range []struct {
		what   string
		got    float64
		figure string
	}{
		{"legs", rect.Legs, "1814.1732"},
		{"Dh mm", rect.HydraulicDiameter * 1e3, "2.576680"},
		{"Af", rect.FinArea, ".7211339"},
		{"Ap", rect.PrimaryArea, ".1394646"},
		{"A", rect.Area(), ".8605984"},
		{"Af/A", rect.FinShare(), ".8379447"},
		{"sigma", rect.FreeArea, ".7699606"},
		{"A/V", rect.AreaDensity, "1195.2756"},
		{"triangle: leg mm", tri.FinLength * 2e3, "8.155989"},
		{"triangle: Dh mm", tri.HydraulicDiameter * 1e3, "2.523162"},
		{"triangle: Af", tri.FinArea, ".7398188"},
		{"triangle: A", tri.Area(), ".8838188"},
		{"triangle: sigma", tri.FreeArea, ".7743118"},
		{"triangle: apex degrees", core.ApexAngle() * 180 / math.Pi, "22.45"},
	} {
		printed(t, c.what, c.got, c.figure)
	}
	near(t, "fin length", rect.FinLength, 3.975e-3, 1e-12)
	near(t, "triangle: fin length", tri.FinLength, 4.0779945e-3, 1e-8)
	near(t, "passage area", rect.FlowArea, 1.5375e-3*7.95e-3, 1e-12)
}

// For upright fins 4 σ V/A is the hydraulic diameter; for both, the free area follows from
// one passage.
func TestGeometryIdentities(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := correlation.FlatTubeCore{
			Width: rapid.Float64Range(.05, .6).Draw(t, "width"), Height: rapid.Float64Range(.05, .6).Draw(t, "height"),
			Depth: rapid.Float64Range(.01, .1).Draw(t, "depth"), TubePitch: rapid.Float64Range(.005, .02).Draw(t, "pitch"),
			TubeThickness: rapid.Float64Range(.001, .003).Draw(t, "tube"), FinPitch: rapid.Float64Range(8e-4, 4e-3).Draw(t, "fin pitch"),
			FinThickness: rapid.Float64Range(2e-5, 2e-4).Draw(t, "fin"),
		}
		for _, build := range []func() (correlation.CorePassages, error){c.Rectangular, c.Triangular} {
			p, err := build()
			if err != nil {
				t.Fatal(err)
			}
			if !(p.FreeArea > 0 && p.FreeArea < 1-c.TubeThickness/c.TubePitch && p.FinShare() > 0 && p.FinShare() < 1) {
				t.Fatalf("free area %g, fin share %g", p.FreeArea, p.FinShare())
			}
			perimeter := 4 * p.FlowArea / p.HydraulicDiameter
			if math.Abs(perimeter*c.Depth*p.Legs/p.Area()-1) > 1e-12 {
				t.Fatalf("wetted surface %g, perimeter %g", p.Area(), perimeter)
			}
			dh := 4 * p.FreeArea / p.AreaDensity
			if math.Abs(dh/p.HydraulicDiameter-1) > 1e-12 {
				t.Fatalf("4 σ V/A %g, Dh %g", dh, p.HydraulicDiameter)
			}
		}
	})
}

func TestGeometryErrors(t *testing.T) {
	for _, c := range []struct {
		change func(*correlation.FlatTubeCore)
		want   string
	}{
		{func(c *correlation.FlatTubeCore) { c.Width = 0 }, "face width 0 m must be positive"},
		{func(c *correlation.FlatTubeCore) { c.Height = -1 }, "face height -1 m must be positive"},
		{func(c *correlation.FlatTubeCore) { c.Depth = math.NaN() }, "depth NaN m must be positive"},
		{func(c *correlation.FlatTubeCore) { c.TubePitch = math.Inf(1) }, "tube pitch +Inf m must be positive and finite"},
		{func(c *correlation.FlatTubeCore) { c.TubeThickness = .011 }, "tube thickness 0.011 m must be less than the tube pitch 0.01 m"},
		{func(c *correlation.FlatTubeCore) { c.FinThickness = .0016 }, "fin thickness 0.0016 m must be less than the fin pitch"},
		{func(c *correlation.FlatTubeCore) { c.FinPitch, c.FinThickness = .02, .009 }, "less than the gap between tubes"},
		{func(c *correlation.FlatTubeCore) { c.TubePitch = .5 }, "tube pitch 0.5 m must be less than the face height 0.12 m"},
		{func(c *correlation.FlatTubeCore) { c.FinPitch = .3 }, "fin pitch 0.3 m must be less than the face width 0.24 m"},
	} {
		core := coreA()
		c.change(&core)
		if _, err := core.Rectangular(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want %q", err, c.want)
		}
		if _, err := core.Triangular(); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want %q", err, c.want)
		}
	}
	core := coreA()
	core.FinThickness = .00157
	if _, err := core.Triangular(); err == nil || !strings.Contains(err.Error(), "leave no passage") {
		t.Errorf("thick zigzag fins: error %v", err)
	}
}

func ExampleFlatTubeCore_Rectangular() {
	core := correlation.FlatTubeCore{
		Width: 0.360, Height: 0.120, Depth: 0.030,
		TubePitch: 0.010, TubeThickness: 0.002,
		FinPitch: 0.0254 / 12, FinThickness: 0.05e-3,
	}
	p, err := core.Rectangular()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f m², %.0f %% open, passages of %.2f mm\n",
		p.Area(), 100*p.FreeArea, 1e3*p.HydraulicDiameter)
	// Output: 1.23 m², 78 % open, passages of 3.28 mm
}
