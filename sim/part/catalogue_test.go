package part_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"testing"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// Every default lies inside its range, has a dimension and a source, and no two
// entries are called the same.
func TestCatalogue(t *testing.T) {
	seen := map[string]bool{}
	for _, e := range part.Catalogue() {
		name := e.Part + "/" + e.Class + "/" + e.Figure
		if seen[name] {
			t.Errorf("%s is listed twice", name)
		}
		seen[name] = true
		if !(e.Low <= e.Value && e.Value <= e.High && e.Low < e.High) {
			t.Errorf("%s: %g is not inside %g to %g", name, e.Value, e.Low, e.High)
		}
		if e.Dimension == "" || e.Source == "" || e.Part == "" || e.Figure == "" {
			t.Errorf("%s lacks a name, dimension or source", name)
		}
	}
	if len(seen) < 100 {
		t.Errorf("only %d entries", len(seen))
	}
}

// exportedDefaults returns the calls of all exported functions of the package
// that return a Default and take nothing.
func exportedDefaults(t *testing.T) []string {
	t.Helper()
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) == 0 {
		t.Fatalf("reading the package's own files: %v", err)
	}
	var names []string
	for _, name := range files {
		file, err := parser.ParseFile(token.NewFileSet(), name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || f.Recv != nil || !f.Name.IsExported() || f.Type.Params.NumFields() > 0 || f.Type.Results.NumFields() != 1 {
				continue
			}
			if result, ok := f.Type.Results.List[0].Type.(*ast.Ident); ok && result.Name == "Default" {
				names = append(names, f.Name.Name)
			}
		}
	}
	return names
}

// known are the defaults by function. A new function fails the test below until
// it is here, and then until the catalogue lists its figure.
var known = map[string]func() part.Default{
	"Ambient": part.Ambient, "DieToPlate": part.DieToPlate, "DieShare": part.DieShare, "DieCapacity": part.DieCapacity,
	"SpreaderCapacity": part.SpreaderCapacity, "ChipIdle": part.ChipIdle, "Shutdown": part.Shutdown,
	"LeakageAt": part.LeakageAt, "LeakageGrowth": part.LeakageGrowth, "ProcessorThrottle": part.ProcessorThrottle,
	"GraphicsThrottle": part.GraphicsThrottle, "RegulatorShare": part.RegulatorShare, "BlockFilm": part.BlockFilm,
	"PlateCapacity": part.PlateCapacity, "BlockVolume": part.BlockVolume, "BlockMass": part.BlockMass,
	"FilmExponent": part.FilmExponent, "FilmFloor": part.FilmFloor, "PumpFlow": part.PumpFlow, "PumpPower": part.PumpPower,
	"PumpVolume": part.PumpVolume, "PumpFloor": part.PumpFloor, "PumpTied": part.PumpTied, "TubeBore": part.TubeBore,
	"TubeLength": part.TubeLength, "TubeWall": part.TubeWall, "TubeRoughness": part.TubeRoughness,
	"WallEmissivity": part.WallEmissivity, "FittingLoss": part.FittingLoss, "FittingTie": part.FittingTie, "BlockTie": part.BlockTie, "ReservoirVolume": part.ReservoirVolume,
	"ReservoirMass": part.ReservoirMass, "ReservoirTied": part.ReservoirTied, "RadiatorFilm": part.RadiatorFilm, "RadiatorTestFlow": part.RadiatorTestFlow,
	"RadiatorMetal": part.RadiatorMetal, "RadiatorVolume": part.RadiatorVolume, "RadiatorCells": part.RadiatorCells,
	"RadiatorGrowth": part.RadiatorGrowth, "AirflowShare": part.AirflowShare, "SectionPassive": part.SectionPassive,
	"RoomCapacity": part.RoomCapacity, "RoomConductance": part.RoomConductance, "CaseVolume": part.CaseVolume, "CaseFanSize": part.CaseFanSize, "FanDepth": part.FanDepth, "AirflowFactor": part.AirflowFactor, "MeasuredFactor": part.MeasuredFactor,
	"CaseBoards": part.CaseBoards, "CaseBoardsTie": part.CaseBoardsTie, "CaseChassis": part.CaseChassis, "CaseChassisTie": part.CaseChassisTie, "Recirculation": part.Recirculation,
	"CaseConductance": part.CaseConductance, "FanSpeed": part.FanSpeed, "RadiatorLength": part.RadiatorLength,
	"FanShape": part.FanShape, "StandingFan": part.StandingFan, "VentArea": part.VentArea,
	"ElbowLoss": part.ElbowLoss, "BendLoss": part.BendLoss, "PumpTie": part.PumpTie, "PumpSpeed": part.PumpSpeed,
}

