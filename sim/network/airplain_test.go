package network_test

import (
	"fmt"
	"math"
	"testing"

	"soakledger/sim/network"
)

// fanned is a network of two lumps of metal warmed by air, whose pass breathes and
// blows at one node, the room or a case with a vent, and has a fan before the core and a lamp behind it. A
// sensor at its inlet (sensed), which takes no heat, makes the pass one that is worked out
// as any other; without it the pass is plain.
func fanned(t *testing.T, indoors, sensed bool) *network.Network {
	t.Helper()
	b := network.NewBuilder(nil)
	first, other, cabinet := b.Lump("first", 200), b.Lump("other", 50), b.Lump("case", 100)
	air, out := b.Boundary("room"), b.Path("walls")
	b.Conduct(first, other, 2, out)
	b.Conduct(cabinet, air, 5, out)
	if indoors {
		air = cabinet
	}
	p := b.AirPass("core", network.AirPass{From: from(network.AirOf(air, 1)), To: from(network.AirOf(air, 1))})
	b.AirConduct(first, p, 6)
	b.AirConduct(other, p, 3)
	b.SourceInto("fan", p, false)
	b.SourceInto("lamp", p, true)
	if sensed {
		b.Lag("sensor", 5, network.InletOf(p, 1))
	}
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	n.SetReference(290)
	return n
}

// A plain pass is a pass: rates, their derivatives, and what its air is, are those of one
// that is worked out as all air is, whatever its flow and however its sources change.
func TestPlainPassIsAPass(t *testing.T) {
	for _, indoors := range []bool{false, true} {
		for _, flow := range []network.AirFlow{{Rate: 20, Forced: 1}, {Rate: 20, Forced: 0.4}, {Rate: 15, Forced: 1, Backward: true}, {Rate: 9, Forced: 0.7, Backward: true}, {}} {
			for _, ramps := range []bool{false, true} {
				t.Run(fmt.Sprintf("indoors=%v/%+v/ramps=%v", indoors, flow, ramps), func(t *testing.T) {
					plain, sensed := fanned(t, indoors, false), fanned(t, indoors, true)
					for _, n := range []*network.Network{plain, sensed} {
						in := n.NewInputs()
						in.Temperature[0], in.Air[0], in.Since = 295, flow, 3
						copy(in.Power, []float64{7, 4})
						if ramps {
							in.Slope[0] = 0.01
							copy(in.PowerSlope, []float64{0.3, -0.2})
						}
						n.SetInputs(in)
					}
					samePass(t, plain, sensed)
				})
			}
		}
	}
}

// samePass compares a network with the one that has a sensor besides, at the time 13 s.
func samePass(t *testing.T, plain, sensed *network.Network) {
	t.Helper()
	const at = 13
	_, quads := plain.Dim()
	y := append([]float64{320, 310, 300}, make([]float64, quads)...)
	z := append([]float64{320, 310, 300, 280}, make([]float64, quads)...) // with the sensor
	without := func(values []float64) []float64 { return append(append([]float64(nil), values[:3]...), values[4:]...) }
	agree := func(what string, got, want []float64, rounding float64) {
		t.Helper()
		for i := range want {
			if !(math.Abs(got[i]-want[i]) <= rounding) {
				t.Errorf("%s, row %d: %.17g, want %.17g", what, i, got[i], want[i])
			}
		}
	}
	agree("F", rates(plain, at, y), without(rates(sensed, at, z)), 1e-12)
	agree("Jacobian", dense(plain, at, y, 3), without3(dense(sensed, at, z, 4)), 1e-13)
	dt, want := make([]float64, len(y)), make([]float64, len(z))
	plain.TimeDerivative(at, y, dt)
	sensed.TimeDerivative(at, z, want)
	agree("time derivative", dt, without(want), 1e-14)
	plain.Bring(at, y)
	sensed.Bring(at, z)
	in, out, heat := plain.Air(0)
	wantIn, wantOut, wantHeat := sensed.Air(0)
	agree("air", []float64{in, out, heat}, []float64{wantIn, wantOut, wantHeat}, 1e-11)
}

// dense returns the Jacobian in full, row by row.
func dense(n *network.Network, at float64, y []float64, states int) []float64 {
	p := n.Pattern()
	values, all := make([]float64, len(p.Col)), make([]float64, len(y)*states)
	n.Jacobian(at, y, values)
	for row := range len(y) {
		for k := p.RowStart[row]; k < p.RowStart[row+1]; k++ {
			all[row*states+p.Col[k]] = values[k]
		}
	}
	return all
}

// without3 leaves row and column 3 out of a Jacobian of 4 states.
func without3(all []float64) (rest []float64) {
	for row := range len(all) / 4 {
		if row != 3 {
			rest = append(rest, all[4*row:4*row+3]...)
		}
	}
	return rest
}

