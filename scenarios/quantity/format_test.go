package quantity

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/spec"
)

func TestFormat(t *testing.T) {
	tests := []struct {
		value float64
		dim   spec.Dimension
		want  string
	}{
		{0.45, spec.Length, "450 mm"},
		{1.5, spec.Length, "1.5 m"},
		{0, spec.Length, "0 mm"},
		{-0.002, spec.Length, "-2 mm"},
		{0.00018, spec.Volume, "180 mL"},
		{0.0012, spec.Volume, "1.2 L"},
		{10, spec.Volume, "10 m3"},
		{0.35, spec.Mass, "350 g"},
		{2.5, spec.Mass, "2.5 kg"},
		{4. / 60000, spec.VolumeFlow, "4 L/min"},
		{18, spec.Pressure, "18 Pa"},
		{35000, spec.Pressure, "35 kPa"},
		{35303.94, spec.Head, "3.6 m"},
		{0, spec.Head, "0 m"},
		{12000, spec.Head, "1.22366 m"},
		{12000, spec.Pressure, "12 kPa"},
		{1.5, spec.Factor, "1.5"},
		{59.9, spec.Price, "59.9"},
		{210, spec.PowerFlow, "210 W"},
		{0, spec.PowerFlow, "0 W"},
		{0.02, spec.PowerFlow, "20 mW"},
		{12000, spec.PowerFlow, "12 kW"},
		{1. / 3, spec.Resistance, "0.333333 K/W"},
		{1 / 0.055, spec.Conductance, "18.1818 W/K"},
		{80, spec.HeatCapacity, "80 J/K"},
		{300e3, spec.HeatCapacity, "300 kJ/K"},
		{1e12, spec.HeatCapacity, "1000000 MJ/K"},
		{3.6e6, spec.Energy, "3.6 MJ"},
		{295.15, spec.Temperature, "22 degC"},
		{0, spec.Temperature, "-273.15 degC"},
		{0.0002, spec.Difference, "0.2 mK"},
		{5, spec.Difference, "5 K"},
		{0, spec.Time, "0 s"},
		{0.001, spec.Time, "1 ms"},
		{45, spec.Time, "45 s"},
		{90, spec.Time, "1.5 min"},
		{100, spec.Time, "100 s"},
		{600, spec.Time, "10 min"},
		{4800, spec.Time, "80 min"},
		{5400, spec.Time, "1.5 h"},
		{86400, spec.Time, "24 h"},
		{12345.67, spec.Time, "3.42935 h"},
		{20, spec.RotationSpeed, "1200 rpm"},
		{0.12, spec.Ratio, "12 %"},
		{0.02, spec.PerKelvin, "2 %/K"},
		{30, spec.SoundLevel, "30 dBA"},
		{0.01, spec.Area, "100 cm2"},
		{0.00005, spec.Area, "0.5 cm2"},
		{2, spec.Area, "2 m2"},
		{0, spec.Area, "0 cm2"},
		{math.Pi / 6, spec.Angle, "30 deg"},
		{0.47, spec.Angle, "26.929 deg"},
		{95. / 3600, spec.Airflow, "95 m3/h"},
		{0, spec.Airflow, "0 m3/h"},
		{2, spec.Airflow, "7200 m3/h"},
		{998.2, spec.Density, "998.2 kg/m3"},
		{4180, spec.SpecificHeat, "4180 J/(kg K)"},
		{1000000, spec.Count, "1000000"},
		{1e-9, spec.Length, "0.000001 mm"},
		{1.2345678e-12, spec.Length, "1.23457e-9 mm"},
		{1e21, spec.SoundLevel, "1e21 dBA"},
		{math.Inf(1), spec.Length, "+Inf"},
	}
	for _, c := range tests {
		if got := Format(c.value, c.dim); got != c.want {
			t.Errorf("Format(%v, %s) = %q, want %q", c.value, c.dim, got, c.want)
		}
	}
}

func TestBrief(t *testing.T) {
	tests := []struct {
		value float64
		dim   spec.Dimension
		want  string
	}{
		{22.3456, spec.Conductance, "22.3 W/K"},
		{160.9e-6, spec.Volume, "161 mL"},
		{1.2345e-3, spec.Volume, "1.23 L"},
		{0.14, spec.Resistance, "0.14 K/W"},
		{0.00123456, spec.Resistance, "0.00123 K/W"},
		{4 * 9806.65, spec.Head, "4 m"},
		{1050. / 60, spec.RotationSpeed, "1050 rpm"},
		{1054. / 60, spec.RotationSpeed, "1050 rpm"},
		{1. / 3, spec.Ratio, "33.3 %"},
		{295.15, spec.Temperature, "22 degC"},
		{295.456, spec.Temperature, "22.3 degC"},
		{388.15, spec.Temperature, "115 degC"},
		{1234567, spec.Count, "1234567"},
		{0, spec.Volume, "0 mL"},
		{-0.0123456, spec.Length, "-12.3 mm"},
		{math.Inf(1), spec.Length, "+Inf"},
	}
	for _, c := range tests {
		if got := Brief(c.value, c.dim); got != c.want {
			t.Errorf("Brief(%v, %s) = %q, want %q", c.value, c.dim, got, c.want)
		}
	}
}

