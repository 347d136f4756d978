package control_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/control"
)

// Times that a chip may boost: 20 W before, 253 W for 125 W, computed from the
// closed form by an independent program, printed to 0.1 s; and from nothing at
// 1.25 of the long limit, 1.61 time constants.
func TestBoostLeft(t *testing.T) {
	for _, c := range []struct {
		limit               control.PowerLimit
		average, power      float64
		want, halfLastDigit float64
	}{
		{control.PowerLimit{Long: 125, Short: 253, Tau: 56}, 20, 253, 33.5, 0.05},
		{control.PowerLimit{Long: 125, Short: 253, Tau: 28}, 20, 253, 16.8, 0.05},
		{control.PowerLimit{Long: 100, Short: 125, Tau: 1}, 0, 125, 1.61, 0.005},
		{control.PowerLimit{Long: 125, Short: 253, Tau: 56}, 125, 253, 0, 0},
		{control.PowerLimit{Long: 125, Short: 253, Tau: 56}, 140, 100, 0, 0},
		{control.PowerLimit{Long: 125, Short: 253, Tau: 56}, 20, 125, math.Inf(1), 0},
		{control.PowerLimit{Long: 125, Short: 253, Tau: 56}, 20, 60, math.Inf(1), 0},
	} {
		near(t, "time", c.limit.BoostLeft(c.average, c.power), c.want, c.halfLastDigit)
	}
}

// Property: after the time that is left, the average is at the long limit; at
// any time before, the time left is less by that time.
func TestBoostLeftIsWhenTheAverageMeetsLong(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		long := rapid.Float64Range(20, 400).Draw(t, "long")
		l := control.PowerLimit{Long: long, Short: 3 * long, Tau: rapid.Float64Range(1, 100).Draw(t, "tau")}
		average := rapid.Float64Range(0, 0.999).Draw(t, "average") * long
		power := rapid.Float64Range(1.001, 3).Draw(t, "power") * long
		left := l.BoostLeft(average, power)
		near(t, "average at the end", l.Average(average, power, left), long, 1e-9*long)
		part := rapid.Float64Range(0, 1).Draw(t, "part") * left
		near(t, "time left later", l.BoostLeft(l.Average(average, power, part), power), left-part, 1e-9*(left+l.Tau)*long/(power-long))
	})
}

// The moving average is the solution of its differential equation, integrated by
// classical Runge-Kutta steps.
func TestAverageSolvesItsEquation(t *testing.T) {
	l := control.PowerLimit{Long: 125, Short: 253, Tau: 56}
	a, rate := 20.0, func(a float64) float64 { return (253 - a) / 56 }
	const h = 0.05
	for range 600 {
		k1 := rate(a)
		k2 := rate(a + h/2*k1)
		k3 := rate(a + h/2*k2)
		k4 := rate(a + h*k3)
		a += h / 6 * (k1 + 2*k2 + 2*k3 + k4)
	}
	near(t, "average after 30 s", l.Average(20, 253, 30), a, 1e-9)
}

func TestPowerLimitTransitions(t *testing.T) {
	const free, boosting, limited = control.Free, control.Boosting, control.Limited
	l := control.PowerLimit{Long: 125, Short: 253, Tau: 56}
	for _, c := range []struct {
		now              control.Regime
		request, average float64
		want             control.Regime
		allowed          float64
	}{
		{free, 60, 20, free, 253},
		{free, 125, 20, free, 253}, // exactly the long limit needs no boost
		{free, 126, 20, boosting, 253},
		{free, 300, 124.9, boosting, 253},
		{free, 300, 125, limited, 125}, // the average is used up already
		{free, 300, 140, limited, 125},
		{free, 60, 140, free, 253},
		{boosting, 300, 124.99, boosting, 253},
		{boosting, 300, 125, limited, 125},
		{boosting, 125, 100, boosting, 253}, // leaves below, not at
		{boosting, 124.9, 100, free, 253},
		{limited, 300, 125, limited, 125},
		{limited, 300, 125 - 1e-12, limited, 125}, // no chatter by rounding
		{limited, 126, 60, limited, 125},
		{limited, 125, 125, limited, 125},
		{limited, 124.9, 125, free, 253},
	} {
		got := l.Next(c.now, c.request, c.average)
		if got != c.want || l.Allowed(got) != c.allowed {
			t.Errorf("%v, request %g W, average %g W: %v with %g W, want %v with %g W",
				c.now, c.request, c.average, got, l.Allowed(got), c.want, c.allowed)
		}
	}
}

