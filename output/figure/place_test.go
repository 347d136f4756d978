package figure

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestPlace(t *testing.T) {
	tests := []struct {
		name       string
		want, size []float64
		low, high  float64
		centres    []float64
	}{
		{"none", nil, nil, 0, 10, nil},
		{"one stays", []float64{4}, []float64{2}, 0, 10, []float64{4}},
		{"one is held inside", []float64{9.5}, []float64{2}, 0, 10, []float64{9}},
		{"apart already", []float64{1, 5}, []float64{2, 2}, 0, 10, []float64{1, 5}},
		{"two that meet share the move", []float64{5, 5}, []float64{2, 4}, 0, 10, []float64{3.5, 6.5}},
		{"three at the floor", []float64{0, 0, 1}, []float64{2, 2, 2}, 0, 10, []float64{1, 3, 5}},
		{"three at the ceiling", []float64{9, 10, 10}, []float64{2, 2, 2}, 0, 10, []float64{5, 7, 9}},
		{"two groups", []float64{2, 2, 8, 8}, []float64{1, 1, 1, 1}, 0, 10, []float64{1.5, 2.5, 7.5, 8.5}},
		{"no room to spare", []float64{3, 3}, []float64{4, 6}, 0, 10, []float64{2, 7}},
	}
	for _, test := range tests {
		if got := place(test.want, test.size, test.low, test.high); !slices.Equal(got, test.centres) {
			t.Errorf("%s: %v, want %v", test.name, got, test.centres)
		}
	}
}

// boxes draws places that boxes should have, their sizes, and bounds with room for all.
func boxes(t *rapid.T) (want, size []float64, low, high float64) {
	n := rapid.IntRange(1, 12).Draw(t, "boxes")
	low = rapid.Float64Range(-100, 100).Draw(t, "low")
	high = low
	for range n {
		size = append(size, rapid.Float64Range(0.5, 30).Draw(t, "size"))
		high += size[len(size)-1]
	}
	high += rapid.Float64Range(0, 200).Draw(t, "spare")
	want = rapid.SliceOfN(rapid.Float64Range(low-20, high+20), n, n).Draw(t, "want")
	slices.Sort(want)
	return want, size, low, high
}

// Boxes are in order, inside, and do not overlap; and no other such places move them
// less.
func TestPlaceProperty(t *testing.T) {
	const tiny = 1e-9
	rapid.Check(t, func(t *rapid.T) {
		want, size, low, high := boxes(t)
		got := place(want, size, low, high)
		if len(got) != len(want) {
			t.Fatalf("%d places for %d boxes", len(got), len(want))
		}
		end := low
		for i, c := range got {
			if c-size[i]/2 < end-tiny {
				t.Fatalf("box %d begins at %g, below %g: %v", i, c-size[i]/2, end, got)
			}
			end = c + size[i]/2
		}
		if end > high+tiny {
			t.Fatalf("the last box ends at %g, above %g: %v", end, high, got)
		}
		other := otherPlaces(t, size, low, high)
		if a, b := moves(want, got), moves(want, other); a > b+tiny {
			t.Fatalf("places %v move boxes by %g, %v by %g only", got, a, other, b)
		}
		// Along the way to any other places the moves grow from the start.
		near := make([]float64, len(got))
		for i := range got {
			near[i] = got[i] + 1e-3*(other[i]-got[i])
		}
		if a, b := moves(want, got), moves(want, near); a > b+tiny {
			t.Fatalf("places %v move boxes by %g, %v by %g only", got, a, near, b)
		}
	})
}

// otherPlaces draws any places that keep the rules.
func otherPlaces(t *rapid.T, size []float64, low, high float64) []float64 {
	spare := high - low
	for _, s := range size {
		spare -= s
	}
	gaps := rapid.SliceOfN(rapid.Float64Range(0, 1), len(size), len(size)).Draw(t, "gaps")
	total := rapid.Float64Range(0, 1).Draw(t, "rest")
	for _, g := range gaps {
		total += g
	}
	places, at := make([]float64, len(size)), low
	for i, s := range size {
		at += max(spare, 0) * gaps[i] / max(total, 1e-300)
		places[i] = at + s/2
		at += s
	}
	return places
}

func moves(want, got []float64) float64 {
	sum := 0.0
	for i := range want {
		sum += math.Pow(got[i]-want[i], 2)
	}
	return sum
}