// Every default function of the package is in the catalogue, with its very
// figures.
func TestCatalogueIsComplete(t *testing.T) {
	listed := map[part.Default]bool{}
	for _, e := range part.Catalogue() {
		listed[e.Default] = true
	}
	names := exportedDefaults(t)
	if len(names) != len(known) {
		t.Errorf("%d functions return a default, %d are known here", len(names), len(known))
	}
	for _, name := range names {
		f, ok := known[name]
		if !ok {
			t.Errorf("%s is not known here", name)
			continue
		}
		if !listed[f()] {
			t.Errorf("%s is not in the catalogue", name)
		}
	}
}

// dated finds the year of a publication.
var dated = regexp.MustCompile(`\b(19|20)\d\d\b`)

// A default is common practice without a source, unless it says which.
func TestCatalogueSources(t *testing.T) {
	for _, e := range part.Catalogue() {
		if e.Source != "common practice, no source" && e.Source != "this model" && !dated.MatchString(e.Source) {
			t.Errorf("%s %s %s: source %q", e.Part, e.Class, e.Figure, e.Source)
		}
	}
}

// Nothing that a right-hand side or an operating point calls allocates.
func TestNoAllocations(t *testing.T) {
	water, air := fluid.Water().Fast(), roomAir(t)
	l := part.TestWater()
	curve := must[part.PumpCurve](t)(part.NewPumpCurveFromPoints([]float64{0, 8 * litre, 16 * litre}, []float64{4e4, 3e4, 1e4}))
	drop := must[part.Points](t)(part.NewPoints([]float64{2 * litre, 4 * litre, 6 * litre}, []float64{3e3, 1e4, 2e4}))
	tube := part.Tube{Bore: 0.01, Length: 1, Loss: 3}
	fork := must[part.Parallel](t)(part.NewParallel(drop, tube))
	film := must[part.Film](t)(part.NewFilm(50, 4*litre, 0.7, 0.1))
	bank := part.TubeBank{Tubes: 12, Passes: 2, Height: 0.0015, Width: 0.025, Length: 0.36}
	radiator := must[part.RadiatorCurve](t)(part.NewRadiatorCurve([]part.RadiatorPoint{{10, 15}, {20, 24}}, part.RadiatorTest{CapacityRate: 279, Passive: 3}))
	skin := part.TubeSkin(0.010, 0.016, 1, part.EPDM())
	pumps, speeds, ring := []part.PumpCurve{curve}, []float64{0.7}, []part.Resistance{drop, tube, fork}
	flows := make([]float64, 2)
	for name, f := range map[string]func(){
		"pump": func() { curve.Head(4*litre, 0.7) }, "points": func() { drop.Drop(3*litre, l) }, "tube": func() { tube.Drop(3*litre, l) },
		"fork": func() { fork.Drop(3*litre, l) }, "split": func() { fork.Split(3*litre, l, flows) },
		"film": func() { film.Conductance(water, 3*litre, 300) }, "tubes": func() { bank.Conductance(water, 3*litre, 300) },
		"radiator": func() { radiator.Exponent(15) }, "skin": func() { skin.Loss(air, 310, 295) },
		"operating point": func() { _, _, _ = part.OperatingPoint(pumps, speeds, ring, l) },
		"section":         func() { part.SectionConductance(15, 0.12) }, "drive": func() { part.PumpDrive{Rated: 75, Power: 20, Floor: 0.1}.Electrical(0.5) },
	} {
		if n := testing.AllocsPerRun(20, f); n != 0 {
			t.Errorf("%s allocates %g times", name, n)
		}
	}
}
