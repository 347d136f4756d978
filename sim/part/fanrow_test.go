package part_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

// Fans side by side share the flow, in series they add their pressures.
func TestFanRow(t *testing.T) {
	c := must[part.FanCurve](t)(part.NewFanCurve(0.03, 20, 1))
	for _, r := range []struct {
		row  part.FanRow
		want float64
		fans int
	}{
		{part.FanRow{Curve: c, Count: 1, Arrangement: part.Push}, 10, 1},
		{part.FanRow{Curve: c, Count: 3, Arrangement: part.Pull}, 20 * (1 - 1./6), 3},
		{part.FanRow{Curve: c, Count: 1, Arrangement: part.PushPull}, 20, 2},
		{part.FanRow{Curve: c, Count: 2, Arrangement: part.PushPull}, 2 * 20 * 0.75, 4},
		{part.FanRow{Curve: c, Count: 2, Failed: 2, Arrangement: part.Push}, -20 * 0.25 * 0.25, 2},
		{part.FanRow{Curve: c, Count: 1, Failed: 1, Arrangement: part.PushPull}, 10 - 20*0.25, 2},
	} {
		p, _ := r.row.Pressure(0.015, 1, 1.2)
		near(t, string(r.row.Arrangement), p, r.want, 1e-14)
		if r.row.Fans() != r.fans {
			t.Errorf("%d fans, want %d", r.row.Fans(), r.fans)
		}
	}
}

// One of two straight-line fans stands: with p = 20 (1 - a/qm) of the running
// one at flow a, and q - a = -√(p/c) blown back through the other, c = 20/qm², a
// pressure of 5 Pa has a = 0.75 qm and q - a = -0.5 qm. Driven through at -5 Pa
// both take air: a = qm (1 + d) with d + d² = 0.25, q - a = 0.5 qm.
func TestFanRowWithAFailedFan(t *testing.T) {
	const qm = 0.03
	c := must[part.FanCurve](t)(part.NewFanCurve(qm, 20, 1))
	row := part.FanRow{Curve: c, Count: 2, Failed: 1, Arrangement: part.Push}
	p, _ := row.Pressure(0.25*qm, 1, 1.2)
	near(t, "blown back", p, 5, 1e-13)
	p, _ = row.Pressure((1.5+(math.Sqrt(2)-1)/2)*qm, 1, 1.2)
	near(t, "driven through", p, -5, 1e-13)
	row.Arrangement = part.PushPull
	p, _ = row.Pressure(0.25*qm, 1, 1.2)
	near(t, "the other row is whole", p, 5+20*(1-0.125), 1e-13)
}

// drawRow draws fans on a face, some of them standing.
func drawRow(t *rapid.T) part.FanRow {
	n := rapid.IntRange(1, 4).Draw(t, "fans")
	return part.FanRow{
		Curve: drawFan(t), Count: n, Failed: max(0, rapid.IntRange(-n, n).Draw(t, "failed")),
		Arrangement: rapid.SampledFrom([]part.FanArrangement{part.Push, part.Pull, part.PushPull}).Draw(t, "arrangement"),
	}
}

// flowAtPressure finds by bisection at which flow a falling curve has a
// pressure.
func flowAtPressure(p float64, f func(q float64) (p, slope float64)) float64 {
	low, high := -10.0, 10.0
	for range 90 {
		mid := low + (high-low)/2
		if got, _ := f(mid); got > p {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// Property: with fans failed the flows of running and standing fans, each found
// by bisection at the row's pressure, add up to the whole: less just above that
// pressure, more just below.
func TestFailedFansShareThePressure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := drawRow(t)
		row.Arrangement = part.Pull
		r, a := rapid.Float64Range(0, 1.3).Draw(t, "speed"), drawAir(t)
		q := rapid.Float64Range(-2, 3).Draw(t, "flow") * row.Curve.FreeFlow() * float64(row.Count)
		p, _ := row.Pressure(q, r, a.Density)
		sum := func(p float64) float64 {
			run := flowAtPressure(p, func(q float64) (float64, float64) { return row.Curve.Pressure(q, r, a.Density) })
			stand := flowAtPressure(p, func(q float64) (float64, float64) { return row.Curve.Pressure(q, 0, a.Density) })
			return float64(row.Count-row.Failed)*run + float64(row.Failed)*stand
		}
		h := 1e-12 * (row.Curve.ShutOff() + math.Abs(p))
		if less, more := sum(p+h), sum(p-h); !(less <= q && q <= more) {
			t.Fatalf("%d of %d fans standing at %g Pa: just above %g, just below %g m3/s, not %g", row.Failed, row.Count, p, less, more, q)
		}
	})
}

