package sparse_test

import (
	"fmt"

	"soakledger/sim/sparse"
)

// Three states in a ring, each fed by the next: E = 2 I - J.
func Example() {
	ring := sparse.Pattern{RowStart: []int{0, 1, 2, 3}, Col: []int{1, 2, 0}}
	f := sparse.New(3, ring, nil)
	if at := f.Factor([]float64{1, 1, 1}, 2, 3); at >= 0 {
		fmt.Println("broke down at state", at)
	}
	x := make([]float64, 3)
	f.Solve(x, []float64{0, 1, 0}, []float64{0, 0, 5})
	fmt.Printf("%.0f, stable: %v\n", x, f.Positive())
	// Output: [1 2 3], stable: true
}
