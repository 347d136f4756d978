package equilibrium

import (
	"errors"
	"math"
	"testing"

	"soakledger/sim/network/networktest"
)

// One node keeps q = e^(-L/tau) of a deviation after a cycle: a cycle that moved it by d
// is followed by d (q + q^2 + ...) = d q/(1-q).
func TestToComeOfOneNode(t *testing.T) {
	for _, length := range []float64{0.1, 60, 100, 3600} {
		r, err := NewRecurrence(oneNode(t, 0.1, 250, networktest.Leak{}), 0, []float64{300}, length)
		if err != nil {
			t.Fatal(err)
		}
		got := []float64{math.NaN()}
		r.ToCome([]float64{-3}, got)
		q := math.Exp(-length / 100)
		within(t, "still to come", got[0], -3*q/(1-q), 1e-9/(1-q))
	}
}

// Two nodes: a deviation along each mode (1, 1 - l/a), a = 1/(R12 C1), keeps its own
// q = e^(-l L), with the rates of TestModesOfTwoNodes. The sum of both modes does both.
func TestToComeOfTwoNodes(t *testing.T) {
	const length = 60.0
	c := twoNodes()
	r, err := NewRecurrence(c.Build(), 0, c.Temperatures, length)
	if err != nil {
		t.Fatal(err)
	}
	var moved, want [2]float64
	for k, tau := range []float64{295.740765458, 18.259234542} {
		q := math.Exp(-length / tau)
		for i, part := range []float64{1, 1 - 0.05*400/tau} {
			size := float64(k+1) * part
			moved[i] += size * (1 - q)
			want[i] += size * q
		}
	}
	got := make([]float64, 2)
	r.ToCome(moved[:], got)
	for i := range want {
		within(t, "still to come", got[i], want[i], 1e-9)
	}
}

// Deviations that grow, or last, are no way to a cycle.
func TestRecurrenceNeedsDecay(t *testing.T) {
	steep := networktest.Leak{Power: 30, At: 67 + celsius, Growth: 0.4, Linear: true}
	if _, err := NewRecurrence(oneNode(t, 0.15, 250, steep), 0, []float64{67 + celsius}, 60); !errors.Is(err, ErrUnstable) {
		t.Errorf("a leak that outruns its link: %v", err)
	}
	loose := twoNodes()
	loose.Lumps = append(loose.Lumps, networktest.Lump{Capacity: 900})
	loose.Temperatures = append(loose.Temperatures, 300)
	if _, err := NewRecurrence(loose.Build(), 0, loose.Temperatures, 60); !errors.Is(err, ErrUnstable) {
		t.Errorf("a lump tied to nothing: %v", err)
	}
	steep.Linear = false
	if _, err := NewRecurrence(oneNode(t, 0.15, 250, steep), 0, []float64{math.NaN()}, 60); err == nil || errors.Is(err, ErrUnstable) {
		t.Errorf("no temperature: %v", err)
	}
}
