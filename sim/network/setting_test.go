package network_test

import (
	"math"
	"testing"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/part"
)

// adjusted is an operation given by one function of settings and temperature, and counts how often
// it is asked.
type adjusted struct {
	count int
	at    func(settings []float64, t float64, dst []float64) error
	calls *int
}

func (a adjusted) Values() int { return a.count }

func (a adjusted) AtSettings(settings []float64, t float64, dst []float64) error {
	if a.calls != nil {
		*a.calls++
	}
	return a.at(settings, t, dst)
}

// span is the range of a setting.
type span struct{ low, high float64 }

// lawBath is a bath with a law over settings.
func lawBath(t testing.TB, op network.Adjustable, low, high float64, spans ...span) *network.Network {
	t.Helper()
	b := network.NewBuilder(fluid.Water().Fast())
	var settings []network.Setting
	for _, s := range spans {
		settings = append(settings, b.Setting("setting", s.low, s.high))
	}
	b.Follow("core", b.CoolantLump("bath", 1), op, settings, low, high)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return n
}

func setTo(n *network.Network, settings ...float64) {
	in := n.NewInputs()
	in.Setting = settings
	n.SetInputs(in)
}

// worstOf returns by how much the law is off at settings, as a part of the quantity.
func worstOf(t *testing.T, n *network.Network, op network.Adjustable, at float64, settings ...float64) float64 {
	t.Helper()
	setTo(n, settings...)
	want, worst := make([]float64, op.Values()), 0.0
	if err := op.AtSettings(settings, at, want); err != nil {
		t.Fatal(err)
	}
	for v, w := range want {
		got, ok := n.QuantityOf(0, v, at)
		if !ok {
			t.Fatal("no such quantity")
		}
		worst = math.Max(worst, math.Abs(got/w-1))
	}
	return worst
}

