package correlation_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/correlation"
)

// Heat over inlet difference in W/K for passes side by side; computed independently in
// double precision.
func TestPassesInPlaneTable(t *testing.T) {
	for _, c := range []struct {
		ua, liquid, air                  float64
		one, two, four, endless, counter string
	}{
		{30, 69.7, 45, "18.87859", "18.83522", "18.81301", "18.79044", "19.31511"},
		{30, 69.7, 20, "14.15079", "14.04146", "13.98506", "13.92743", "14.57179"},
		{60, 69.7, 45, "26.98464", "26.69202", "26.53631", "26.37365", "28.36050"},
		{15, 139, 30, "11.32617", "11.32148", "11.31913", "11.31676", "11.39181"},
	} {
		ntu, ratio := c.ua/c.liquid, c.liquid/c.air
		what := fmt.Sprintf("UA %g, liquid %g, air %g: ", c.ua, c.liquid, c.air)
		for _, p := range []struct {
			passes int
			figure string
		}{{1, c.one}, {2, c.two}, {4, c.four}} {
			printed(t, what+fmt.Sprint(p.passes),
				c.liquid*correlation.EffectivenessPassesInPlane(ntu, ratio, p.passes), p.figure)
		}
		printed(t, what+"endless", c.liquid*correlation.EffectivenessCrossFlowOwnMixed(ntu, ratio), c.endless)
		printed(t, what+"counter", c.liquid*correlation.EffectivenessCounterFlow(ntu, ratio), c.counter)
	}
}

func TestPassesInPlaneLimit(t *testing.T) {
	const ntu, ratio = .86, 1.55
	limit := correlation.EffectivenessCrossFlowOwnMixed(ntu, ratio)
	far := correlation.EffectivenessPassesInPlane(ntu, ratio, 10) - limit
	farther := correlation.EffectivenessPassesInPlane(ntu, ratio, 1000) - limit
	if !(far > 0 && farther > 0 && math.Abs(farther/far-.01) < 1e-4) {
		t.Errorf("excess over the limit %g with 10 passes, %g with 1000; want a hundredth", far, farther)
	}
	if got, want := correlation.EffectivenessPassesInPlane(ntu, ratio, 0),
		correlation.EffectivenessPassesInPlane(ntu, ratio, 1); got != want {
		t.Errorf("no pass gives %g, one pass %g", got, want)
	}
}

// More passes in the plane of the face never help, and all lie between the two limits.
func TestPassesInPlaneOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, r := positive(t, "ntu", -3, 1.5), positive(t, "ratio", -2, 2)
		passes := rapid.IntRange(1, 40).Draw(t, "passes")
		fewer := correlation.EffectivenessPassesInPlane(n, r, passes)
		more := correlation.EffectivenessPassesInPlane(n, r, passes+1)
		limit := correlation.EffectivenessCrossFlowOwnMixed(n, r)
		if more > fewer*(1+1e-11) || limit > more*(1+1e-11) {
			t.Fatalf("%d passes %.15g, one more %.15g, limit %.15g", passes, fewer, more, limit)
		}
	})
}

// Formula of Nicole 1972; the figure as tested in an open-source heat-transfer library.
// Formula of Schedwill 1968; figures computed independently from the double sum.
func TestPassesInDepthTable(t *testing.T) {
	const ntu, ratio = 2, .5
	printed(t, "two rows, two passes",
		correlation.EffectivenessTwoRowsTwoPasses(ntu, ratio), ".7523072856")
	for rows, figure := range map[int]string{
		1: ".702013", 2: ".724712", 3: ".728985", 4: ".730483", 10: ".732101",
	} {
		printed(t, fmt.Sprint(rows, " rows"), correlation.EffectivenessRowsOnePass(ntu, ratio, rows), figure)
	}
	printed(t, "unmixed", correlation.EffectivenessCrossFlowUnmixed(ntu, ratio), ".732409")
	// Test values of the same library, R 1/1.1.
	for rows, figure := range map[int]string{
		1: "0.65682051781860", 2: "0.75895999923028", 5: "0.84912138311577", 10: "0.87708771184783", 25: "0.88689304306864",
	} {
		printed(t, fmt.Sprint(rows, " rows, NTU 15"),
			correlation.EffectivenessRowsOnePass(14.958251192851375, 0.9090909090909091, rows), figure)
	}
	printed(t, "two rows, two passes, NTU 0.5",
		correlation.EffectivenessTwoRowsTwoPasses(.5, 1.1), "0.3254086785640332")
}

// schedwillSum is the double sum as Schedwill's formula is usually printed.
func schedwillSum(ntu, ratio float64, rows int) float64 {
	n := float64(rows)
	k := 1 - math.Exp(-ntu/n)
	sum := 1.0
	for i := 1; i < rows; i++ {
		binomial := 1.0
		for j := 0; j <= i; j++ {
			inner, term := 0.0, 1.0
			for m := 0; m <= j; m++ {
				inner += term
				term *= n * k * ratio / float64(m+1)
			}
			sum += binomial * math.Pow(k, float64(j)) * math.Exp(-float64(i-j)*ntu/n) * inner
			binomial *= float64(i-j) / float64(j+1)
		}
	}
	return (1 - sum/(n*math.Exp(n*k*ratio))) / ratio
}

func TestRowsAgainstPrintedSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, r := positive(t, "ntu", -1, 1), positive(t, "ratio", -1, .7)
		rows := rapid.IntRange(1, 12).Draw(t, "rows")
		got, want := correlation.EffectivenessRowsOnePass(n, r, rows), schedwillSum(n, r, rows)
		if math.Abs(got-want) > 1e-11 {
			t.Fatalf("%d rows: %.15g, double sum %.15g", rows, got, want)
		}
	})
}

