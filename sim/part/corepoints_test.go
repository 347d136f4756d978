package part_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

// Property: with its draught a core at rest gives off the passive conductance at the test
// flow; with fans it never gives less than without, more with more of them, and soon what
// they alone bring.
func TestDraught(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c, a := drawCore(t), seaAir()
		passive := c.Passive().Value * rapid.Float64Range(.3, 2).Draw(t, "passive")
		coolant, film := rapid.Float64Range(140, 400).Draw(t, "coolant"), rapid.Float64Range(100, 600).Draw(t, "film")
		factor := rapid.Float64Range(.5, 2).Draw(t, "factor")
		if passive > .5*math.Min(coolant, film) {
			return // more than a still core of that size can be asked for
		}
		draught, err := c.Draught(passive, factor, film, coolant, a)
		if err != nil {
			t.Fatal(err)
		}
		heat := func(fans float64) float64 {
			s := c.Air(part.WithDraught(fans, draught), a)
			return c.Heat(part.Overall(factor*s.Conductance, film), coolant, s.CapacityRate)
		}
		near(t, "heat at rest", heat(0), passive, 1e-9)
		last := heat(0)
		for q := .01 * draught; q < 4*c.Face(); q *= 1.3 {
			if h := heat(q); h < last*(1-1e-12) {
				t.Fatalf("%g W/K at %g m3/s after %g", h, q, last)
			} else {
				last = h
			}
		}
		near(t, "fans ten times the draught", part.WithDraught(10*draught, draught), 10*draught, 4e-4)
	})
}

// The blend starts level, is symmetric and closed at rest.
func TestWithDraught(t *testing.T) {
	near(t, "equal", part.WithDraught(.01, .01), .01*math.Cbrt(2), 1e-15)
	near(t, "swapped", part.WithDraught(.003, .01), part.WithDraught(.01, .003), 1e-15)
	if part.WithDraught(0, 0) != 0 || part.WithDraught(0, .002) != .002 {
		t.Error("fans at rest change the draught")
	}
	slope := slopeAt(func(q float64) float64 { return part.WithDraught(q, .002) }, 1e-5, 1e-7)
	inside(t, "slope near rest", slope, 0, 1e-4)
}

func TestDraughtRefusals(t *testing.T) {
	c := must[*part.Core](t)(part.NewCore(referenceShape()))
	for _, passive := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		if _, err := c.Draught(passive, 1, 200, 280, seaAir()); err == nil || !strings.Contains(err.Error(), "above zero") {
			t.Errorf("%g W/K without fans gives %v", passive, err)
		}
	}
	if _, err := c.Draught(250, 1, 200, 280, seaAir()); err == nil || !strings.Contains(err.Error(), "film") {
		t.Errorf("more than the film gives %v", err)
	}
	near(t, "passive by the face", c.Passive().Value, 2*part.SectionPassive().Value, 1e-14)
}

// corrected returns the heat over inlet difference of a core whose air side a factor
// corrects, as a test states it.
func corrected(c *part.Core, p part.CorePoint, test part.CoreTest, factor float64) float64 {
	s := c.Air(p.Airflow, test.Air)
	heat := c.Heat(part.Overall(factor*s.Conductance, test.Film), test.CapacityRate, s.CapacityRate)
	if test.PerMean {
		return heat / (1 - heat/(2*test.CapacityRate))
	}
	return heat
}

