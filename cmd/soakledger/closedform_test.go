package main

import (
	"math"
	"path/filepath"
	"testing"

	"soakledger/output"
	"soakledger/sim/record"
)

// closeEnough is what a stored temperature may be off its closed form, K, with
// a tolerance of 0.01 mK a step.
const closeEnough = 1e-4

// closedForm runs one of the closed-form scenarios through the whole program.
func closedForm(t *testing.T, name string, args ...string) *output.Dataset {
	t.Helper()
	return mustRun(t, filepath.Join("..", "..", "testdata", "closedform", name+".yaml"), args...)
}

// follows compares a column of the trace with a closed form (degC at s) in
// every row, and the number of rows with what the record's interval asks for.
func follows(t *testing.T, trace *record.Frame, column string, rows int, want func(s float64) float64) {
	t.Helper()
	time, got := floats(t, trace, "time_s"), floats(t, trace, column)
	if len(time) != rows {
		t.Fatalf("the trace has %d rows, want %d", len(time), rows)
	}
	worst, at := 0.0, 0
	for i := range time {
		if off := math.Abs(got[i] - want(time[i])); !(off <= worst) {
			worst, at = off, i
		}
	}
	t.Logf("%s: at most %.2g K off, at %g s", column, worst, time[at])
	if !(worst <= closeEnough) {
		t.Errorf("%s at %g s is %.9g degC, want %.9g", column, time[at], got[at], want(time[at]))
	}
}

// expect is a figure of the runs table.
type expect struct {
	column string
	want   float64
	within float64
}

// inTime returns how far a time may be off where the temperature moves with
// slope (K/s): as far as takes it closeEnough away.
func inTime(slope float64) float64 { return closeEnough / math.Abs(slope) }

func checkFigures(t *testing.T, d *output.Dataset, all []expect) {
	t.Helper()
	runs := rowsOf(t, d, "runs")
	for _, e := range all {
		if got := figure(t, runs, 0, e.column); !(math.Abs(got-e.want) <= e.within) {
			t.Errorf("%s is %.9g, want %.9g within %.2g", e.column, got, e.want, e.within)
		}
	}
}

// printed compares a formula of this file with a published or independently
// computed value: they must agree to half a unit of the last printed decimal.
func printed(t *testing.T, what string, got, want float64, decimals int) {
	t.Helper()
	if math.Abs(got-want) > 0.5000001*math.Pow(10, -float64(decimals)) {
		t.Errorf("%s is %.*f, want %.*f", what, decimals+2, got, decimals, want)
	}
}

// One node: theta = exp(-t/tau), tau = C/(hA). Incropera & DeWitt, Fundamentals
// of Heat and Mass Transfer, example 5.1: a sphere with h 400 W/(m2 K),
// k 20 W/(m K), c 400 J/(kg K), rho 8500 kg/m3 and tau 1 s has a diameter of
// 7.06e-4 m and needs 5.2 s from 25 to 199 degC in gas of 200 degC (values from
// memory, not checked against the source; computed independently in double
// precision: 7.0588e-4 m, 5.1648 s).
func TestOneNode(t *testing.T) {
	const h, c, rho, tau, gas, start = 400, 400, 8500, 1.0, 68.75, 25.0
	diameter := 6 * h * tau / (rho * c)
	printed(t, "diameter, 0.1 um", diameter*1e7, 7058.8, 1)
	printed(t, "heat capacity of a thousand spheres, J/K", 1000*rho*c*math.Pi/6*math.Pow(diameter, 3), 0.62614, 5)

	d := closedForm(t, "one_node")
	follows(t, rowsOf(t, d, "traces"), "junction_c", 601, func(s float64) float64 {
		return gas - (gas-start)*math.Exp(-s/tau)
	})
	// A time at which a part of the way is left: the slope there is part (gas - start)/tau.
	left := func(column string, want, part float64) expect {
		return expect{column, want, inTime(part*(gas-start)/tau) + 5e-7}
	}
	checkFigures(t, d, []expect{
		{"level_c", gas, 1e-9},
		{"tau_1_s", tau, 1e-9},
		left("to_68_5_c_s", math.Log(175), 1./175),
		// t/tau of 63.2, 90, 95 and 99 %: 1, ln 10, ln 20, ln 100.
		left("t63_s", 1, 1/math.E),
		left("t90_s", 2.302585, 0.1),
		left("t95_s", 2.995732, 0.05),
		left("t99_s", 4.605170, 0.01),
		left("to_within_1_k_s", math.Log(43.75), 1/43.75),
		left("to_within_0_5_k_s", math.Log(87.5), 1/87.5),
		left("to_within_0_1_k_s", math.Log(437.5), 1/437.5),
	})
	printed(t, "ln 175, s", math.Log(175), 5.1648, 4)
}

// term is one exponential of a step response, gain (1 - exp(-rate t)).
type term struct{ gain, rate float64 } // K/W, 1/s

// response is a node's answer to a step of 1 W, K.
type response []term

