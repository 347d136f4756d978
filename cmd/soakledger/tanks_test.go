package main

import (
	"fmt"
	"math"
	"testing"
)

// tanks returns the answer of the last of n equal mixed tanks in series to a
// unit step at the inlet, theta = t q/V of the whole row: one less the Poisson
// sum of the first n terms.
func tanks(n int, theta float64) float64 {
	x := float64(n) * theta
	sum, one := 0.0, 1.0
	for k := range n {
		if k > 0 {
			one *= x / float64(k)
		}
		sum += one
	}
	return 1 - math.Exp(-x)*sum
}

// tanksSlope is the derivative of tanks.
func tanksSlope(n int, theta float64) float64 {
	gamma, _ := math.Lgamma(float64(n))
	return float64(n) * math.Exp(float64(n-1)*math.Log(float64(n)*theta)-float64(n)*theta-gamma)
}

// Equal tanks in series are what the coolant's upwind cells are. The numbers
// are computed independently in double precision.
func TestTanksInSeries(t *testing.T) {
	const ambient, step, hold = 20.0, 10.0, 60.0 // degC, K, s = V/q
	rows := []struct {
		n     int
		node  string // the last tank
		table [3]float64
	}{
		{1, "single", [3]float64{.393469, .632121, .776870}},
		{5, "five_5", [3]float64{.108822, .559507, .867938}},
		{20, "twenty_20", [3]float64{.003454, .529743, .978127}},
	}
	for _, r := range rows {
		t.Run(fmt.Sprint(r.n), func(t *testing.T) {
			d := closedForm(t, "tanks_in_series", "--set", "figures.of="+r.node)
			trace := rowsOf(t, d, "traces")
			follows(t, trace, r.node+"_c", 481, func(s float64) float64 { return ambient + step*tanks(r.n, s/hold) })
			for i, theta := range []float64{0.5, 1, 1.5} {
				printed(t, "the last tank", tanks(r.n, theta), r.table[i], 6)
				got := floats(t, trace, r.node+"_c")[int(theta*hold*2)]
				if math.Abs(got-ambient-step*r.table[i]) > closeEnough {
					t.Errorf("at %g V/q the last tank is at %.6f degC, want %.6f", theta, got, ambient+step*r.table[i])
				}
			}
			all := []expect{{"level_c", ambient + step, 1e-9}}
			for column, part := range map[string]float64{"t63_s": 1 - 1/math.E, "t90_s": 0.9, "t95_s": 0.95, "t99_s": 0.99, "to_within_1_k_s": 0.9, "to_within_0_5_k_s": 0.95, "to_within_0_1_k_s": 0.99} {
				theta := solve(func(x float64) float64 { return tanks(r.n, x) - part }, 1e-6, 20)
				if theta*hold > 240 {
					continue // one tank makes 99 % after 276 s, when the run is over
				}
				all = append(all, expect{column, theta * hold, inTime(step * tanksSlope(r.n, theta) / hold)})
			}
			checkFigures(t, d, all)
		})
	}
}

// What the middle tanks do follows from the same formula with fewer terms: tank
// k of n is the last of k tanks that hold k/n of the row.
func TestEveryTankOfTheRow(t *testing.T) {
	trace := rowsOf(t, closedForm(t, "tanks_in_series"), "traces")
	for k := 1; k <= 20; k++ {
		hold := 60 * float64(k) / 20 // s
		follows(t, trace, fmt.Sprintf("twenty_%d_c", k), 481, func(s float64) float64 { return 20 + 10*tanks(k, s/hold) })
	}
}
