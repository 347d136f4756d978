package part_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

// airflow solves a duct.
func airflow(t reporter, d part.Duct, difference float64, a part.Air, speeds ...float64) float64 {
	t.Helper()
	q, _, err := d.Flow(difference, speeds, a)
	if err != nil {
		t.Errorf("%v", err)
	}
	return q
}

// oneRow is a duct of one row of push fans.
func oneRow(c part.FanCurve, count int, losses ...part.AirResistance) part.Duct {
	return part.Duct{Rows: []part.FanRow{{Curve: c, Count: count, Arrangement: part.Push}}, Losses: losses}
}

// Fans of 22 Pa and 0.033 m3/s, roots of the quadratic equation computed
// independently in double precision. A parabola against 12 Pa at 0.02 m3/s:
// 0.020933929 m3/s (75.36214 m3/h), 13.146881 Pa. A straight line against 300 q +
// 1.5e4 q²: 0.017827136 m3/s, 10.115243 Pa; at 0.7 of the speed 0.0114816296
// (0.644054 of it); two in series 0.0223509386 (1.253759).
func TestFanOperatingPoint(t *testing.T) {
	a := standardAir()
	parabola := must[part.FanCurve](t)(part.NewFanCurve(0.033, 22, 2))
	const area = 0.0144
	square := oneRow(parabola, 1, part.AirLoss{K: 2 * area * area / 1.2 * 12 / (0.02 * 0.02), Area: area})
	q := airflow(t, square, 0, a, 1)
	near(t, "flow", q, .020933929, 0.5e-9/.0209)
	near(t, "flow, m3/h", q*3600, 75.36214, 0.5e-5/75)
	p, _ := square.Rows[0].Pressure(q, 1, 1.2)
	near(t, "pressure", p, 13.146881, 0.5e-6/13)

	line := must[part.FanCurve](t)(part.NewFanCurve(0.033, 22, 1))
	both := oneRow(line, 1, airPolynomial{b: 300, k: 1.5e4})
	full := airflow(t, both, 0, a, 1)
	near(t, "flow of a straight line", full, .017827136, 0.5e-9/.0178)
	p, _ = both.Rows[0].Pressure(full, 1, 1.2)
	near(t, "pressure of a straight line", p, 10.115243, 0.5e-6/10)
	slow := airflow(t, both, 0, a, 0.7)
	near(t, "slower", slow, .0114816296, 0.5e-10/.0114)
	near(t, "ratio", slow/full, .644054, 0.5e-6/.64)
	both.Rows[0].Arrangement = part.PushPull
	twice := airflow(t, both, 0, a, 1)
	near(t, "in series", twice, .0223509386, 0.5e-10/.0223)
	near(t, "ratio in series", twice/full, 1.253759, 0.5e-6/1.25)
}

// Two rows of one fan are what push-pull is; two fans side by side of a straight
// line against b q + k q² have the root of k q² + (b + pm/(2 qm)) q - pm.
func TestTwoFans(t *testing.T) {
	a := standardAir()
	line := must[part.FanCurve](t)(part.NewFanCurve(0.033, 22, 1))
	losses := part.AirSeries{airPolynomial{b: 300, k: 1.5e4}}
	row := part.FanRow{Curve: line, Count: 1, Arrangement: part.Pull}
	near(t, "in series", airflow(t, part.Duct{Rows: []part.FanRow{row, row}, Losses: losses}, 0, a, 1, 1), .0223509386, 0.5e-10/.0223)
	b := 300 + 22/0.066
	near(t, "side by side", airflow(t, oneRow(line, 2, losses...), 0, a, 1), (-b+math.Sqrt(b*b+4*1.5e4*22))/3e4, 1e-12)
	// A standing fan in series costs its own loss, 22 Pa at 0.033 m3/s.
	k := 1.5e4 + 22/(0.033*0.033)
	b = 300 + 22/0.033
	near(t, "with a standing one", airflow(t, part.Duct{Rows: []part.FanRow{row, row}, Losses: losses}, 0, a, 1, 0), (-b+math.Sqrt(b*b+4*k*22))/(2*k), 1e-12)
}

// One of two fans side by side stands, against k q²: as in the test of the row,
// a = (1 + √(k/c)) q and 22 (1 - a/qm) = k q², a quadratic equation.
func TestDuctWithAFailedFan(t *testing.T) {
	const qm, k = 0.033, 3e4
	line := must[part.FanCurve](t)(part.NewFanCurve(qm, 22, 1))
	d := oneRow(line, 2, airPolynomial{k: k})
	d.Rows[0].Failed = 1
	b := 22 / qm * (1 + math.Sqrt(k*qm*qm/22))
	near(t, "flow", airflow(t, d, 0, standardAir(), 1), (-b+math.Sqrt(b*b+4*k*22))/(2*k), 1e-12)
}