// coreLaw is what a radiator conducts over the share of a pump's full flow and the
// airflow (m3/s): film, and metal to the inlet's air for each of four cells.
func coreLaw(t *testing.T, style part.FinStyle) adjusted {
	shape := part.CoreFiguresOf(.03).Shape(.360, .120, .03)
	shape.Style = style
	core, err := part.NewCore(shape)
	if err != nil {
		t.Fatal(err)
	}
	film, err := part.NewFilm(250, 4e-3/60, 0.7, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	water, air := fluid.Water().Fast(), part.AirAt(298.15, 101325, 0.008)
	return adjusted{2, func(s []float64, at float64, dst []float64) error {
		flow := s[0] * 5e-3 / 60
		side := core.Air(s[1], air)
		dst[0], _, _ = film.Conductance(water, flow, at)
		dst[1] = core.Cells(side.Conductance, dst[0], flow*4.15e6, side.CapacityRate, 4)
		return nil
	}, nil}
}

// Between knots the conductances of a core are within 0.1 % of the formulas, over all
// speeds of fans from a draught on, of a pump from a fifth of its flow on, and over both together.
func TestSettingsOfACore(t *testing.T) {
	for style := range part.FinStyles() {
		op := coreLaw(t, part.FinStyle(style))
		n := lawBath(t, op, 278, 348, span{0.2, 1}, span{0.004, 0.09})
		worst, where := 0.0, [2]float64{}
		for u := 0.2; u <= 1; u += 0.0137 {
			for q := 0.004; q <= 0.09; q += 0.00087 {
				if off := worstOf(t, n, op, 305, u, q); off > worst {
					worst, where = off, [2]float64{u, q}
				}
			}
		}
		if !(worst < 1e-3) {
			t.Errorf("fins %d: off by %.1e at %v", style, worst, where)
		}
	}
}

// The flow that a pump drives, and a film with it, are within 0.1 % over the pump's
// speed, from water to glycol, laminar or turbulent; where the flow of glycol in a long and narrow tube turns turbulent
// within a few hundredths of the speed, within 0.3 %.
func TestSettingsOfAPump(t *testing.T) {
	ethylene, err := fluid.New(fluid.KindEthyleneGlycol, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	pump, err := part.NewPumpCurve(36e3, 0.9/3600)
	if err != nil {
		t.Fatal(err)
	}
	film, err := part.NewFilm(60, 4e-3/60, 0.7, 0.1)
	if err != nil {
		t.Fatal(err)
	}
	for _, coolant := range []*fluid.Coolant{fluid.Water(), ethylene} {
		for k, ring := range rings(t) {
			calls, most := 0, 1e-3
			if coolant == ethylene && k == 1 {
				most = 3e-3
			}
			op := adjusted{2, func(s []float64, at float64, dst []float64) error {
				return pumped{coolant, ring, pump, s[0], film, &calls}.At(at, dst)
			}, nil}
			n := lawBath(t, op, 278, 348, span{0.25, 1})
			for _, at := range []float64{285, 300, 315, 330} {
				for u := 0.25; u <= 1; u += 0.00173 {
					if off := worstOf(t, n, op, at, u); !(off < most) {
						t.Errorf("%s, ring %d, %g K, speed %.3f: off by %.1e", coolant.Name(), k, at, u, off)
					}
				}
			}
		}
	}
}

// parabolas is a function of two settings that a blend holds without error, at any temperature.
func parabolas(s []float64, _ float64, dst []float64) error {
	dst[0] = (3 + s[0] - 0.4*s[0]*s[0]) * (2 - 0.5*s[1] + 0.7*s[1]*s[1])
	return nil
}

// A product of parabolas is held without error, everywhere in the ranges; beyond them the nearest ends count.
func TestSettingsOfParabolas(t *testing.T) {
	op := adjusted{1, parabolas, nil}
	n := lawBath(t, op, 280, 360, span{-1, 2}, span{0.1, 1.7})
	for x := -1.0; x <= 2; x += 0.0371 {
		for y := 0.1; y <= 1.7; y += 0.0217 {
			if off := worstOf(t, n, op, 300, x, y); !(off < 1e-13) {
				t.Fatalf("off by %g at %g, %g", off, x, y)
			}
		}
	}
	setTo(n, 2, 0.1)
	want, _ := n.QuantityOf(0, 0, 300)
	setTo(n, 2.3, -5)
	if got, _ := n.QuantityOf(0, 0, 300); got != want || n.Setting(0) != 2.3 {
		t.Errorf("%g beyond the range, %g at its end", got, want)
	}
}

// Value and slope are continuous in a setting: a second difference goes with the square of the step, also
// across knots; and what adds up at the knots adds up between them, where one branch takes over from the other.
func TestSettingsAreSmoothAndAddUp(t *testing.T) {
	const step = 1e-4
	n := lawBath(t, adjusted{3, func(s []float64, at float64, dst []float64) error {
		dst[0] = 2 + math.Sin(5*s[0]) + at/300
		dst[1] = dst[0] * (0.5 + 0.4*math.Tanh(20*(s[0]-0.6)))
		dst[2] = dst[0] - dst[1]
		return nil
	}, nil}, 280, 360, span{0.2, 1})
	var last [2]float64
	for k := 0; 0.2+float64(k)*step <= 1; k++ {
		setTo(n, 0.2+float64(k)*step)
		a, _ := n.QuantityOf(0, 0, 310)
		b, _ := n.QuantityOf(0, 1, 310)
		c, _ := n.QuantityOf(0, 2, 310)
		if !(math.Abs(b+c-a) <= 1e-14*a) {
			t.Fatalf("%g and %g of %g", b, c, a)
		}
		if k >= 2 && !(math.Abs(a-2*last[1]+last[0]) <= 40*step*step) { // 25 is the bend of the sine
			t.Fatalf("jumps at %g", 0.2+float64(k)*step)
		}
		last = [2]float64{last[1], a}
	}
}

// Tables are made when first needed: one at Build, those around new settings when they are set, none again, and none
// beside a knot's own.
func TestSettingsAreTabulatedLazily(t *testing.T) {
	calls := 0
	n := lawBath(t, adjusted{1, parabolas, &calls}, 280, 360, span{0, 1}, span{0, 1})
	one := calls
	for _, c := range []struct {
		x, y   float64
		tables int // that are new
	}{{1, 1, 0}, {0.5, 1, 4}, {0.5, 0.5, 16}, {0.5, 0.5, 0}, {0.5, 1, 0}, {0, 0, 1}, {0, 0.49, 4}, {0.25, 0.25, 1}} {
		calls = 0
		if setTo(n, c.x, c.y); calls != c.tables*one {
			t.Errorf("%g, %g: computed %d times, want %d", c.x, c.y, calls, c.tables*one)
		}
	}
	fixed := 0
	lawBath(t, adjusted{1, parabolas, &fixed}, 280, 360, span{0.3, 0.3}, span{0.7, 0.7})
	if fixed != one {
		t.Errorf("fixed settings: computed %d times, want %d", fixed, one)
	}
}