// drawPower draws powers that often lie exactly on a limit, or beside it by rounding.
func drawPower(t *rapid.T, name string, levels ...float64) float64 {
	x := rapid.SampledFrom(levels).Draw(t, name)
	switch rapid.IntRange(0, 3).Draw(t, name+" beside") {
	case 0:
		return x
	case 1:
		return x * (1 + rapid.SampledFrom([]float64{-1e-9, 1e-9, -0x1p-52, 0x1p-52}).Draw(t, name+" by"))
	case 2:
		return rapid.Float64Range(0, 400).Draw(t, name+" free")
	}
	return math.Nextafter(x, 1e9)
}

// Property: after Next, Next changes nothing more, and every crossing that is
// waited for lies strictly ahead.
func TestPowerLimitNeverSwitchesToAndFro(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := control.PowerLimit{Long: 125, Short: rapid.SampledFrom([]float64{125, 253, math.Inf(1)}).Draw(t, "short"), Tau: 56}
		now := control.Regime(rapid.IntRange(0, 2).Draw(t, "now"))
		request, average := drawPower(t, "request", 125, 253), drawPower(t, "average", 125)
		next := l.Next(now, request, average)
		if again := l.Next(next, request, average); again != next {
			t.Fatalf("%v becomes %v, then %v", now, next, again)
		}
		if l.RequestCrossing(next).Met(request) {
			t.Fatalf("%v waits for a crossing of the request that is met", next)
		}
		if c, ok := l.AverageCrossing(next); ok && c.Met(average) {
			t.Fatalf("%v waits for a crossing of the average that is met", next)
		}
	})
}

// Property: whatever a chip requests, its average never passes the long limit
// once it was below, and a limit that has been met draws exactly Long.
func TestPowerLimitHoldsTheAverage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := control.PowerLimit{Long: 125, Short: 253, Tau: rapid.Float64Range(1, 60).Draw(t, "tau")}
		average, regime := rapid.Float64Range(0, 124).Draw(t, "average"), control.Free
		for range rapid.IntRange(1, 30).Draw(t, "pieces") {
			request := drawPower(t, "request", 0, 125, 300)
			left := rapid.Float64Range(0, 90).Draw(t, "for")
			regime = l.Next(regime, request, average)
			for left > 0 {
				power := min(request, l.Allowed(regime))
				if regime == control.Limited && power > l.Long {
					t.Fatalf("limited to %v W", power)
				}
				span := left
				if c, ok := l.AverageCrossing(regime); ok {
					span = min(left, math.Nextafter(l.BoostLeft(average, power), 1e9))
					if span < left {
						average = c.Level
						regime = l.Next(regime, request, average)
						left -= span
						continue
					}
				}
				average = l.Average(average, power, span)
				left -= span
			}
			if average > l.Long*(1+1e-8) {
				t.Fatalf("the average is at %v W", average)
			}
		}
	})
}

// Property: several limits together settle: no further round changes a regime,
// the least that any allows is allowed, and no crossing waited for is met.
func TestPowerLimitsSettle(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 4).Draw(t, "limits")
		var ls control.PowerLimits
		var regimes []control.Regime
		var averages []float64
		for range n {
			long := rapid.SampledFrom([]float64{80, 125, 125, 200}).Draw(t, "long")
			ls = append(ls, control.PowerLimit{Long: long, Short: long * rapid.SampledFrom([]float64{1, 2, 4}).Draw(t, "short"), Tau: 10})
			regimes = append(regimes, control.Regime(rapid.IntRange(0, 2).Draw(t, "regime")))
			averages = append(averages, drawPower(t, "average", long))
		}
		request := drawPower(t, "request", 80, 125, 160, 200, 250)
		before := slices.Clone(regimes)
		if changed := ls.Next(regimes, request, averages); changed != !slices.Equal(before, regimes) {
			t.Fatalf("%v became %v, changed %v", before, regimes, changed)
		}
		settled := slices.Clone(regimes)
		if ls.Next(regimes, request, averages) {
			t.Fatalf("%v is not settled: it becomes %v", settled, regimes)
		}
		least := math.Inf(1)
		for i, l := range ls {
			least = min(least, l.Allowed(regimes[i]))
			if r := ls.Request(i, regimes, request); l.RequestCrossing(regimes[i]).Met(r) {
				t.Fatalf("limit %d, %v, waits for a request that is met: %v W", i, regimes[i], r)
			}
		}
		if got := ls.Allowed(regimes); got != least {
			t.Fatalf("%v W are allowed, the least is %v W", got, least)
		}
	})
}