// TestBriefIsNear: what is written comes back within half a unit of the third
// digit, in any dimension.
func TestBriefIsNear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dim := rapid.SampledFrom(all()).Draw(t, "dimension")
		v := drawValue(t, dim)
		got, err := Parse(Brief(v, dim), dim)
		size := math.Abs(v)
		if dim == spec.Temperature {
			size = math.Abs(v - 273.15)
		}
		if err != nil || math.Abs(got-v) > 5.001e-3*size+1e-13*math.Abs(v) {
			t.Fatalf("%v is written %q and read as %v, %v", v, Brief(v, dim), got, err)
		}
	})
}

// all lists the dimensions with and without units.
func all() []spec.Dimension {
	return append(dimensions[:], spec.None, spec.Count, spec.Factor, spec.PerInch, spec.Price)
}

// drawValue draws a finite value that makes sense in the dimension.
func drawValue(t *rapid.T, dim spec.Dimension) float64 {
	switch dim {
	case spec.Count:
		return float64(rapid.IntRange(-1000000, 1000000).Draw(t, "count"))
	case spec.Temperature:
		return rapid.Float64Range(0, 1e4).Draw(t, "kelvin")
	}
	return rapid.Float64Range(-1e12, 1e12).Draw(t, "value")
}

// TestRoundTrip: a formatted value is read back within the rounding of six
// digits, an exact one without any.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dim := rapid.SampledFrom(all()).Draw(t, "dimension")
		v := drawValue(t, dim)
		got, err := Parse(Format(v, dim), dim)
		tolerance := 5e-6 * math.Abs(v)
		if dim == spec.Temperature {
			tolerance = 5e-6*math.Abs(v-273.15) + 1e-13*v
		}
		if err != nil || math.Abs(got-v) > tolerance {
			t.Fatalf("%v is written %q and read as %v, %v", v, Format(v, dim), got, err)
		}
		if got, err := Parse(Exact(v, dim), dim); err != nil || got != v {
			t.Fatalf("%v is written exactly as %q and read as %v, %v", v, Exact(v, dim), got, err)
		}
	})
}

// TestExactKeepsWhatWasWritten: a value read from few digits in the unit in
// which it is shown is written with those digits.
func TestExactKeepsWhatWasWritten(t *testing.T) {
	for text, dim := range map[string]spec.Dimension{
		"450 mm": spec.Length, "18.15 degC": spec.Temperature, "0.123456789 K/W": spec.Resistance,
		"4.35 L/min": spec.VolumeFlow, "3.7 m": spec.Head, "0.95": spec.Factor, "59.95": spec.Price, "35.1 %": spec.Ratio, "1234.5 rpm": spec.RotationSpeed,
		"100 cm2": spec.Area, "27 deg": spec.Angle, "3 deg": spec.Angle, "60 deg": spec.Angle, "95 m3/h": spec.Airflow, "117.3 m3/h": spec.Airflow,
	} {
		v, err := Parse(text, dim)
		if err != nil || Exact(v, dim) != text {
			t.Errorf("%q comes back as %q (%v)", text, Exact(v, dim), err)
		}
	}
}

// TestTable checks what messages and schemas rely on.
func TestTable(t *testing.T) {
	for _, dim := range all() {
		k := kinds[dim]
		if got, err := Parse(Example(dim), dim); err != nil || got <= 0 {
			t.Errorf("%s: example %q is read as %v, %v", dim, Example(dim), got, err)
		}
		if len(Units(dim)) != len(k.units) || k.label == "" {
			t.Errorf("%s: %d names for %d units, label %q", dim, len(Units(dim)), len(k.units), k.label)
		}
		for _, name := range k.suggest {
			if _, ok := k.unit(name); !ok {
				t.Errorf("%s suggests %s, which it does not know", dim, name)
			}
		}
		for _, s := range k.show {
			if x, ok := k.unit(s.unit); !ok || x.inverse {
				t.Errorf("%s shows %s, which it does not know or cannot invert", dim, s.unit)
			}
		}
		seen := map[string]bool{}
		for _, x := range k.units {
			for _, s := range append([]string{x.name}, x.also...) {
				if seen[s] {
					t.Errorf("%s: %q is spelled twice", dim, s)
				}
				seen[s] = true
				if _, err := Parse("3 "+s, dim); err != nil {
					t.Errorf("%s: its own spelling %q is not read: %v", dim, s, err)
				}
			}
		}
	}
	if strings.Join(Units(spec.Length), " ") != "mm cm m in" || Units(spec.Count) != nil {
		t.Errorf("units of length %v, of counts %v", Units(spec.Length), Units(spec.Count))
	}
}
