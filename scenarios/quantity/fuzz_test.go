package quantity

import (
	"math"
	"testing"

	"soakledger/sim/spec"
)

// FuzzParse: whatever is accepted is finite and survives being written.
func FuzzParse(f *testing.F) {
	for i, dim := range all() {
		f.Add(Example(dim), uint8(i))
	}
	for _, text := range []string{"1 h 30 min", "0.055 K/W", "1e-300 mm", "-0 degC", "1,5 m", "١ m", "\xff", "180 W per 10 K", "1 h 2 h", "9e400 W"} {
		f.Add(text, uint8(0))
	}
	f.Fuzz(func(t *testing.T, text string, index uint8) {
		dim := all()[int(index)%len(all())]
		v, err := Parse(text, dim)
		if err != nil {
			if err.Error() == "" {
				t.Fatal("an error without words")
			}
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) {
			t.Fatalf("%q gives %v", text, v)
		}
		if back, err := Parse(Exact(v, dim), dim); err != nil || back != v {
			t.Fatalf("%q gives %v, written %q, read as %v, %v", text, v, Exact(v, dim), back, err)
		}
		back, err := Parse(Format(v, dim), dim)
		near := math.Abs(v)
		if dim == spec.Temperature {
			near += 273.15
		}
		if err != nil || math.Abs(back-v) > 1e-5*near {
			t.Fatalf("%q gives %v, written %q, read as %v, %v", text, v, Format(v, dim), back, err)
		}
	})
}
