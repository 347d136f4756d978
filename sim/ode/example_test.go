package ode_test

import (
	"fmt"
	"math"

	"soakledger/sim/ode"
)

// cooling is a body that cools, with the heat it gives away as quadrature: y' = -k (y - air), q' = k (y - air).
type cooling struct{ k, air float64 }

func (c cooling) Dim() (states, quadratures int) { return 1, 1 }

func (c cooling) Pattern() ode.Pattern {
	return ode.Pattern{RowStart: []int{0, 1, 2}, Col: []int{0, 0}}
}

func (c cooling) F(_ float64, y, dydt []float64) {
	dydt[0] = -c.k * (y[0] - c.air)
	dydt[1] = c.k * (y[0] - c.air)
}

func (c cooling) Jacobian(_ float64, _, jac []float64) { jac[0], jac[1] = -c.k, c.k }

func (c cooling) TimeDerivative(_ float64, _, _ []float64) bool { return false }

// How long a body at 90 takes to cool to 30 in air of 20.
func ExampleSolve() {
	res, err := ode.Solve(ode.Problem{
		System: cooling{k: 0.1, air: 20},
		T1:     100,
		Y0:     []float64{90, 0},
		Events: []ode.Event{{
			Name:      "cool enough",
			G:         func(_ float64, y []float64) float64 { return y[0] - 30 },
			Direction: -1,
			Terminal:  true,
		}},
	}, nil, ode.Settings{AbsTol: []float64{1e-6}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v at t = %.4f (exactly %.4f)\n", res.Status, res.T, 10*math.Log(7))
	fmt.Printf("given away: %.3f\n", res.Y[1])
	// Output:
	// stopped by an event at t = 19.4591 (exactly 19.4591)
	// given away: 60.000
}

// A driver with its own loop reads the solution between the steps.
func ExampleIntegrator() {
	it, err := ode.New(cooling{k: 0.1, air: 20}, ode.Rodas5P{}, ode.Settings{AbsTol: []float64{1e-6}})
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := it.Start(0, []float64{90, 0}); err != nil {
		fmt.Println(err)
		return
	}
	next := 0.0
	for it.Time() < 30 {
		if err := it.Step(30); err != nil {
			fmt.Println(err)
			return
		}
		for seg := it.Segment(); next <= seg.End(); next += 10 {
			fmt.Printf("%2.0f: %.4f\n", next, seg.At(0, next))
		}
	}
	// Output:
	//  0: 90.0000
	// 10: 45.7516
	// 20: 29.4735
	// 30: 23.4851
}