// marchRows solves the heat balance itself: air crosses rows one after another, in each
// row the tube stream is mixed and exchanges with the air that arrives at its place. With
// two passes the tube stream runs through the rear row first, in the other direction.
func marchRows(ntu, ratio float64, rows, cells int) float64 {
	n := float64(rows)
	k := -math.Expm1(-ntu / n)
	air := make([]float64, cells)
	step := n * ratio / float64(cells) // of a row's own share of the tube stream
	for range rows {
		tube := 1.0
		for j := range air {
			gain := k * (tube - air[j]) / (1 + k*step/2)
			air[j] += gain
			tube -= step * gain
		}
	}
	return mean(air)
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(len(x))
}

func TestRowsAgainstMarch(t *testing.T) {
	for _, rows := range []int{1, 2, 3, 5} {
		coarse, fine := marchRows(1.6, .7, rows, 500), marchRows(1.6, .7, rows, 1000)
		near(t, fmt.Sprint(rows, " rows"), correlation.EffectivenessRowsOnePass(1.6, .7, rows),
			fine+(fine-coarse)/3, 1e-9)
	}
}

// marchTwoPasses finds, by the secant rule on a linear problem, the temperature between
// the passes of a two-row counter-cross core.
func marchTwoPasses(ntu, ratio float64, cells int) float64 {
	k := -math.Expm1(-ntu / 2)
	step := ratio / float64(cells)
	run := func(between float64) (air, gap float64) {
		stream := make([]float64, cells)
		tube := between
		for j := range stream { // front row, second pass
			gain := k * (tube - stream[j]) / (1 + k*step/2)
			stream[j] += gain
			tube -= step * gain
		}
		tube = 1
		for j := cells - 1; j >= 0; j-- { // rear row, first pass, the other way
			gain := k * (tube - stream[j]) / (1 + k*step/2)
			stream[j] += gain
			tube -= step * gain
		}
		return mean(stream), tube - between
	}
	_, gap0 := run(0)
	_, gap1 := run(1)
	air, _ := run(gap0 / (gap0 - gap1))
	return air
}

// The march shows what Nicole's formula stands for: air that stays unmixed between the rows
// and a tube stream that turns round, so that its passes run in opposite directions.
func TestTwoRowsTwoPassesAgainstMarch(t *testing.T) {
	for _, c := range []struct{ ntu, ratio float64 }{{2, .5}, {.7, 1.3}, {4, 1}} {
		coarse, fine := marchTwoPasses(c.ntu, c.ratio, 500), marchTwoPasses(c.ntu, c.ratio, 1000)
		near(t, fmt.Sprintf("NTU %g, ratio %g", c.ntu, c.ratio),
			correlation.EffectivenessTwoRowsTwoPasses(c.ntu, c.ratio), fine+(fine-coarse)/3, 1e-9)
	}
}

func TestRowsOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, r := positive(t, "ntu", -3, 1.5), positive(t, "ratio", -2, 1)
		rows := rapid.IntRange(1, 30).Draw(t, "rows")
		few := correlation.EffectivenessRowsOnePass(n, r, rows)
		many := correlation.EffectivenessRowsOnePass(n, r, rows+1)
		limit := correlation.EffectivenessCrossFlowUnmixed(n, r)
		if many < few*(1-1e-12) || limit < many*(1-1e-12) {
			t.Fatalf("%d rows %.15g, one more %.15g, limit %.15g", rows, few, many, limit)
		}
	})
}

func TestCounterPasses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, r := positive(t, "ntu", -3, 1), positive(t, "ratio", -2, 2)
		passes := rapid.IntRange(1, 9).Draw(t, "passes")
		count := float64(passes)
		// Counter flow cut into counter flows is the whole counter flow.
		part := correlation.EffectivenessCounterFlow(n/count, r)
		whole := correlation.EffectivenessCounterFlow(n, r)
		got := correlation.EffectivenessCounterPasses(part, r, passes)
		if math.Abs(got-whole) > 1e-9*whole {
			t.Fatalf("%d parts: %.15g, whole %.15g", passes, got, whole)
		}
		// The printed quotient, where it does not cancel.
		p := correlation.EffectivenessCrossFlowUnmixed(n/count, r)
		x := math.Pow((1-p*r)/(1-p), count)
		if math.Abs(x-1) < 1e-3 || math.IsInf(x, 0) {
			return
		}
		got = correlation.EffectivenessCounterPasses(p, r, passes)
		if want := (x - 1) / (x - r); math.Abs(got-want) > 1e-9*want {
			t.Fatalf("%d passes: %.15g, printed form %.15g", passes, got, want)
		}
	})
}

func TestCounterPassesAtLimits(t *testing.T) {
	near(t, "R = 1", correlation.EffectivenessCounterPasses(.4, 1, 3), 2./3/(2./3+1./3), 1e-15)
	for _, c := range []struct{ p, ratio, want float64 }{
		{0, .5, 0}, {-.1, .5, 0}, {1, .5, 1}, {1, 0, 1}, {.6, 2, .5}, {.5, 2, .5},
	} {
		if got := correlation.EffectivenessCounterPasses(c.p, c.ratio, 2); got != c.want {
			t.Errorf("p %g, ratio %g: %g, want %g", c.p, c.ratio, got, c.want)
		}
	}
}

func ExampleEffectivenessPassesInPlane() {
	// A U-flow radiator of 50 W/K: 200 W/K of coolant, 52 W/K of air.
	for _, passes := range []int{1, 2} {
		p := correlation.EffectivenessPassesInPlane(50./200, 200./52, passes)
		fmt.Printf("%d: %.3f W/K\n", passes, p*200)
	}
	// Output:
	// 1: 29.832 W/K
	// 2: 29.754 W/K
}