// Property: the pressure falls with flow with the slope of differences, rises
// with speed, obeys the fan laws, and is lower with one fan more that stands.
func TestFanRowPressure(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		row := drawRow(t)
		r := rapid.Float64Range(0, 1.3).Draw(t, "speed")
		whole := row.Curve.FreeFlow() * float64(row.Count)
		worse := row
		worse.Failed = min(row.Failed+1, row.Count)
		last, step := math.Inf(1), whole/10
		for i := -10; i < 30; i++ {
			q := (float64(i) + 0.37) * step
			p, s := row.Pressure(q, r, 1.2)
			if !(p < last) || !(s <= 0) {
				t.Fatalf("at %g of free flow: %g Pa, slope %g, follows %g", q/whole, p, s, last)
			}
			last = p
			up, _ := row.Pressure(q+1e-5*step, r, 1.2)
			down, _ := row.Pressure(q-1e-5*step, r, 1.2)
			if d := (up - down) / (2e-5 * step); math.Abs(d-s) > 2e-3*(math.Abs(s)+row.Curve.ShutOff()/whole) {
				t.Fatalf("at %g of free flow: slope %g, by difference %g", q/whole, s, d)
			}
			slack := 1e-12 * (row.Curve.ShutOff() + math.Abs(p))
			if faster, _ := row.Pressure(q, 1.05*r, 1.2); !(faster >= p-slack) {
				t.Fatalf("at %g of free flow: %g Pa, faster %g", q/whole, p, faster)
			}
			if less, _ := worse.Pressure(q, r, 1.2); !(less <= p+slack) {
				t.Fatalf("at %g of free flow: %g Pa, with a fan less %g", q/whole, p, less)
			}
			if scaled, _ := row.Pressure(0.7*q, 0.7*r, 0.9*1.2); math.Abs(scaled-0.9*0.49*p) > 10*slack {
				t.Fatalf("at %g of free flow: %g Pa, by the fan laws %g", q/whole, scaled, 0.9*0.49*p)
			}
		}
	})
}

func TestFanRowRefusals(t *testing.T) {
	c := must[part.FanCurve](t)(part.NewFanCurve(0.03, 20, 1))
	for want, row := range map[string]part.FanRow{
		"no curve":        {Count: 1, Arrangement: part.Push},
		"one or more":     {Curve: c, Arrangement: part.Push},
		"have failed":     {Curve: c, Count: 2, Failed: 3, Arrangement: part.Push},
		"-1 of 2":         {Curve: c, Count: 2, Failed: -1, Arrangement: part.Push},
		"push, pull":      {Curve: c, Count: 2, Arrangement: "sideways"},
		"arrangement":     {Curve: c, Count: 2},
		"\"push\" may be": {Curve: c, Count: 2, Arrangement: "pusch"},
	} {
		if err := row.Check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%+v: %v, want %s", row, err, want)
		}
	}
	if err := (&part.FanRow{Curve: c, Count: 2, Failed: 2, Arrangement: part.PushPull}).Check(); err != nil {
		t.Error(err)
	}
	if a, err := part.FanArrangementNamed(" Push-Pull"); err != nil || a != part.PushPull {
		t.Errorf("%q: %v", a, err)
	}
}

// Fans that only push, close by, leave some of the face without air; a gap of
// 20 mm, or drawing, restores it.
func TestFaceShare(t *testing.T) {
	for _, c := range []struct {
		arrangement part.FanArrangement
		gap, want   float64
	}{
		{part.Push, 0, 0.85}, {part.Push, 0.010, 0.925}, {part.Push, 0.020, 1}, {part.Push, 0.1, 1},
		{part.Pull, 0, 1}, {part.PushPull, 0, 1},
	} {
		d := part.FaceShare(c.arrangement, c.gap)
		near(t, string(c.arrangement), d.Value, c.want, 1e-15)
		if !(d.Low < d.High && d.Low <= d.Value && d.Value <= d.High) {
			t.Errorf("%s at %g m: %g is not inside %g to %g", c.arrangement, c.gap, d.Value, d.Low, d.High)
		}
	}
}
