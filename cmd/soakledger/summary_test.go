package main

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/record"
)

// TestSample: shares of up to a sample's size are exact by definition 7; of more they
// are those of an even share of runs, whatever the order.
func TestSample(t *testing.T) {
	var few sample
	for i, v := range []float64{7, 1, 3, 5} {
		few.add(int64(i), v)
	}
	for p, want := range map[float64]float64{0: 1, 0.25: 2.5, 0.5: 4, 0.75: 5.5, 1: 7} {
		if got := few.share(p); got != want {
			t.Errorf("a share of %g lies below %g, want %g", p, got, want)
		}
	}
	const n = 1_000_000
	for name, of := range map[string]func(i int) float64{
		"rising": func(i int) float64 { return float64(i) },
		"grid":   func(i int) float64 { return float64(i%2)*n/2 + float64(i/2) }, // the last axis moves fastest
	} {
		var many sample
		for i := range n {
			many.add(int64(i), of(i))
		}
		if len(many.values) > sampleSize || len(many.values) < sampleSize/4 {
			t.Errorf("%s: %d values are kept", name, len(many.values))
		}
		for _, p := range []float64{0.25, 0.5, 0.75} {
			if got := many.share(p) / n; math.Abs(got-p) > 0.01 {
				t.Errorf("%s: a share of %g lies below %g", name, p, got)
			}
		}
	}
}

// TestShareIsOrdered: shares rise and stay within the values.
func TestShareIsOrdered(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s sample
		values := rapid.SliceOfN(rapid.Float64Range(-1e6, 1e6), 1, 40).Draw(t, "values")
		for i, v := range values {
			s.add(int64(i), v)
		}
		p, q := rapid.Float64Range(0, 1).Draw(t, "p"), rapid.Float64Range(0, 1).Draw(t, "q")
		a, b := s.share(min(p, q)), s.share(max(p, q))
		if a > b+1e-9 || a < slices.Min(values) || b > slices.Max(values) {
			t.Fatalf("%g and %g of %v", a, b, values)
		}
	})
}

// TestReasons groups what differs in numbers alone, the most frequent first.
func TestReasons(t *testing.T) {
	var r reasons
	at := func() string { return "60\tslim" }
	r.add(sim.LeftRange, "coolant went above 95.0 degC after 3.5 min", 4, at)
	for run := range 3 {
		r.add(sim.Failed, "step -1e-5 s", int64(10+run), at)
	}
	r.add(sim.LeftRange, "coolant went above 95.0 degC after 12 min", 5, at)
	var b strings.Builder
	r.write(&b, []string{"thickness_mm", "front"})
	want := "  failed: 3 runs, the first is run 10 (thickness_mm 60, front slim): step -1e-5 s\n" +
		"  left the model's range: 2 runs, the first is run 4 (thickness_mm 60, front slim): coolant went above 95.0 degC after 3.5 min\n"
	if b.String() != want {
		t.Errorf("got\n%s", b.String())
	}
	for run := range 3000 {
		r.add(sim.Failed, strings.Repeat("x", run+1), int64(run), at)
	}
	b.Reset()
	r.write(&b, []string{"thickness_mm", "front"})
	if len(r.by) != mostReasons || strings.Count(b.String(), "\n") != mostToldReasons+1 || !strings.Contains(b.String(), "and 2997 runs for other reasons") {
		t.Errorf("%d reasons are told apart:\n%s", len(r.by), b.String())
	}
}

// TestSpreads finds the figures that a table has.
func TestSpreads(t *testing.T) {
	table := record.Table{Name: "runs"}
	for _, name := range []string{"run_id", "price", "to_within_1_k_s", "to_within_0_5_k_s", "to_within_0_1_k_s", "cool_to_within_2_k_s", "gpu_die_level_c", "rise_k"} {
		table.Columns = append(table.Columns, record.Column{Name: name})
	}
	all, within := spreadsOf(table)
	var got []string
	for _, one := range all {
		got = append(got, one.column+": "+one.label)
	}
	want := []string{"rise_k: rise over the room", "gpu_die_level_c: gpu die, level", "price: price", "to_within_0_5_k_s: soaked within 0.5 K", "cool_to_within_2_k_s: back within 2 K"}
	if !slices.Equal(got, want) || within != "to_within_0_5_k_s" {
		t.Errorf("got %q, %s", got, within)
	}
	if all, within := spreadsOf(record.Table{Columns: []record.Column{{Name: "run_id"}}}); len(all) > 0 || within != "" {
		t.Errorf("nothing has %v", all)
	}
}

// TestDigits writes three digits, or whole numbers.
func TestDigits(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 7.1934: "7.19", 33.96: "34", 554.7: "555", 21850: "21850", 0.01839: "0.0184", -2.345: "-2.35", -1234.5: "-1234"} {
		if got := digits(v); got != want {
			t.Errorf("%g is written %s, want %s", v, got, want)
		}
	}
}