// A slow limit of 125 W and a fast one of 200 W, of which the fast one is met
// first; the request, 300 W, then falls and rises again.
func TestPowerLimitsTogether(t *testing.T) {
	ls := control.PowerLimits{{Long: 125, Short: 253, Tau: 56}, {Long: 200, Short: math.Inf(1), Tau: 1}}
	regimes := make([]control.Regime, 2)
	for i, c := range []struct {
		request float64
		average [2]float64
		want    [2]control.Regime
		allowed float64
	}{
		{60, [2]float64{60, 60}, [2]control.Regime{control.Free, control.Free}, 253},
		{300, [2]float64{60, 60}, [2]control.Regime{control.Boosting, control.Boosting}, 253},
		{300, [2]float64{64, 200}, [2]control.Regime{control.Boosting, control.Limited}, 200},
		// Once the slow limit holds, the fast one has nothing left to limit.
		{300, [2]float64{125, 200}, [2]control.Regime{control.Limited, control.Free}, 125},
		{60, [2]float64{125, 125}, [2]control.Regime{control.Free, control.Free}, 253},
		{300, [2]float64{124, 60}, [2]control.Regime{control.Boosting, control.Boosting}, 253},
	} {
		ls.Next(regimes, c.request, c.average[:])
		if [2]control.Regime(regimes) != c.want || ls.Allowed(regimes) != c.allowed {
			t.Errorf("step %d: %v with %g W, want %v with %g W", i, regimes, ls.Allowed(regimes), c.want, c.allowed)
		}
	}
	// Each limit sees what the others leave, not what it allows itself.
	if a, b := ls.Request(0, []control.Regime{control.Limited, control.Free}, 300), ls.Request(1, []control.Regime{control.Limited, control.Free}, 300); a != 300 || b != 125 {
		t.Errorf("requests of %v W and %v W", a, b)
	}
	// The second limit takes from the first what it boosts with, in one call.
	ls = control.PowerLimits{{Long: 125, Short: 253, Tau: 56}, {Long: 80, Short: 253, Tau: 10}}
	regimes = []control.Regime{control.Boosting, control.Boosting}
	ls.Next(regimes, 300, []float64{100, 80})
	if want := []control.Regime{control.Free, control.Limited}; !slices.Equal(regimes, want) {
		t.Errorf("%v, want %v", regimes, want)
	}
	if p := (control.PowerLimits{}).Allowed(nil); !math.IsInf(p, 1) {
		t.Errorf("no limits allow %v W", p)
	}
}

func TestPowerLimitRefuses(t *testing.T) {
	nan := math.NaN()
	for _, l := range []control.PowerLimit{
		{0, 253, 56}, {125, 100, 56}, {125, 253, 0}, {nan, 253, 56}, {125, nan, 56}, {125, 253, nan}, {math.Inf(1), math.Inf(1), 56},
	} {
		if l.Check() == nil {
			t.Errorf("%+v is accepted", l)
		}
	}
	if err := (control.PowerLimit{Long: 125, Short: math.Inf(1), Tau: 56}).Check(); err != nil {
		t.Error(err)
	}
}

func TestRegimeNames(t *testing.T) {
	for r, want := range map[control.Regime]string{control.Free: "free", control.Boosting: "boosting", control.Limited: "limited", 9: "Regime(9)"} {
		if r.String() != want {
			t.Errorf("%d is called %q", uint8(r), r)
		}
	}
}
