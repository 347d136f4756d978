package sweep

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"soakledger/sim/record"
)

// TestAlternativesOfMany: of many words all are there, by themselves or moved along by
// numbers; of many numbers a hundred, and of counts a thousand.
func TestAlternativesOfMany(t *testing.T) {
	var words, names, lengths []string
	for i := range 120 {
		words = append(words, fmt.Sprintf("{name: v%d, core: {thickness: %d mm}}", i, 20+i%40))
		names = append(names, fmt.Sprintf("v%d", i))
		lengths = append(lengths, fmt.Sprintf("%d mm", 500+i))
	}
	many := strings.Replace(machine, "  front: [", "  front: ["+strings.Join(words, ", ")+", ", 1)
	variants := "{path: front, variants: [" + strings.Join(names, ", ") + "]}"
	hose := "{path: hose.length, values: [" + strings.Join(lengths, ", ") + "]}"
	for study, want := range map[string]int{
		"vary: [" + variants + "]":                                                   1 + 120,
		"vary: [" + hose + "]":                                                       1 + 100,
		"combine: zip, vary: [" + hose + ", " + variants + "]":                       1 + 120,
		"vary: [{path: solver.max_steps_per_second, from: 1000, to: 1199, step: 1}]": 1 + 200,
		"vary: [{path: solver.max_steps_per_second, from: 1000, to: 3000, step: 1}]": 1 + 1000,
	} {
		p, err := New(documentOf(t, "study: {"+study+"}"+many))
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		if _, err := p.Alternatives(func(*Design) error { n++; return nil }); err != nil {
			t.Fatal(err)
		}
		if n != want {
			t.Errorf("%.40s: %d alternatives, want %d", study, n, want)
		}
	}
}

// TestKeptRarely: the one design in millions that conditions keep is found, and where
// there is none, that is said.
func TestKeptRarely(t *testing.T) {
	const axes = `
vary:
  - {path: hose.length, from: 500 mm, to: 900 mm, step: 10 mm}
  - {path: cpu.power, from: 50 W, to: 149 W, step: 1 W}
  - {path: ambient, from: 20 degC, to: 30 degC, step: 0.1 K}
`
	p := planned(t, "keep: [hose.length = 800 mm, cpu.power = 121 W, ambient = 21.7 degC]"+axes)
	if tables, err := p.Tables(record.TraceChoice{}); err != nil || len(tables.Axes) != 3 {
		t.Errorf("one of %d: %v", p.Count(), err)
	}
	for study, want := range map[string]string{
		"keep: hose.length = 950 mm" + axes:                                      "no design of the study meets",
		"keep: hose.length = 950 mm" + strings.Replace(axes, "10 mm", "1 mm", 1): fmt.Sprintf("none of the first %d of the study's %d designs meets", mostSearched, 401*100*101),
	} {
		var problems Problems
		if _, err := planned(t, study).Tables(record.TraceChoice{}); !errors.As(err, &problems) || !strings.Contains(problems[0].Text, want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
}