// Without fans a duct is its losses: 13.5 Pa drive 0.6 m3/s through K 2.5 on
// 0.2 m2, either way.
func TestDuctWithoutFans(t *testing.T) {
	d := part.Duct{Losses: part.AirSeries{part.AirLoss{K: 2.5, Area: 0.2}}}
	near(t, "driven forwards", airflow(t, d, -13.5, standardAir()), 0.6, 1e-13)
	near(t, "driven backwards", airflow(t, d, 13.5, standardAir()), -0.6, 1e-13)
	near(t, "driven hard", airflow(t, d, -13.5e12, standardAir()), 0.6e6, 1e-13)
	near(t, "hardly driven", airflow(t, d, 13.5e-24, standardAir()), -0.6e-12, 1e-13)
}

// Nothing moves where nothing drives, or where the way is closed: exactly.
func TestDuctAtRest(t *testing.T) {
	c := must[part.FanCurve](t)(part.NewFanCurve(0.033, 22, 1))
	open, shut := part.AirLoss{K: 2, Area: 0.01}, part.AirLoss{K: math.Inf(1), Area: 0.01}
	for name, f := range map[string]struct {
		d          part.Duct
		difference float64
		speed      float64
		slope      float64
	}{
		"standing fans":         {oneRow(c, 2, open), 0, 0, math.Inf(-1)},
		"shut-off":              {oneRow(c, 1, open), 22, 1, -0.033 / 22},
		"closed":                {oneRow(c, 1, shut), 0, 1, 0},
		"closed, blown back":    {oneRow(c, 1, open, shut), 50, 1, 0},
		"laminar and no fan":    {oneRow(c, 1, airPolynomial{b: 200}), 0, 0, -1. / 200},
		"a closed face, no fan": {part.Duct{Losses: part.AirSeries{part.AirLoss{K: 1}}, Rows: []part.FanRow{{Curve: c, Count: 1}}}, 3, 0, 0},
	} {
		q, slope, err := f.d.Flow(f.difference, []float64{f.speed}, standardAir())
		if err != nil || q != 0 || !(slope == f.slope || math.Abs(slope/f.slope-1) < 1e-14) {
			t.Errorf("%s: %g m3/s, slope %g, %v; want a slope of %g", name, q, slope, err, f.slope)
		}
	}
	almost := airflow(t, oneRow(c, 1, part.AirLoss{K: 1e12, Area: 0.0144}), 0, standardAir(), 1)
	near(t, "hardly open", almost, 0.0144*math.Sqrt(2*22/(1.2*1e12)), 1e-5)
	weak := airflow(t, oneRow(c, 1, open), 0, standardAir(), 1e-9)
	near(t, "hardly turning", weak, 1e-9*airflow(t, oneRow(c, 1, open), 0, standardAir(), 1), 1e-12)
}

// drawDuct draws an air stream with no row to two rows of fans, and speeds.
func drawDuct(t *rapid.T) (d part.Duct, speeds []float64) {
	for range rapid.IntRange(0, 2).Draw(t, "rows") {
		d.Rows = append(d.Rows, drawRow(t))
		r := rapid.Float64Range(-0.3, 1.3).Draw(t, "speed")
		if r < 1e-9 {
			r = 0
		}
		speeds = append(speeds, r)
	}
	for range rapid.IntRange(1, 3).Draw(t, "losses") {
		d.Losses = append(d.Losses, drawAirLoss(t))
	}
	if rapid.Bool().Draw(t, "laminar share") {
		d.Losses = append(d.Losses, airPolynomial{b: rapid.Float64Range(20, 2000).Draw(t, "b"), k: 1e3})
	}
	return d, speeds
}

// left returns the pressure that is left over in a duct, and what goes into it;
// a thousandth of the shut-off pressures stands for their rounding.
func left(d part.Duct, q, difference float64, a part.Air, speeds []float64) (rest, size float64) {
	rest, size = -difference, math.Abs(difference)
	for i := range d.Rows {
		p, _ := d.Rows[i].Pressure(q, speeds[i], a.Density)
		rest += p
		size += math.Abs(p) + 1e-3*float64(d.Rows[i].Fans())*d.Rows[i].Curve.ShutOff()
	}
	dp, _ := d.Losses.Drop(q, a)
	return rest - dp, size + math.Abs(dp)
}