func (r response) at(s float64) float64 {
	sum := 0.0
	for _, e := range r {
		sum -= e.gain * math.Expm1(-e.rate*s)
	}
	return sum
}

// slope is the response's derivative, K/(W s).
func (r response) slope(s float64) float64 {
	sum := 0.0
	for _, e := range r {
		sum += e.gain * e.rate * math.Exp(-e.rate*s)
	}
	return sum
}

// twoNodes solves C1 T1' = P - (T1-T2)/R12, C2 T2' = (T1-T2)/R12 - T2/R2 by the
// two eigenvalues of the linear pair, for a step in the first node.
func twoNodes(c1, r12, c2, r2 float64) (first, second response) {
	a, b, c := 1/(r12*c1), 1/(r12*c2), 1/(r2*c2)
	root := math.Sqrt((a+b+c)*(a+b+c) - 4*a*c)
	fast, slow := (a+b+c+root)/2, (a+b+c-root)/2
	gain := func(l, other float64) (g1, g2 float64) {
		scale := c1 * l * (other - l)
		return (b + c - l) / scale, b / scale
	}
	g1, h1 := gain(fast, slow)
	g2, h2 := gain(slow, fast)
	return response{{g1, fast}, {g2, slow}}, response{{h1, fast}, {h2, slow}}
}

// solve returns the root of f between low and high by bisection.
func solve(f func(float64) float64, low, high float64) float64 {
	rising := f(high) > 0
	for range 200 {
		middle := (low + high) / 2
		if f(middle) > 0 == rising {
			high = middle
		} else {
			low = middle
		}
	}
	return (low + high) / 2
}

// The numbers are computed independently in double precision, with the matrix
// exponential, for C1 400 J/K, R12 0.05 K/W, C2 4500 J/K, R2 0.06 K/W, 300 W.
func TestTwoNodes(t *testing.T) {
	const power, ambient = 300, 20
	plate, bath := twoNodes(400, 0.05, 4500, 0.06)
	table := []struct{ s, plate, bath float64 }{
		{10, 5.923375, .138356}, {60, 15.737598, 2.382570}, {300, 25.538765, 11.043345},
		{900, 32.018902, 17.085251}, {1800, 32.953219, 17.956383},
	}
	d := closedForm(t, "two_node")
	trace := rowsOf(t, d, "traces")
	for _, row := range table {
		printed(t, "plate, K", power*plate.at(row.s), row.plate, 6)
		printed(t, "bath, K", power*bath.at(row.s), row.bath, 6)
		i := int(row.s) // a row a second
		if got := floats(t, trace, "plate_c")[i] - ambient; math.Abs(got-row.plate) > closeEnough {
			t.Errorf("plate at %g s is %.7f K over ambient, want %.6f", row.s, got, row.plate)
		}
		if got := floats(t, trace, "bath_c")[i] - ambient; math.Abs(got-row.bath) > closeEnough {
			t.Errorf("bath at %g s is %.7f K over ambient, want %.6f", row.s, got, row.bath)
		}
	}
	follows(t, trace, "plate_c", 3601, func(s float64) float64 { return ambient + power*plate.at(s) })
	follows(t, trace, "bath_c", 3601, func(s float64) float64 { return ambient + power*bath.at(s) })
	checkFigures(t, d, []expect{
		{"level_c", ambient + 18, 1e-9},
		{"shortfall_5_min_k", 18 - 11.043345, closeEnough},
		{"shortfall_15_min_k", 18 - 17.085251, closeEnough},
		{"shortfall_30_min_k", 18 - 17.956383, closeEnough},
		{"tau_1_s", 295.740765458, 1e-6},
		{"tau_2_s", 18.259234542, 1e-6},
	})
	t.Run("bath", func(t *testing.T) { checkResponse(t, d, bath, 18, [3]float64{699.815512, 904.807390, 1380.783790}) })
	t.Run("plate", func(t *testing.T) {
		d := closedForm(t, "two_node", "--set", "figures.of=plate")
		checkFigures(t, d, []expect{{"level_c", ambient + 33, 1e-9}})
		checkResponse(t, d, plate, 33, [3]float64{541.264838, 746.256716, 1222.233116})
	})
}

// checkResponse compares t63 with the formula and t90, t95 and t99 with the
// formula and with independently computed values.
func checkResponse(t *testing.T, d *output.Dataset, r response, rise float64, times [3]float64) {
	t.Helper()
	reach := func(fraction float64) float64 {
		return solve(func(s float64) float64 { return r.at(s) - fraction*r.at(math.Inf(1)) }, 0, 1e5)
	}
	scale := rise / r.at(math.Inf(1))
	all := []expect{}
	for i, fraction := range []float64{1 - 1/math.E, 0.9, 0.95, 0.99} {
		s := reach(fraction)
		all = append(all, expect{[]string{"t63_s", "t90_s", "t95_s", "t99_s"}[i], s, inTime(scale * r.slope(s))})
		if i > 0 {
			printed(t, all[i].column, s, times[i-1], 6)
		}
	}
	checkFigures(t, d, all)
}
