package main

import (
	"testing"

	"pgregory.net/rapid"

	"soakledger/output"
)

// TestPartSize: parts take up to some seconds, are many where there is much to do, and
// few where there is little.
func TestPartSize(t *testing.T) {
	for _, c := range []struct {
		runs int
		cost float64 // s
		want int
	}{
		{20, 0.005, 20},         // all together take less than a part may
		{1, 100, 1},             // there is no less
		{20, 3, 1},              // each a part of its own
		{64_000, 0.005, 512},    // 64 parts and more, rounded down
		{1_000_000, 1e-3, 1024}, // most runs of a part
		{1_000_000, 1, 10},      // no more than 100000 parts
		{100_000_000, 1, 1000},  // likewise
	} {
		if got := partSize(c.runs, c.cost); got != c.want {
			t.Errorf("%d runs of %g s: %d in a part, want %d", c.runs, c.cost, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		runs, cost := rapid.IntRange(1, 100_000_000).Draw(t, "runs"), rapid.Float64Range(1e-4, 1e4).Draw(t, "cost")
		size := partSize(runs, cost)
		parts := output.Recipe{Runs: runs, PartRuns: size}.Parts()
		if size < 1 || size > runs || parts > 100_000 {
			t.Fatalf("%d in a part, %d parts", size, parts)
		}
		if size > 1 && parts < 100_000 && runs < 100_000_000 && float64(size)*cost > 10 && size > (runs+99_999)/100_000 {
			t.Fatalf("a part takes %g s", float64(size)*cost)
		}
	})
}

// TestLasting and sizes are written for people.
func TestLasting(t *testing.T) {
	for s, want := range map[float64]string{0.02: "a second", 12.4: "12 s", 600: "10 min", 7200: "2.0 h"} {
		if got := lasting(s); got != want {
			t.Errorf("%g s is written %s, want %s", s, got, want)
		}
	}
	for bytes, want := range map[float64]string{200: "1 kB", 357_000: "357 kB", 10_200_000: "10.2 MB", 3.21e9: "3.2 GB"} {
		if got := sized(bytes); got != want {
			t.Errorf("%g bytes are written %s, want %s", bytes, got, want)
		}
	}
}
