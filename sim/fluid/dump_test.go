package fluid

import (
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"testing"
)

// dump names a file for TestDump to write its rows to, for comparison with
// independent implementations: go test ./sim/fluid -run TestDump -dump FILE.
var dump = flag.String("dump", "", "file to write the property rows to, as JSON")

// Rows carry °C beside SI values, as the other implementations want degrees.
type (
	dumpRows struct {
		Water    []waterRow    `json:"water"`
		DryAir   []dryRow      `json:"dry_air"`
		Moist    []moistRow    `json:"moist_air"`
		Altitude []altitudeRow `json:"altitude"`
	}
	waterRow struct {
		T            float64 `json:"t_c"`
		Density      float64 `json:"density"`
		SpecificHeat float64 `json:"specific_heat"`
		Viscosity    float64 `json:"viscosity"`
		Conductivity float64 `json:"conductivity"`
		Saturation   float64 `json:"saturation_pa"`
	}
	dryRow struct {
		T            float64 `json:"t_c"`
		Density      float64 `json:"density"`
		SpecificHeat float64 `json:"specific_heat"`
		Viscosity    float64 `json:"viscosity"`
		Conductivity float64 `json:"conductivity"`
	}
	moistRow struct {
		T          float64 `json:"t_c"`
		Humidity   float64 `json:"relative_humidity"`
		Pressure   float64 `json:"pressure_pa"`
		Saturation float64 `json:"saturation_pa"`
		Ratio      float64 `json:"humidity_ratio"`
		DewPoint   float64 `json:"dew_point_c"`
		Density    float64 `json:"density"`
	}
	altitudeRow struct {
		Z        float64 `json:"z_m"`
		Pressure float64 `json:"pressure_pa"`
	}
)

func allRows() (rows dumpRows) {
	w := Water()
	for c := 5.0; c <= 95; c += 2.5 {
		T := celsius(c)
		rows.Water = append(rows.Water, waterRow{
			c, w.Density(T), w.SpecificHeat(T), w.Viscosity(T), w.Conductivity(T), SaturationPressure(T)})
	}
	for c := -50.0; c <= 150; c += 10 {
		T := celsius(c)
		rows.DryAir = append(rows.DryAir, dryRow{
			c, AirDensity(T, StandardPressure, 0), AirSpecificHeat(T), AirViscosity(T), AirConductivity(T)})
	}
	for _, z := range []float64{0, 150, 500, 1000, 2000, 4000} {
		p := PressureAtAltitude(z)
		rows.Altitude = append(rows.Altitude, altitudeRow{z, p})
		for c := -20.0; c <= 90; c += 5 {
			for _, rh := range []float64{0.1, 0.35, 0.6, 0.85, 1} {
				if vapour := VapourPressure(celsius(c), rh); vapour < 0.9*p {
					rows.Moist = append(rows.Moist, moistRow{
						c, rh, p, SaturationPressure(celsius(c)), HumidityRatio(vapour, p),
						DewPoint(vapour) - zeroCelsius, AirDensity(celsius(c), p, vapour)})
				}
			}
		}
	}
	return rows
}

// TestDump checks that every row is what it would be from the others of its own
// figures, by gas laws and inversions that the formulas do not use, and that the
// fast forms say the same. With -dump it then writes the rows.
func TestDump(t *testing.T) {
	rows := allRows()
	for _, r := range rows.Water {
		checkWaterRow(t, r)
	}
	air, err := FastAir(StandardPressure, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows.DryAir {
		at := fmt.Sprintf("dry air at %g °C: ", r.T)
		rho, _ := air.Density(celsius(r.T))
		_, cp, _ := air.Enthalpy(celsius(r.T))
		relative(t, at+"density", rho, r.Density, 1e-4)
		relative(t, at+"specific heat", cp, r.SpecificHeat, 1e-4)
	}
	for _, r := range rows.Moist {
		checkMoistRow(t, r)
	}
	if *dump == "" {
		return
	}
	text, err := json.MarshalIndent(rows, "", " ")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(*dump, append(text, '\n'), 0o644); err != nil {
		t.Fatalf("writing the rows: %v", err)
	}
}

func checkWaterRow(t *testing.T, r waterRow) {
	t.Helper()
	at := fmt.Sprintf("water at %g °C: ", r.T)
	table, T := Water().Fast(), celsius(r.T)
	rho, _ := table.Density(T)
	mu, _ := table.Viscosity(T)
	k, _ := table.Conductivity(T)
	_, cp, _ := table.Enthalpy(T)
	relative(t, at+"density", rho, r.Density, 1e-4)
	relative(t, at+"specific heat", cp, r.SpecificHeat, 1e-4)
	relative(t, at+"viscosity", mu, r.Viscosity, 1e-4)
	relative(t, at+"conductivity", k, r.Conductivity, 1e-4)
	within(t, at+"boils at its saturation pressure", DewPoint(r.Saturation), T, 1e-9)
}

// checkMoistRow: dry air and vapour are two ideal gases in one volume, so their
// densities add up; the vapour condenses at the dew point.
func checkMoistRow(t *testing.T, r moistRow) {
	t.Helper()
	at := fmt.Sprintf("air at %g °C, %g, %.0f Pa: ", r.T, r.Humidity, r.Pressure)
	vapour, T := r.Humidity*r.Saturation, celsius(r.T)
	dry := (r.Pressure - vapour) / (airGas * T)
	relative(t, at+"density", r.Density, dry*(1+r.Ratio), 1e-12)
	relative(t, at+"vapour at the dew point", SaturationPressure(celsius(r.DewPoint)), vapour, 1e-5)
}