// Property: pressures agree; flow falls with the difference, with the slope of
// differences; it does not fall with any speed, nor rise with another loss or
// another failed fan.
func TestDuctFlow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, speeds := drawDuct(t)
		a := drawAir(t)
		difference := rapid.Float64Range(-30, 30).Draw(t, "difference")
		if math.Abs(difference) < 1e-12 {
			difference = 0
		}
		q, slope, err := d.Flow(difference, speeds, a)
		if err != nil {
			t.Fatal(err)
		}
		if rest, size := left(d, q, difference, a, speeds); math.Abs(rest) > 1e-12*size {
			t.Fatalf("%g Pa of %g are left at %g m3/s", rest, size, q)
		}
		if up, down := airflow(t, d, difference+1e-4, a, speeds...), airflow(t, d, difference-1e-4, a, speeds...); !(up < q && q < down) {
			t.Fatalf("%g m3/s at less, %g, %g at more difference", down, q, up)
		}
		h := 1e-5 * (math.Abs(q) + 1e-5)
		more, _ := left(d, q+h, difference, a, speeds)
		less, _ := left(d, q-h, difference, a, speeds)
		if by := 2 * h / (more - less); math.Abs(by-slope) > 1e-3*math.Abs(slope) && math.Abs(q) > 1e-6 {
			t.Fatalf("slope %g, by difference %g at %g m3/s", slope, by, q)
		}
		slack := 1e-11 * (math.Abs(q) + 1e-4)
		for i := range speeds {
			faster := append([]float64(nil), speeds...)
			faster[i] += 0.05
			if more := airflow(t, d, difference, a, faster...); !(more >= q-slack) {
				t.Fatalf("row %d faster: %g after %g m3/s", i, more, q)
			}
			worse := part.Duct{Rows: append([]part.FanRow(nil), d.Rows...), Losses: d.Losses}
			worse.Rows[i].Failed = min(worse.Rows[i].Failed+1, worse.Rows[i].Count)
			if less := airflow(t, worse, difference, a, speeds...); !(less <= q+slack) {
				t.Fatalf("a fan of row %d fails: %g after %g m3/s", i, less, q)
			}
		}
		filtered := part.Duct{Rows: d.Rows, Losses: append(part.AirSeries{part.AirLoss{K: 5, Area: 0.02}}, d.Losses...)}
		if less := airflow(t, filtered, difference, a, speeds...); !(math.Abs(less) <= math.Abs(q)*(1+1e-12)) {
			t.Fatalf("with another loss %g after %g m3/s", less, q)
		}
	})
}

// Property: on a quadratic way flow is as the speed, exactly, in air of any
// density; and push-pull moves no less than push against any pressure that the
// fans must bear.
func TestDuctLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := drawRow(t)
		row.Failed, row.Arrangement = 0, part.Push
		d := part.Duct{Rows: []part.FanRow{row}, Losses: part.AirSeries{drawAirLoss(t), drawAirLoss(t)}}
		r := rapid.Float64Range(0.05, 1.3).Draw(t, "speed")
		q := airflow(t, d, 0, standardAir(), 1)
		near(t, "flow over speed", airflow(t, d, 0, drawAir(t), r), r*q, 1e-12)
		both := d
		both.Rows = []part.FanRow{row}
		both.Rows[0].Arrangement = part.PushPull
		p := rapid.Float64Range(0, 100).Draw(t, "difference")
		push, pair := airflow(t, d, p, standardAir(), r), airflow(t, both, p, standardAir(), r)
		if !(pair >= push-1e-13) {
			t.Fatalf("push-pull moves %g, push %g m3/s at %g Pa", pair, push, p)
		}
	})
}

// torn is a loss that is not a number but at rest.
type torn struct{}

func (torn) Drop(q float64, _ part.Air) (dp, slope float64) {
	if q == 0 {
		return 0, 1
	}
	return math.NaN(), 1
}

func TestDuctRefusals(t *testing.T) {
	c := must[part.FanCurve](t)(part.NewFanCurve(0.03, 20, 1))
	loss := part.AirLoss{K: 2, Area: 0.01}
	for want, f := range map[string]struct {
		d          part.Duct
		difference float64
		speeds     []float64
	}{
		"2 speeds for 1":  {oneRow(c, 1, loss), 0, []float64{1, 1}},
		"0 speeds for 1":  {oneRow(c, 1, loss), 0, nil},
		"cannot be":       {oneRow(c, 1, loss), 0, []float64{math.NaN()}},
		"Inf":             {oneRow(c, 1, loss), math.Inf(1), []float64{1}},
		"nothing resists": {part.Duct{Losses: part.AirSeries{part.AirLoss{Area: 0.01}}}, 1, nil},
		"NaN Pa":          {part.Duct{Losses: part.AirSeries{airPolynomial{k: math.NaN()}}}, 1, nil},
		"not a number":    {part.Duct{Losses: part.AirSeries{torn{}}}, 1, nil},
	} {
		q, _, err := f.d.Flow(f.difference, f.speeds, standardAir())
		if err == nil || q != 0 || !strings.Contains(err.Error(), want) || !strings.HasPrefix(err.Error(), "part: duct: ") {
			t.Errorf("%g m3/s, %v; want %s", q, err, want)
		}
	}
	if err := (&part.Duct{}).Check(); err == nil {
		t.Error("nothing at all is a duct")
	}
	empty, bare := oneRow(c, 0, loss), oneRow(c, 1)
	if err := empty.Check(); err == nil || !strings.Contains(err.Error(), "row 1") {
		t.Errorf("a row without fans: %v", err)
	}
	if err := bare.Check(); err != nil {
		t.Error(err)
	}
}
