package fluid

import (
	"math"
	"strings"
	"sync"
	"testing"
)

func TestCoolantDescription(t *testing.T) {
	constant, err := Constant(Properties{1000, 4000, 1e-3, 0.6})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range []struct {
		c     *Coolant
		name  string
		kind  Kind
		share float64
	}{
		{Water(), "water", KindWater, 0},
		{mustGlycol(t, KindEthyleneGlycol, 0.3), "ethylene glycol 30 % by mass", KindEthyleneGlycol, 0.3},
		{mustGlycol(t, KindPropyleneGlycol, 0.3079), "propylene glycol 30.79 % by mass", KindPropyleneGlycol, 0.3079},
		{mustGlycol(t, KindPropyleneGlycol, 0.1+0.2), "propylene glycol 30 % by mass", KindPropyleneGlycol, 0.1 + 0.2},
		{constant, "constant properties", KindConstant, 0},
	} {
		if r.c.Name() != r.name || r.c.Kind() != r.kind || r.c.MassShare() != r.share {
			t.Errorf("got %q, %v, %v; want %q, %v, %v", r.c.Name(), r.c.Kind(), r.c.MassShare(), r.name, r.kind, r.share)
		}
	}
}

func TestRange(t *testing.T) {
	for _, c := range []*Coolant{
		Water(), mustGlycol(t, KindEthyleneGlycol, 0.6), mustGlycol(t, KindPropyleneGlycol, 0.01),
	} {
		low, high := c.Range()
		if low != c.FreezingPoint() || high != celsius(95) {
			t.Errorf("%s: range %v to %v K, freezing at %v", c.Name(), low, high, c.FreezingPoint())
		}
	}
	if f := Water().FreezingPoint(); f != 273.15 {
		t.Errorf("water freezes at %v K", f)
	}
}

func TestNewRejectsKind(t *testing.T) {
	for _, kind := range []Kind{KindConstant, 17, -1} {
		if c, err := New(kind, 0); err == nil || c != nil {
			t.Errorf("New(%v, 0): no error", kind)
		}
	}
}

func TestConstant(t *testing.T) {
	p := Properties{Density: 1040, SpecificHeat: 3700, Viscosity: 2e-3, Conductivity: 0.45}
	c, err := Constant(p)
	if err != nil {
		t.Fatal(err)
	}
	low, high := c.Range()
	if low != 0 || high != 10_000 || c.FreezingPoint() != 0 {
		t.Errorf("range %v to %v, freezing point %v", low, high, c.FreezingPoint())
	}
	for _, T := range []float64{1, 150, 273.15, 300, 368.15, 600, 9000} {
		got := Properties{c.Density(T), c.SpecificHeat(T), c.Viscosity(T), c.Conductivity(T)}
		if got != p || c.Expansion(T) != 0 {
			t.Errorf("at %g K: %+v, expansion %v", T, got, c.Expansion(T))
		}
		relative(t, "Prandtl", c.Prandtl(T), 2e-3*3700/0.45, 1e-15)
		rho, _ := c.Fast().Density(T)
		mu, _ := c.Fast().Viscosity(T)
		k, _ := c.Fast().Conductivity(T)
		h, cp, dcp := c.Fast().Enthalpy(T)
		if fast := (Properties{rho, cp, mu, k}); fast != p || dcp != 0 {
			t.Errorf("table at %g K: %+v, dcp %v", T, fast, dcp)
		}
		within(t, "enthalpy", h, 3700*(T-273.15), 1e-8)
	}
}

func TestConstantRejects(t *testing.T) {
	good := [4]float64{1000, 4000, 1e-3, 0.6}
	for i, name := range []string{"density", "specific heat", "viscosity", "conductivity"} {
		for _, bad := range []float64{0, -1, math.NaN(), math.Inf(1), math.Inf(-1)} {
			p := good
			p[i] = bad
			_, err := Constant(Properties{p[0], p[1], p[2], p[3]})
			if err == nil || !strings.Contains(err.Error(), name) {
				t.Errorf("%s of %v: error %v", name, bad, err)
			}
		}
	}
}

// TestFastIsBuiltOnce: every goroutine gets the same table. Under the race
// detector this also checks that building it is safe.
func TestFastIsBuiltOnce(t *testing.T) {
	c := mustGlycol(t, KindPropyleneGlycol, 0.25)
	tables := make([]*Table, 8)
	var group sync.WaitGroup
	for i := range tables {
		group.Go(func() { tables[i] = c.Fast() })
	}
	group.Wait()
	for _, table := range tables {
		if table == nil || table != tables[0] {
			t.Fatal("Fast returned different tables")
		}
	}
}
