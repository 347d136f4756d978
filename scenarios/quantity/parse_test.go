package quantity

import (
	"math"
	"math/big"
	"strings"
	"testing"

	"soakledger/sim/spec"
)

// TestExactFactors checks the units that rest on definitions. Where a
// definition is a product of exact numbers it is multiplied out here, apart
// from the table. The printed seven digits are those of NIST SP 811 (2008),
// appendix B; values from memory, not checked against the source. Those of
// areas and of m3/h are worked out from the definition.
func TestExactFactors(t *testing.T) {
	tests := []struct {
		text    string
		dim     spec.Dimension
		exact   string // rational in SI, from the definition
		printed float64
	}{
		{"1 in", spec.Length, "254/10000", 2.54e-2},
		{"1 lb", spec.Mass, "45359237/100000000", 4.535924e-1},
		{"1 oz", spec.Mass, "45359237/1600000000", 2.834952e-2},
		{"1 US gal", spec.Volume, mul("231", "0.0254", "0.0254", "0.0254"), 3.785412e-3},
		{"128 fl oz", spec.Volume, mul("231", "0.0254", "0.0254", "0.0254"), 3.785412e-3},
		{"1 fl oz", spec.Volume, mul("231/128", "0.0254", "0.0254", "0.0254"), 2.957353e-5},
		{"1 gpm", spec.VolumeFlow, mul("231/60", "0.0254", "0.0254", "0.0254"), 6.309020e-5},
		{"1 gph", spec.VolumeFlow, mul("231/3600", "0.0254", "0.0254", "0.0254"), 1.051503e-6},
		{"1 cfm", spec.Airflow, mul("1/60", "0.3048", "0.3048", "0.3048"), 4.719474e-4},
		{"55 cfm", spec.Airflow, mul("55/60", "0.3048", "0.3048", "0.3048"), 55 * 4.719474e-4},
		{"95 m3/h", spec.Airflow, "95/3600", 95 * 2.777778e-4},
		{"1 in2", spec.Area, mul("0.0254", "0.0254"), 6.4516e-4},
		{"100 cm2", spec.Area, "1/100", 1.0e-2},
		{"1 psi", spec.Pressure, mul("0.45359237", "9.80665", "10000/254", "10000/254"), 6.894757e3},
		{"1 mmH2O", spec.Pressure, mul("9.80665"), 9.80665},
		{"1 inH2O", spec.Pressure, mul("9.80665", "25.4"), 2.490889e2},
		{"1 m", spec.Head, mul("1000", "9.80665"), 9.80665e3},
		{"1 psi", spec.Head, mul("0.45359237", "9.80665", "10000/254", "10000/254"), 6.894757e3},
		{"1 mbar", spec.Pressure, "100", 1.0e2},
		{"1 Wh", spec.Energy, "3600", 3.6e3},
		{"1 kWh", spec.Energy, "3600000", 3.6e6},
	}
	for _, c := range tests {
		got, err := Parse(c.text, c.dim)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		r, ok := new(big.Rat).SetString(c.exact)
		if !ok {
			t.Fatalf("%s: bad rational %s", c.text, c.exact)
		}
		if want, _ := r.Float64(); got != want {
			t.Errorf("%s = %v, want exactly %v", c.text, got, want)
		}
		if math.Abs(got/c.printed-1) > 0.5e-6 {
			t.Errorf("%s = %v, printed %v", c.text, got, c.printed)
		}
	}
}

// mul multiplies exact numbers.
func mul(factors ...string) string {
	p := big.NewRat(1, 1)
	for _, f := range factors {
		r, ok := new(big.Rat).SetString(f)
		if !ok {
			panic(f)
		}
		p.Mul(p, r)
	}
	return p.String()
}