// Property: the corrected core meets every point exactly; between two points the factor
// lies between theirs; beyond them it is that of the nearest, and said to be outside.
func TestPointsCorrectTheCore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCore(t)
		test := part.CoreTest{CapacityRate: 279, Film: 2000, PerMean: rapid.Bool().Draw(t, "per mean"), Air: seaAir()}
		var points []part.CorePoint
		for i, n := 0, rapid.IntRange(1, 4).Draw(t, "points"); i < n; i++ {
			speed := (500 + 400*float64(i)) * rpm
			q := c.Face() * .8 * speed / (1000 * rpm)
			p := part.CorePoint{Speed: speed, Airflow: q}
			p.Conductance = corrected(c, p, test, rapid.Float64Range(.6, 1.5).Draw(t, "factor"))
			s := c.Air(q, test.Air)
			p.Conductance = math.Min(p.Conductance, .9*math.Min(s.CapacityRate, test.CapacityRate)) // more would be refused, as it should be
			points = append(points, p)
		}
		f, err := c.Correct(points, test)
		if err != nil {
			t.Fatal(err)
		}
		factors := make([]float64, len(points))
		for i, p := range points {
			k, outside := f.At(p.Speed)
			if outside {
				t.Fatalf("point %d is outside", i)
			}
			near(t, fmt.Sprint("conductance at point ", i), corrected(c, p, test, k), p.Conductance, 1e-9)
			factors[i] = k
		}
		for i := 1; i < len(points); i++ {
			low, high := math.Min(factors[i-1], factors[i]), math.Max(factors[i-1], factors[i])
			for n := points[i-1].Speed; n < points[i].Speed; n += 20 * rpm {
				k, outside := f.At(n)
				if outside || k < low*(1-1e-12) || k > high*(1+1e-12) {
					t.Fatalf("factor %g between %g and %g, outside %v", k, low, high, outside)
				}
			}
		}
		if k, outside := f.At(100 * rpm); !outside || math.Abs(k/factors[0]-1) > 1e-12 {
			t.Fatalf("below the points %g, outside %v", k, outside)
		}
		if k, outside := f.At(5000 * rpm); !outside || math.Abs(k/factors[len(factors)-1]-1) > 1e-12 {
			t.Fatalf("above the points %g, outside %v", k, outside)
		}
		if k, outside := f.At(0); outside || math.Abs(k/factors[0]-1) > 1e-12 {
			t.Fatalf("at rest %g, outside %v", k, outside)
		}
	})
}

func TestPointsRange(t *testing.T) {
	c := must[*part.Core](t)(part.NewCore(referenceShape()))
	test := part.CoreTest{CapacityRate: 279, Film: 250, Air: seaAir()}
	points := []part.CorePoint{{500 * rpm, .012, 0}, {1000 * rpm, .024, 0}, {1500 * rpm, .036, 0}}
	for i, k := range []float64{1.2, .8, 1.1} {
		points[i].Conductance = corrected(c, points[i], test, k)
	}
	least, largest := must[part.CoreFactor](t)(c.Correct(points, test)).Range()
	near(t, "least", least, .8, 1e-9)
	near(t, "largest", largest, 1.2, 1e-9)
	slope := func(n float64) float64 {
		f := must[part.CoreFactor](t)(c.Correct(points, test))
		return slopeAt(func(n float64) float64 { k, _ := f.At(n); return k }, n, .01*rpm)
	}
	inside(t, "slope just above the first point", slope(500.1*rpm)*rpm, -1e-5, 1e-5)
	inside(t, "slope just below the last", slope(1499.9*rpm)*rpm, -1e-5, 1e-5)
}

func TestPointRefusals(t *testing.T) {
	c := must[*part.Core](t)(part.NewCore(referenceShape()))
	test := part.CoreTest{CapacityRate: 279, Film: 30, Air: seaAir()}
	at := func(speed, airflow, conductance float64) part.CorePoint {
		return part.CorePoint{Speed: speed * rpm, Airflow: airflow, Conductance: conductance}
	}
	for _, r := range []struct {
		points []part.CorePoint
		test   part.CoreTest
		want   string
	}{
		{nil, test, "no points"},
		{[]part.CorePoint{at(0, .02, 10)}, test, "speeds must be above zero"},
		{[]part.CorePoint{at(1000, .02, 10), at(900, .02, 12)}, test, "rise from point to point"},
		{[]part.CorePoint{at(1000, .02, 0)}, test, "cannot be"},
		{[]part.CorePoint{at(1000, .02, 23.5)}, test, "more than 95 % of what the air can carry"},
		{[]part.CorePoint{at(1000, .02, 22)}, test, "between coolant and tubes let through"},
		{[]part.CorePoint{at(1000, 1, 270)}, part.CoreTest{CapacityRate: 279, Film: 3e3, Air: seaAir()}, "95 % of the 279 W/K that the coolant brings"},
	} {
		if _, err := c.Correct(r.points, r.test); err == nil || !strings.Contains(err.Error(), r.want) {
			t.Errorf("%v: %v, want %q", r.points, err, r.want)
		}
	}
}
