package quantity

import (
	"regexp"
	"testing"

	"soakledger/sim/spec"
)

// TestPattern: the schema's pattern and Parse agree on what is a unit.
func TestPattern(t *testing.T) {
	for _, dim := range all() {
		pattern, err := regexp.Compile("^(?:" + Pattern(dim) + ")$")
		if err != nil {
			t.Fatalf("%s: %v", dim, err)
		}
		texts := []string{Example(dim), "12", "12 parsec", "1,5 mm", "", "12 mm", "0.5 K", "3 dBA", "7 W/K", "1e3 L", "- 5 s", "4 fl oz", "1 h 30 min"}
		for _, x := range kinds[dim].units {
			for _, s := range append([]string{x.name}, x.also...) {
				texts = append(texts, "1.5 "+s, ".5"+s, "+2e-1  "+s+" ")
			}
		}
		for _, text := range texts {
			_, err := Parse(text, dim)
			wholeOnly := dim == spec.Count && text == "1.5"
			if got := pattern.MatchString(text); got != (err == nil) && !wholeOnly {
				t.Errorf("%s %q: pattern says %t, Parse says %v", dim, text, got, err)
			}
		}
	}
}

// TestPatternTypography checks variants that tidy turns into plain characters.
func TestPatternTypography(t *testing.T) {
	for text, dim := range map[string]spec.Dimension{
		"22 ℃": spec.Temperature, "22 º C": spec.Temperature, "−5 °C": spec.Temperature,
		"998 kg/m³": spec.Density, "4180 J/(kg·K)": spec.SpecificHeat, "4 L per min": spec.VolumeFlow,
		"4 L / min": spec.VolumeFlow, "1″": spec.Length, "180 W per 10 K": spec.Conductance, "30 dB (A)": spec.SoundLevel,
		"100 cm²": spec.Area, "2 sq in": spec.Area, "27 º": spec.Angle, "27°": spec.Angle, "95 m³/h": spec.Airflow, "95 m3 per h": spec.Airflow, "2 mm H₂O": spec.Pressure,
	} {
		if !regexp.MustCompile("^(?:" + Pattern(dim) + ")$").MatchString(text) {
			t.Errorf("%s: the pattern does not know %q", dim, text)
		}
		if _, err := Parse(text, dim); err != nil {
			t.Errorf("%s: %v", dim, err)
		}
	}
}