// TestSpellings groups texts that mean the same; all must give the very same
// float64. Expected values follow from the definitions of the units.
func TestSpellings(t *testing.T) {
	tests := []struct {
		dim   spec.Dimension
		want  float64
		texts string // separated by |
	}{
		{spec.Length, 0.2, "200 mm|0.2 m|20 cm|200mm|.2 m|2e2 mm|0.2e+0 m|+200 mm|200\u00a0mm| 200  mm "},
		{spec.Length, 0.0254, `1 in|1"|1 inch|1″|1 ”|25.4 mm`},
		{spec.Volume, 0.00018, "180 mL|180 ml|0.18 L|0.18 litres|180 cm³|180 cc|0.00018 m3|0.00018 m³"},
		{spec.Volume, 0.001, "1 L|1 l|1 litre|1000 mL|1 dm3"},
		{spec.Mass, 0.8, "800 g|0.8 kg|800 grams"},
		{spec.VolumeFlow, 4. / 60000, "4 L/min|4 l/min|4 lpm|4 LPM|4 L / min|4 L per min|240 L/h|240 l/h|0.24 m3/h|0.24 m³/h"},
		{spec.Pressure, 1000, "1 kPa|1000 Pa|10 mbar|0.01 bar"},
		{spec.Pressure, 19.6133, "2 mmH2O|2 mm H2O|2 mmH₂O|0.002 mH2O"},
		{spec.PowerFlow, 210, "210 W|210W|0.21 kW|210 watts|210000 mW|0.00021 MW"},
		{spec.Head, 35303.94, "3.6 m|3.6m|360 cm|3600 mm|3.6 mH2O|3600 mmH2O|3.6 m H₂O|35.30394 kPa|353.0394 mbar|0.3530394 bar"},
		{spec.Factor, 1.5, "1.5|1.50|15e-1|+1.5"},
		{spec.Price, 60, "60|60.00|6e1"},
		{spec.Area, 0.01, "100 cm2|100 cm²|100cm^2|10000 mm2|0.01 m2|0.01 m²|100 sq cm"},
		{spec.Area, 0.00129032, "2 in2|2 in²|2 sq in"},
		{spec.Angle, math.Pi / 6, "30 deg|30°|30 °|30 degrees"},
		{spec.Angle, math.Pi, "180 deg"},
		{spec.Angle, 0.5, "0.5 rad"},
		{spec.Airflow, 90. / 3600, "90 m3/h|90 m³/h|90 m3/hour|25 L/s|1500 L/min|1.5 m3/min|0.025 m3/s"},
		{spec.Airflow, 55 * 0.028316846592 / 60, "55 cfm|55 CFM|55 ft3/min|55 ft³/min|55 cu ft/min"},
		{spec.Resistance, 0.12, "0.12 K/W|0.12 °C/W|0.12 C/W|0.12 degC/W|0.12 K per W|120 mK/W"},
		{spec.Resistance, 0.05, "0.05 K/W|20 W/K"},
		{spec.Conductance, 18, "18 W/K|180 W per 10 K|180 W/10 K|180 W/10K|18 W/degC|18 W/°C|0.018 kW/K"},
		{spec.Conductance, 1 / 0.055, "0.055 K/W|0.055 °C/W|55 mK/W"},
		{spec.HeatCapacity, 3600, "3600 J/K|3.6 kJ/K|1 Wh/K|0.0036 MJ/K"},
		{spec.Energy, 3600, "3600 J|3.6 kJ|1 Wh|0.001 kWh"},
		{spec.Temperature, 295.15, "22 degC|22 °C|22°C|22 C|22 ℃|22 º C|22 deg C|295.15 K|71.6 degF|71.6 °F|71.6 ℉"},
		{spec.Temperature, 268.15, "-5 degC|−5 °C|268.15 K"},
		{spec.Difference, 0.0002, "0.2 mK|0.0002 K|2e-4 K"},
		{spec.Time, 5400, "5400 s|90 min|1.5 h|1 h 30 min|1h30min|1 hour 30 minutes|1 h 29 min 60 s"},
		{spec.Time, 0.25, "250 ms|0.25 s"},
		{spec.Time, 93600, "1 d 2 h|26 h"},
		{spec.RotationSpeed, 20, "1200 rpm|1200 RPM|1200 r/min|1200 1/min"},
		{spec.RotationChange, 5, "300 rpm/s"},
		{spec.Ratio, 0.12, "12 %|12%|12 percent|12 per cent"},
		{spec.PerKelvin, 0.02, "2 %/K|2 %/°C|2 % per K|0.02 1/K|0.02 /K|0.02 K⁻¹"},
		{spec.SoundLevel, 30, "30 dBA|30 dB(A)|30 dB A|30 dB (A)"},
		{spec.Density, 998, "998 kg/m3|998 kg/m³|0.998 g/mL|0.998 g/cm³|0.998 kg/L"},
		{spec.SpecificHeat, 4180, "4180 J/(kg K)|4180 J/(kg·K)|4180 J/kg/K|4.18 kJ/(kg K)|4.18 kJ/kgK|4180 J/(kg*K)|4180 J / (kg K)"},
		{spec.Count, 1000, "1000|1e3|1000.0|+1000"},
		{spec.None, 1.5, "1.5|1.50|15e-1"},
	}
	for _, c := range tests {
		for text := range strings.SplitSeq(c.texts, "|") {
			got, err := Parse(text, c.dim)
			if err != nil || got != c.want {
				t.Errorf("%s %q: got %v, %v; want %v", c.dim, text, got, err, c.want)
			}
		}
	}
}

