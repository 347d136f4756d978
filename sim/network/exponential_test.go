package network

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// math.Exp is good to less than one unit in the last place; this one is to stay
// within two units of it.
func TestExponential(t *testing.T) {
	check := func(fail func(string, ...any), x float64) {
		got, want := exponential(x), math.Exp(x)
		if !(math.Abs(got-want) <= 2*0x1p-52*want) {
			fail("exponential(%v) = %v, want %v", x, got, want)
		}
	}
	for _, x := range []float64{0, 1, -1, math.Ln2 / 256, 699.99, -699.99, 700, -700, 1e-300, math.Copysign(0, -1)} {
		check(t.Errorf, x)
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t.Fatalf, rapid.Float64Range(-720, 709).Draw(t, "x"))
		check(t.Fatalf, rapid.Float64Range(-1.5, 1.5).Draw(t, "small x"))
	})
}

func TestExponentialAtTheEnds(t *testing.T) {
	for _, c := range []struct{ x, want float64 }{
		{0, 1}, {math.Inf(1), math.Inf(1)}, {math.Inf(-1), 0}, {1e4, math.Inf(1)}, {-1e4, 0},
	} {
		if got := exponential(c.x); got != c.want {
			t.Errorf("exponential(%g) = %g, want %g", c.x, got, c.want)
		}
	}
	if got := exponential(math.NaN()); !math.IsNaN(got) {
		t.Errorf("exponential(NaN) = %g", got)
	}
}