// The air at the inlet of a plain pass moves with its node and its fan, while the lumps
// stay: what was worked out at a state is brought up to date by new inputs and times.
func TestPlainInletFollows(t *testing.T) {
	n := fanned(t, true, false)
	in := n.NewInputs()
	in.Air[0] = network.AirFlow{Rate: 10, Forced: 1}
	in.Temperature[0], in.Power[0] = 295, 5
	y := []float64{320, 310, 300, 0}
	inlet := func(at float64) float64 {
		n.Bring(at, y)
		t, _, _ := n.Air(0)
		return t
	}
	n.SetInputs(in)
	steps := []struct {
		what string
		do   func()
		at   float64
		want float64
	}{
		{"at first", func() {}, 0, 300 + 5./10},
		{"another power", func() { in.Power[0] = 8; n.SetInputs(in) }, 0, 300 + 8./10},
		{"a ramp", func() { in.PowerSlope[0] = 1; n.SetInputs(in) }, 4, 300 + 12./10},
		{"later", func() {}, 6, 300 + 14./10},
		{"another state", func() { y[2] = 301 }, 6, 301 + 14./10},
		{"more air", func() { in.Air[0].Rate = 20; n.SetInputs(in) }, 6, 301 + 14./20},
		{"no air", func() { in.Air[0] = network.AirFlow{}; n.SetInputs(in) }, 6, 301},
	}
	for _, s := range steps {
		s.do()
		if got := inlet(s.at); math.Abs(got-s.want) > 1e-12 {
			t.Errorf("%s: %.15g K at the inlet, want %.15g", s.what, got, s.want)
		}
	}
	if got := n.Undetermined(); got == nil {
		t.Error("metal without air counts as tied")
	}
}

// Where the air follows a drive, so does what the fan warms it by: rates by the formula,
// and the Jacobian by differences of F.
func TestHeatedPassOfADrive(t *testing.T) {
	b := network.NewBuilder(nil)
	metal, cabinet := b.Lump("metal", 200), b.Lump("case", 100)
	room, out := b.Boundary("room"), b.Path("walls")
	b.Conduct(cabinet, room, 5, out)
	p := b.AirPass("core", network.AirPass{From: from(network.AirOf(cabinet, 1)), To: from(network.AirOf(cabinet, 1))})
	b.AirConduct(metal, p, 6)
	b.SourceInto("fan", p, false)
	d := b.Drive("fans", 0, 1, network.SumOf(network.TemperatureOf(metal, 1)), func(x float64) (y, slope float64) { return (x - 300) / 100, 0.01 })
	rate := func(speed float64) float64 { return 10 + 20*speed }
	b.AirBy([]network.Drive{d}, nil, func(speeds []float64, air []network.AirFlow, _, _ []float64) error {
		air[0] = network.AirFlow{Rate: rate(speeds[0]), Forced: 1}
		return nil
	})
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.NewInputs()
	in.Temperature[0], in.Power[0] = 295, 8
	n.SetInputs(in)
	y := []float64{333, 301, 0}
	heat := 6 * (y[0] - (y[1] + 8/rate(0.33)))
	for i, want := range []float64{-heat / 200, (heat + 8 - 5*(y[1]-295)) / 100, 5 * (y[1] - 295)} {
		if got := rates(n, 0, y)[i]; math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("row %d: %.15g, want %.15g", i, got, want)
		}
	}
	jac := dense(n, 0, y, 2)
	for col := range 2 {
		above, below := append([]float64(nil), y...), append([]float64(nil), y...)
		above[col] += 1e-3
		below[col] -= 1e-3
		f, g := rates(n, 0, above), rates(n, 0, below)
		for row := range y {
			if want := (f[row] - g[row]) / 2e-3; math.Abs(jac[2*row+col]-want) > 1e-8 {
				t.Errorf("entry (%d, %d): %.12g, by differences %.12g", row, col, jac[2*row+col], want)
			}
		}
	}
}

// Air that a plain pass takes from a case and blows back ties metal to the case, and to
// nothing else.
func TestPlainPassTiesToItsNodeOnly(t *testing.T) {
	b := network.NewBuilder(nil)
	metal, cabinet := b.Lump("metal", 200), b.Lump("case", 100)
	b.Boundary("room")
	p := b.AirPass("core", network.AirPass{From: from(network.AirOf(cabinet, 1)), To: from(network.AirOf(cabinet, 1))})
	b.AirConduct(metal, p, 6)
	b.SourceInto("fan", p, false)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	in := n.NewInputs()
	in.Air[0] = network.AirFlow{Rate: 10, Forced: 1}
	n.SetInputs(in)
	if got := n.Undetermined(); len(got) != 2 {
		t.Errorf("undetermined %v, want both lumps", got)
	}
}
