package metric_test

import (
	"math"
	"testing"

	"soakledger/sim/metric"
	"soakledger/sim/record"
)

// swingOf sends segments past the swings of components 0 and 1.
func swingOf(from, to float64, segments []record.Segment) ([]metric.Swing, bool) {
	w := metric.NewSwings(from, to, []int{0, 1})
	for _, s := range segments {
		w.Add(s)
	}
	return w.Figures()
}

// A parabola, 300 + (t-2)^2, and a cubic, 300 + t (t-3) (t-6), have extremes and means
// that are worked out by hand, wherever steps begin and end.
func TestSwings(t *testing.T) {
	whole := func(a, b float64) record.Segment {
		l := b - a
		return span{a, b, []record.Polynomial{
			{300 + (a-2)*(a-2), 2 * (a - 2) * l, l * l},
			{300 + a*(a-3)*(a-6), (3*a*a - 18*a + 18) * l, (3*a - 9) * l * l, l * l * l},
		}}
	}
	root := math.Sqrt(3)
	for _, steps := range [][]float64{{0, 6}, {-3, 11}, {-5, -1, 0, 2, 3, 3, 5.5, 6, 7}, {-1, 1.999, 2.001, 9}, {0, 1e-9, 6 - 1e-9, 20}} {
		var all []record.Segment
		for i := range steps[1:] {
			all = append(all, whole(steps[i], steps[i+1]))
		}
		got, seen := swingOf(0, 6, all)
		if !seen {
			t.Fatalf("%v: not seen", steps)
		}
		want := []metric.Swing{
			{Lowest: 300, LowestAt: 2, Highest: 316, HighestAt: 6, Mean: 304},
			{Lowest: 300 - 6*root, LowestAt: 3 + root, Highest: 300 + 6*root, HighestAt: 3 - root, Mean: 300},
		}
		for i, w := range want {
			for _, c := range [][2]float64{{got[i].Lowest, w.Lowest}, {got[i].Highest, w.Highest}, {got[i].Mean, w.Mean}} {
				if math.Abs(c[0]-c[1]) > 1e-10 {
					t.Errorf("%v: component %d: %+v, want %+v", steps, i, got[i], w)
				}
			}
			if math.Abs(got[i].LowestAt-w.LowestAt) > 1e-6 || math.Abs(got[i].HighestAt-w.HighestAt) > 1e-6 {
				t.Errorf("%v: component %d: %+v, want %+v", steps, i, got[i], w)
			}
		}
	}
	if _, seen := swingOf(0, 6, []record.Segment{whole(-1, 3), whole(3, 5.9)}); seen {
		t.Error("a cycle that was cut counts as seen")
	}
	if _, seen := swingOf(0, 6, nil); seen {
		t.Error("nothing counts as seen")
	}
}

// Another cycle forgets the one before.
func TestSwingsBeginAnew(t *testing.T) {
	w := metric.NewSwings(0, 1, []int{0})
	w.Add(span{0, 1, []record.Polynomial{{500, -400}}})
	w.Begin(1, 3)
	if from, to := w.Span(); from != 1 || to != 3 {
		t.Errorf("from %g to %g s", from, to)
	}
	w.Add(span{1, 3, []record.Polynomial{{100, 20}}})
	got, seen := w.Figures()
	if want := (metric.Swing{Lowest: 100, Highest: 120, HighestAt: 2, Mean: 110}); !seen || got[0] != want {
		t.Errorf("%+v, %v, want %+v", got[0], seen, want)
	}
}
