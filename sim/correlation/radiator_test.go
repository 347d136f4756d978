package correlation_test

import (
	"fmt"
	"math"
	"testing"

	"soakledger/sim/correlation"
)

// The whole chain from a core's measures to its conductance: plain copper fins, air of
// 25 °C, Muzychka & Yovanovich on the air side, water through 12 flat tubes in two passes
// side by side. Every figure was computed independently in double precision.
const (
	airDensity, airViscosity, airConductivity, airHeat         = 1.184, 1.845e-5, .02625, 1006.3
	waterDensity, waterViscosity, waterConductivity, waterHeat = 994.0333, 719.126e-6, .621700, 4179.26
	copperConductivity                                         = 385
)

type airSide struct {
	re, gz, film, fin, surface, conductance, drop, ends float64
}

func airSideOf(p correlation.CorePassages, core correlation.FlatTubeCore, face float64) airSide {
	v := face / p.FreeArea
	pr := airHeat * airViscosity / airConductivity
	viscosity := airViscosity / airDensity
	root := math.Sqrt(p.FlowArea)
	aspect := (core.FinPitch - core.FinThickness) / (core.FinHeight() - core.FinThickness)
	var s airSide
	s.re = correlation.Reynolds(v, p.HydraulicDiameter, viscosity)
	s.gz = correlation.Graetz(p.HydraulicDiameter, core.Depth, s.re, pr)
	reRoot := correlation.Reynolds(v, root, viscosity)
	zPlus := core.Depth / root / reRoot
	s.film = correlation.NusseltMuzychka(correlation.DuctEntry{Aspect: aspect}, zPlus/pr, pr) * airConductivity / root
	m := correlation.FinParameter(s.film, copperConductivity, core.FinThickness)
	s.fin = correlation.FinEfficiencyStraight(m * p.FinLength)
	s.surface = correlation.SurfaceEfficiency(s.fin, p.FinShare())
	s.conductance = s.surface * s.film * p.Area()
	f := correlation.FanningApparentMuzychka(aspect, zPlus) / reRoot
	head := airDensity * v * v / 2
	s.drop = 4 * f * core.Depth / p.HydraulicDiameter * head
	s.ends = (.42*(1-p.FreeArea*p.FreeArea) + math.Pow(1-p.FreeArea, 2)) * head
	return s
}

func TestRadiatorAirSide(t *testing.T) {
	core := coreA()
	p, err := core.Rectangular()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		face    float64
		figures [8]string
	}{
		{1.0, [8]string{"214.757", "15.6553", "56.7431", ".970065", ".974916", "47.6081", "4.52859", ".22361"}},
		{1.5, [8]string{"322.135", "23.4830", "60.1024", ".968360", ".973487", "50.3527", "7.46587", ".50312"}},
		{2.5, [8]string{"536.892", "39.1383", "67.2265", ".964768", ".970477", "56.1470", "14.42714", "1.39755"}},
	} {
		s := airSideOf(p, core, c.face)
		for i, got := range []float64{s.re, s.gz, s.film, s.fin, s.surface, s.conductance, s.drop, s.ends} {
			printed(t, fmt.Sprintf("face %g m/s, column %d", c.face, i), got, c.figures[i])
		}
	}
}

type waterSide struct {
	dh, v, re, gz, nu, film, conductance, drop float64
}

func waterSideOf(flow float64) waterSide {
	const width, gap, length, passTubes, passes = 24.6e-3, 1.6e-3, .24, 6, 2
	var s waterSide
	s.dh = correlation.HydraulicDiameter(width*gap, 2*(width+gap))
	s.v = flow / (passTubes * width * gap)
	s.re = correlation.Reynolds(s.v, s.dh, waterViscosity/waterDensity)
	s.gz = correlation.Graetz(s.dh, length, s.re, waterHeat*waterViscosity/waterConductivity)
	s.nu = correlation.NusseltPlatesEdwards(s.gz)
	s.film = s.nu * waterConductivity / s.dh
	s.conductance = s.film * 2 * (width + gap) * length * passTubes * passes
	f := correlation.FanningConstantRectangle(gap/width) / s.re
	s.drop = 4 * f * passes * length / s.dh * waterDensity * s.v * s.v / 2
	return s
}

func TestRadiatorWaterSide(t *testing.T) {
	s := waterSideOf(3.0 / 60e3)
	for _, c := range []struct {
		what   string
		got    float64
		figure string
	}{
		{"Dh mm", s.dh * 1e3, "3.004580"}, {"v", s.v, ".211721"}, {"Re", s.re, "879.313"},
		{"Gz", s.gz, "53.2157"}, {"Nu", s.nu, "8.841788"}, {"h", s.film, "1829.52"},
		{"hA", s.conductance, "276.0965"}, {"friction of two passes", s.drop, "357.354"},
		{"f Re", correlation.FanningConstantRectangle(1.6 / 24.6), "22.0712"},
	} {
		printed(t, c.what, c.got, c.figure)
	}
}

func TestRadiatorWhole(t *testing.T) {
	core := coreA()
	p, err := core.Rectangular()
	if err != nil {
		t.Fatal(err)
	}
	const flow, face = 3.0 / 60e3, 1.5
	hot, cold := airSideOf(p, core, face), waterSideOf(flow)
	ua := 1 / (1/hot.conductance + 1/cold.conductance)
	air := correlation.CapacityRate(airDensity, face*core.Width*core.Height, airHeat)
	water := correlation.CapacityRate(waterDensity, flow, waterHeat)
	printed(t, "UA", ua, "42.58611")
	printed(t, "C of the air", air, "51.47104")
	printed(t, "C of the water", water, "207.71618")
	printed(t, "NTU of a pass", ua/water/2, ".1025103")
	printed(t, "R of a pass", 2*water/air, "8.071187")
	printed(t, "P of a pass", correlation.EffectivenessCrossFlowUnmixed(ua/water/2, 2*water/air), ".06747872")
	two := correlation.EffectivenessPassesInPlane(ua/water, water/air, 2)
	printed(t, "P of the core", two, ".1304041")
	printed(t, "heat over inlet difference", two*water, "27.08703")
	printed(t, "resistance", 1/(two*water), ".0369180")
	printed(t, "one pass", correlation.EffectivenessPassesInPlane(ua/water, water/air, 1)*water, "27.13426")
	// The closed approximation in place of the series, one pass: 0.37 % low.
	printed(t, "one pass with the approximation",
		correlation.EffectivenessCrossFlowApproximate(ua/air, air/water)*air, "27.03431")
}