// TestCorrectlyRounded compares conversions that binary floating point gets
// wrong when it multiplies step by step with the decimal written out.
func TestCorrectlyRounded(t *testing.T) {
	tests := []struct {
		text string
		dim  spec.Dimension
		want float64
	}{
		{"4.35 mm", spec.Length, 0.00435},
		{"8.2 cm", spec.Length, 0.082},
		{"35.1 %", spec.Ratio, 0.351},
		{"0.3 mL", spec.Volume, 0.0000003},
		{"18.15 degC", spec.Temperature, 291.3},
		{"26.85 degC", spec.Temperature, 300},
	}
	for _, c := range tests {
		if got, err := Parse(c.text, c.dim); err != nil || got != c.want {
			t.Errorf("%s: got %v, %v; want %v", c.text, got, err, c.want)
		}
	}
}

// TestRefused checks that a text is refused and that the message says what to
// do about it.
func TestRefused(t *testing.T) {
	tests := []struct {
		text string
		dim  spec.Dimension
		says string
	}{
		{"", spec.Length, "nothing is given: write for example 450 mm"},
		{"  ", spec.Time, "nothing is given"},
		{"450", spec.Length, "450 has no unit: write 450 mm or 450 m"},
		{"24", spec.Temperature, "24 has no unit: write 24 degC"},
		{"0.12", spec.Ratio, "0.12 has no unit: write 12 % or 0.12 %"},
		{"12", spec.Ratio, "12 has no unit: write 12 %"},
		{"18", spec.Conductance, "write 18 W/K or 18 W per 10 K"},
		{"10m", spec.Time, "10 m could be minutes or metres: write 10 min"},
		{"1 h 10m", spec.Time, "10 m could be minutes or metres: write 10 min"},
		{"30 min 1 h", spec.Time, "long to short"},
		{"1 min 60000 ms 1 s", spec.Time, "long to short"},
		{"1 h 2 h", spec.Time, "long to short"},
		{"1 h 5", spec.Time, `"5" has no unit`},
		{"1 h -5 min", spec.Time, "long to short"},
		{"-1 h 5 min", spec.Time, "no sign"},
		{"1 h 1,5 min", spec.Time, "write 1.5"},
		{"210 mw", spec.PowerFlow, "write 210 mW or 210 MW"},
		{"2 kpa", spec.Pressure, "write 2 kPa"},
		{"1,5 mm", spec.Length, "a comma is not understood: write 1.5"},
		{"1,500 rpm", spec.RotationSpeed, "write 1500 or 1.500"},
		{"1 500 rpm", spec.RotationSpeed, "digits are not grouped: write 1500"},
		{"1'500 rpm", spec.RotationSpeed, "write 1500"},
		{"1_500 rpm", spec.RotationSpeed, "write 1500"},
		{"1.2.3 m", spec.Length, "two decimal points"},
		{"inf W", spec.PowerFlow, "not a finite number"},
		{"-.inf W", spec.PowerFlow, "not a finite number"},
		{"NaN K", spec.Difference, "not a finite number"},
		{"1e999 W", spec.PowerFlow, "too large an exponent"},
		{"1e99999999999999999999 W", spec.PowerFlow, "too large an exponent"},
		{"9e399 W", spec.PowerFlow, "too large a number"},
		{strings.Repeat("1", 100) + " W", spec.PowerFlow, "too long a number"},
		{"warm", spec.Temperature, "does not start with a number"},
		{"- 5 degC", spec.Temperature, "does not start with a number"},
		{".", spec.Length, "does not start with a number"},
		{"0x10 mm", spec.Length, "is not a unit of length"},
		{"5 degC", spec.Difference, "a difference is written in K"},
		{"9 F", spec.Difference, "a difference is written in K"},
		{"-300 degC", spec.Temperature, "below absolute zero"},
		{"-1 K", spec.Temperature, "below absolute zero"},
		{"30 dB", spec.SoundLevel, "30 dBA"},
		{"1 gal", spec.Volume, "US or imperial"},
		{"1 gallon/h", spec.VolumeFlow, "US or imperial"},
		{"6 oz", spec.Volume, "6 fl oz"},
		{"0 K/W", spec.Conductance, "above zero"},
		{"0 W/K", spec.Resistance, "above zero"},
		{"5 g", spec.Length, `"g" is a unit of mass, not of length: use mm, cm, m or in`},
		{"3 furlongs", spec.Length, `"furlongs" is not a unit of length`},
		{"10-20 mm", spec.Length, `"-20 mm" is not a unit of length`},
		{"4 L/min/min", spec.VolumeFlow, "not a unit of flow"},
		{"2.5", spec.Count, "not a whole number"},
		{"4 pcs", spec.Count, "without a unit"},
		{"3.6", spec.Head, "3.6 has no unit: write 3.6 m or 3.6 kPa"},
		{"3.6 W", spec.Head, `"W" is a unit of power, not of head: use m, cm, mm, kPa, mbar, bar or psi`},
		{"3.6 M", spec.Head, `"M" is not known: write 3.6 m`},
		{"2 m", spec.Pressure, "2 m is a length: write 2 mH2O for a column of water"},
		{"3.6 mH2O", spec.Length, `"mH2O" is a unit of pressure, not of length`},
		{"150 %", spec.Factor, `"%" has no place here: a factor compares two things of one kind and is a bare number, for example 1.5`},
		{"1,5", spec.Factor, "write 1.5"},
		{"16 fpi", spec.PerInch, `"fpi" has no place here: fins along an inch are counted, as a bare number, for example 16`},
		{"many", spec.PerInch, `"many" is not understood: fins along an inch are counted`},
		{"60 EUR", spec.Price, `"EUR" has no place here: a price is a bare number, in any one currency for the whole file, for example 60`},
		{"$60", spec.Price, `"$60" is not understood: a price is a bare number, in any one currency for the whole file, for example 60`},
		{"cheap", spec.Price, "a price is a bare number"},
		{"-inf", spec.Price, "not a finite number"},
		{"100", spec.Area, "100 has no unit: write 100 cm2 or 100 m2"},
		{"10 cm", spec.Area, `"cm" is a unit of length, not of area: use mm2, cm2, m2 or in2 (for example 100 cm2)`},
		{"100 cm3", spec.Area, `"cm3" is a unit of volume, not of area`},
		{"27", spec.Angle, "27 has no unit: write 27 deg"},
		{"27 degC", spec.Angle, `"degC" is a unit of temperature, not of angle: use deg or rad (for example 27 deg)`},
		{"22 deg", spec.Temperature, `"deg" is a unit of angle, not of temperature`},
		{"95", spec.Airflow, "95 has no unit: write 95 m3/h or 95 cfm"},
		{"4 gpm", spec.Airflow, `"gpm" is a unit of flow, not of airflow: use m3/h, cfm, L/s, L/min, m3/min or m3/s (for example 95 m3/h)`},
		{"95 m3", spec.Airflow, `"m3" is a unit of volume, not of airflow`},
		{"55 Cfm", spec.Airflow, `"Cfm" is not known: write 55 cfm`},
		{"4 cfm", spec.VolumeFlow, `"cfm" is a unit of airflow, not of flow: use L/min, L/h, mL/s, L/s, gpm, gph, m3/h or m3/s (for example 4 L/min)`},
		{"1 W", spec.Dimension("light"), `unknown dimension "light"`},
	}
	for _, c := range tests {
		got, err := Parse(c.text, c.dim)
		if err == nil {
			t.Errorf("%s %q: accepted as %v", c.dim, c.text, got)
			continue
		}
		if !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s %q: %q does not say %q", c.dim, c.text, err, c.says)
		}
	}
}
