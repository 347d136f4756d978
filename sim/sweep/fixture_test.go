package sweep

import (
	"strings"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim/spec"
)

// machine is a scenario whose study is put in front of it.
const machine = `
ambient: 23 degC
coolant: water
chips: [{name: cpu, work: render, power: 200 W}]
loop:
  - {part: pump, flow: 4 L/min}
  - {part: block}
  - {part: tube, name: hose, bore: 10 mm, length: 900 mm}
  - {part: radiator, name: front, core: {face: {width: 420 mm, height: 140 mm}, thickness: 28 mm, fins_per_inch: 14}, fans: {count: 3, rated: 1600 rpm, speed: 1000 rpm}}
work:
  - {name: render, steps: [{for: 40 min, power: 210 W}]}
  - {name: evening, on: 20 min, off: 10 min}
variants:
  front: [{name: slim, core: {fins_per_inch: 18}, price: 70}, {name: deep, core: {thickness: 64 mm, fins_per_inch: 10}, holds: 610 mL, price: 95}]
  coolant: [{name: mixed, fluid: propylene glycol, volume_share: 20 %}]
`

// document reads the machine with a study, given as the body of study:.
func document(t testing.TB, study string) *scenarios.Document {
	t.Helper()
	doc, err := scenarios.Read("study.yaml", []byte("study:\n"+indented(study)+machine))
	if err != nil {
		t.Fatal(err)
	}
	return doc
}

func indented(text string) string {
	var b strings.Builder
	for line := range strings.Lines(strings.TrimSpace(text) + "\n") {
		b.WriteString("  " + strings.TrimLeft(line, "\t"))
	}
	return b.String()
}

// planned makes the plan of such a study.
func planned(t testing.TB, study string) *Plan {
	t.Helper()
	p, err := New(document(t, study).Scenario)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// design makes a design that is expected to be sound.
func design(t testing.TB, p *Plan, i int) Design {
	t.Helper()
	d, err := p.Design(i)
	if err != nil {
		t.Fatalf("design %d: %v", i, err)
	}
	if d.Run != i || d.Kept != (d.Scenario != nil) || d.Kept != (d.Fails < 0) || len(d.Values) != len(p.axes) {
		t.Fatalf("design %d is %+v", i, d)
	}
	return d
}

// shown writes the values of a design.
func shown(p *Plan, d Design) string {
	var words []string
	for k, v := range d.Values {
		words = append(words, p.axes[k].Show(v))
	}
	return strings.Join(words, ", ")
}

// setting is an override that states what an axis has in a design.
func setting(x *Axis, v spec.Value) string { return x.Path + "=" + x.Show(v) }

// documentOf reads a scenario without a study.
func documentOf(t testing.TB, text string) *spec.Scenario {
	t.Helper()
	doc, err := scenarios.Read("plain.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return doc.Scenario
}
