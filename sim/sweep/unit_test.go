package sweep

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// TestUnits: what a column shows, written with its unit, is read by the reader of
// files as the very number of the run, and stays as it is when it is rounded
// again.
func TestUnits(t *testing.T) {
	for d, u := range units {
		rapid.Check(t, func(t *rapid.T) {
			x := math.Exp(rapid.Float64Range(-12, 12).Draw(t, "logarithm"))
			if u.zero != nil {
				x = rapid.Float64Range(230, 430).Draw(t, "kelvin")
			}
			if d == spec.Count {
				x = math.Round(x)
			}
			r := u.rounded(x)
			if math.Abs(r-x) > 1e-11*math.Abs(x) {
				t.Fatalf("%s: %v is rounded to %v", d, x, r)
			}
			text := u.decimal(r)
			if text != u.decimal(x) || u.rounded(r) != r {
				t.Fatalf("%s: %v and %v are shown as %s and %s", d, x, r, u.decimal(x), text)
			}
			if u.label != "" {
				text += " " + u.label
			}
			read, err := quantity.Parse(text, d)
			if err != nil || read != r {
				t.Fatalf("%s: %s is read as %v, %v; the run has %v", d, text, read, err, r)
			}
		})
	}
}

// TestUnitsAreComplete: no dimension that a field has goes without its unit.
func TestUnitsAreComplete(t *testing.T) {
	seen := map[*spec.Section]bool{}
	var visit func(s *spec.Section)
	visit = func(s *spec.Section) {
		if s == nil || seen[s] {
			return
		}
		seen[s] = true
		for _, f := range s.Fields {
			if _, ok := units[f.Dimension]; !ok && f.Dimension != spec.None {
				t.Errorf("%s of %s has no unit for %s", f.Key, s.Name, f.Dimension)
			}
			visit(f.Section)
		}
		for _, k := range s.Kinds {
			visit(k.Section)
		}
	}
	visit(spec.Root())
	if len(seen) < 30 {
		t.Errorf("only %d sections", len(seen))
	}
}

// TestShown gives numbers as they are known.
func TestShown(t *testing.T) {
	for _, c := range []struct {
		d    spec.Dimension
		x    float64
		want float64
	}{
		{spec.Length, 0.028, 28}, {spec.RotationSpeed, 1000. / 60, 1000}, {spec.Temperature, 296.15, 23}, {spec.Temperature, 273.15, 0},
		{spec.Ratio, 0.07, 7}, {spec.VolumeFlow, 4. / 60000, 4}, {spec.Airflow, 95. / 3600, 95}, {spec.Volume, 610e-6, 610}, {spec.Head, 3.6 * 9806.65, 3.6},
		{spec.Count, 3, 3}, {spec.PerInch, 14, 14}, {spec.Length, 1. / 3, 333.333333333}, {spec.Difference, math.Copysign(0, -1), 0},
	} {
		if got := unitOf(spec.Field{}, c.d).shown(c.x); got != c.want || math.Signbit(got) {
			t.Errorf("%v of %s is shown as %v, want %v", c.x, c.d, got, c.want)
		}
	}
}
