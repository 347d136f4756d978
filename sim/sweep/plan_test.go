package sweep

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/spec"
)

// TestOrders lists the designs of every way to combine axes without drawing.
func TestOrders(t *testing.T) {
	axes := `
vary:
  - {path: front, variants: all, zip: a}
  - {path: ambient, values: [20 degC, 30 degC, 25 degC], zip: b}
  - {path: front.fans.speed, from: 1200 rpm, to: 900 rpm, step: 300 rpm, zip: a}
  - {path: cpu.work, values: [render, evening, render], zip: b}
`
	axesAlone := strings.NewReplacer(", zip: a", "", ", zip: b", "", ", evening, render]", ", evening]").Replace(axes)
	for name, c := range map[string]struct {
		study string
		want  []string
	}{
		"groups": {axes, []string{
			"slim, 20 degC, 1200 rpm, render", "slim, 30 degC, 1200 rpm, evening", "slim, 25 degC, 1200 rpm, render",
			"deep, 20 degC, 900 rpm, render", "deep, 30 degC, 900 rpm, evening", "deep, 25 degC, 900 rpm, render",
		}},
		"zip": {"combine: zip\nvary:\n- {path: front, variants: [deep, slim]}\n- {path: hose.length, values: [1 m, 600 mm]}", []string{
			"deep, 1000 mm", "slim, 600 mm",
		}},
		"one at a time": {"combine: one at a time" + axesAlone, []string{
			"unset, 23 degC, 1000 rpm, render",
			"slim, 23 degC, 1000 rpm, render", "deep, 23 degC, 1000 rpm, render",
			"unset, 20 degC, 1000 rpm, render", "unset, 30 degC, 1000 rpm, render", "unset, 25 degC, 1000 rpm, render",
			"unset, 23 degC, 1200 rpm, render", "unset, 23 degC, 900 rpm, render",
			"unset, 23 degC, 1000 rpm, render", "unset, 23 degC, 1000 rpm, evening",
		}},
		"one at a time, in groups": {"combine: one at a time" + axes, []string{
			"unset, 23 degC, 1000 rpm, render", "slim, 23 degC, 1200 rpm, render", "deep, 23 degC, 900 rpm, render",
			"unset, 20 degC, 1000 rpm, render", "unset, 30 degC, 1000 rpm, evening", "unset, 25 degC, 1000 rpm, render",
		}},
	} {
		p := planned(t, c.study)
		var got []string
		for i := range p.Count() {
			got = append(got, shown(p, design(t, p, i)))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s:\n%s\nwant\n%s", name, strings.Join(got, "\n"), strings.Join(c.want, "\n"))
		}
	}
	grid := planned(t, axesAlone)
	if grid.Count() != 2*3*2*2 {
		t.Errorf("the grid has %d designs", grid.Count())
	}
	for i, want := range map[int]string{0: "slim, 20 degC, 1200 rpm, render", 1: "slim, 20 degC, 1200 rpm, evening", 2: "slim, 20 degC, 900 rpm, render", 23: "deep, 25 degC, 900 rpm, evening", 12: "deep, 20 degC, 1200 rpm, render"} {
		if got := shown(grid, design(t, grid, i)); got != want {
			t.Errorf("grid %d: %s, want %s", i, got, want)
		}
	}
}

// TestDesignOutside: only planned designs are made.
func TestDesignOutside(t *testing.T) {
	p := planned(t, "vary: [{path: ambient, values: [20 degC]}]")
	for _, i := range []int{-1, 1} {
		if _, err := p.Design(i); err == nil {
			t.Errorf("there is a design %d", i)
		}
	}
}

// someAxes are axes that go together in every number and order.
var someAxes = []string{
	"{path: front, variants: all}",
	"{path: front.core.tube_pitch, from: 8 mm, to: 12 mm, count: 7}",
	"{path: ambient, from: 10 degC, to: 35 degC, step: 2.5 K}",
	"{path: cpu.power, from: 50 W, to: 400 W, count: 9, scale: log}",
	"{path: front.fans.speed, values: [700 rpm, 1000 rpm, 1300 rpm]}",
	"{path: cpu.work, values: [render, evening]}",
	"{path: coolant, variants: all}",
	"{path: hose.length, from: 10 in, to: 90 in, count: 17}",
	"{path: front.core.fins, values: [plain, louvred]}",
	"{path: front.fans.count, from: 1, to: 3, step: 1}",
	"{path: pump_1.flow, from: 0.5 gpm, to: 1.5 gpm, count: 6}",
	"{path: render.repeat, values: [1, 2, 3]}",
	"{path: cpu.leakage.power, values: [10 W, 20 W]}",
	"{path: cpu.die_share, from: 20 %, to: 70 %, count: 6}",
}

// drawnAxes are more of them, for studies that draw.
var drawnAxes = []string{
	"{path: front.core.tube_thickness, from: 1.6 mm, to: 2.4 mm}",
	"{path: front.airflow_factor, distribution: normal, mean: 1, deviation: 0.1}",
	"{path: ambient.humidity, distribution: uniform, low: 30 %, high: 70 %}",
	"{path: front.recirculation, distribution: triangular, low: 0 %, mode: 5 %, high: 30 %}",
	"{path: cpu.die_to_plate, distribution: truncated normal, mean: 0.14 K/W, deviation: 0.05 K/W, low: 0.08 K/W, high: 0.3 K/W}",
	"{path: front.core.fin_thickness, from: 0.03 mm, to: 0.1 mm, scale: log}",
	"{path: front.cells, distribution: uniform, low: 2, high: 6}",
	"{path: cpu.shutdown, distribution: normal, mean: 110 degC, deviation: 3 K}",
	"{path: hose.bends, from: 0, to: 9}",
}

// drawStudy draws a study that is sound.
func drawStudy(t *rapid.T) string {
	combine := rapid.SampledFrom([]string{"grid", "one at a time", "latin hypercube", "halton", "random"}).Draw(t, "combine")
	pool := someAxes
	head := "combine: " + combine
	if combine != "grid" && combine != "one at a time" {
		pool = slices.Concat(someAxes, drawnAxes)
		head += "\nruns: " + rapid.SampledFrom([]string{"1", "7", "100", "99999999"}).Draw(t, "runs")
		if rapid.Bool().Draw(t, "seeded") {
			head += "\nseed: " + rapid.StringMatching("[1-9][0-9]{0,7}").Draw(t, "seed")
		}
	}
	axes := rapid.Permutation(pool).Draw(t, "axes")[:rapid.IntRange(1, 5).Draw(t, "number")]
	return head + "\nvary:\n- " + strings.Join(axes, "\n- ")
}

// TestDesignIsWith: a design is what With makes of its values, variants first,
// and what a file gives that states what its columns show; twice the same, and
// the scenario stays as it was.
func TestDesignIsWith(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		doc := document(t, drawStudy(rt))
		before := doc.Scenario.Clone()
		p, err := New(doc.Scenario)
		if err != nil {
			rt.Fatal(err)
		}
		i := rapid.IntRange(0, p.Count()-1).Draw(rt, "design")
		d := design(t, p, i)
		want := doc.Scenario
		var settings []string
		for _, variants := range []bool{true, false} {
			for k, v := range d.Values {
				x := &p.axes[k]
				if (x.variants != nil) != variants || !v.IsSet() || v == p.home[k] {
					continue
				}
				settings = append(settings, setting(x, v))
				if want, err = want.With(x.Path, v); err != nil {
					rt.Fatal(err)
				}
			}
		}
		if !reflect.DeepEqual(d.Scenario, want.Alone()) {
			rt.Fatalf("design %d is not what With gives for %s", i, shown(p, d))
		}
		stated, err := doc.Set(settings...)
		if err != nil {
			rt.Fatal(err)
		}
		if !reflect.DeepEqual(d.Scenario, stated.Scenario.Alone()) || spec.Hash(d.Scenario) != spec.Hash(stated.Scenario) {
			rt.Fatalf("design %d is not what %q gives", i, settings)
		}
		if again := design(t, p, i); !reflect.DeepEqual(again, d) || !reflect.DeepEqual(doc.Scenario, before) {
			rt.Fatal("a design made twice differs, or changed the scenario")
		}
	})
}

// TestDesignsInAnyOrder: several workers, from the end on, make the same designs
// as one does from the beginning, each with a plan of its own or all with one.
func TestDesignsInAnyOrder(t *testing.T) {
	study := "combine: latin hypercube\nruns: 60\nseed: 3\nvary:\n- " + strings.Join(slices.Concat(someAxes[:2], drawnAxes), "\n- ")
	p := planned(t, study)
	want := make([]Design, p.Count())
	for i := range want {
		want[i] = design(t, p, i)
	}
	var all sync.WaitGroup
	for w := range 4 {
		own := p
		if w%2 == 1 {
			own = planned(t, study)
		}
		all.Go(func() {
			for i := p.Count() - 1; i >= 0; i-- {
				if d, err := own.Design(i); err != nil || !reflect.DeepEqual(d, want[i]) {
					t.Errorf("worker %d: design %d is %s, %v", w, i, shown(own, d), err)
				}
			}
		})
	}
	all.Wait()
}

// TestThicknessesAreFiles: a sweep over thickness has the very scenarios that
// files with these thicknesses have, at the ends and between.
func TestThicknessesAreFiles(t *testing.T) {
	p := planned(t, "vary: [{path: front.core.thickness, from: 20 mm, to: 60 mm, step: 4 mm}]")
	if p.Count() != 11 {
		t.Fatalf("%d designs", p.Count())
	}
	for i, thickness := range []string{"20", "24", "28", "32", "36", "40", "44", "48", "52", "56", "60"} {
		text := strings.Replace(machine, "thickness: 28 mm", "thickness: "+thickness+" mm", 1)
		file := documentOf(t, text)
		if d := design(t, p, i); !reflect.DeepEqual(d.Scenario, file.Alone()) || spec.Hash(d.Scenario) != spec.Hash(file) {
			t.Errorf("%s mm: the design states %v, the file %v", thickness, d.Scenario.Loops, file.Loops)
		}
	}
}

// TestNewRefuses says where values do not go together, all at once.
func TestNewRefuses(t *testing.T) {
	if _, err := New(documentOf(t, machine)); err == nil || !strings.Contains(err.Error(), "has no study") {
		t.Errorf("without a study: %v", err)
	}
	for study, want := range map[string]Problems{
		"vary: [{path: front.fans.speed, values: [1000 rpm, 2500 rpm, 900 rpm, 2600 rpm]}]": {
			{"study.vary[0].values[1]", "front.fans.speed at 2500 rpm and everything else at its first value, front.fans.speed"},
			{"study.vary[0].values[3]", "front.fans.speed at 2600 rpm"},
		},
		"vary: [{path: coolant.fluid, values: [water, propylene glycol]}]": {{"study.vary[0].values[1]", "needs its share"}},
		"combine: random\nruns: 9\nvary: [{path: front.fans.speed, distribution: uniform, low: 900 rpm, high: 2500 rpm}]": {
			{"study.vary[0]", "150 % of the rated speed"},
		},
		"vary: [{path: front.fans.speed, from: 2500 rpm, to: 900 rpm, count: 3}, {path: ambient, values: [20 degC]}]": {
			{"study.vary", "the first design is not sound: front.fans.speed"},
		},
	} {
		_, err := New(document(t, study).Scenario)
		var got Problems
		if !errors.As(err, &got) || len(got) != len(want) {
			t.Errorf("%s: %v", study, err)
			continue
		}
		for i, p := range got {
			if p.Path != want[i].Path || !strings.Contains(p.Text, want[i].Text) {
				t.Errorf("%s: %s: %s", study, p.Path, p.Text)
			}
		}
	}
}

// TestDesignFails: values that do not go together give an error and tell what
// they are.
func TestDesignFails(t *testing.T) {
	p := planned(t, "vary: [{path: front.fans.speed, values: [1000 rpm, 1700 rpm]}, {path: front.fans.rated, values: [1600 rpm, 1000 rpm]}]")
	d, err := p.Design(3)
	if err == nil || !strings.Contains(err.Error(), "150 %") || shown(p, d) != "1700 rpm, 1000 rpm" || d.Scenario != nil {
		t.Errorf("got %+v, %v", d, err)
	}
}

// TestAlternatives: every word, variant and count is there, and the ends of the
// rest.
func TestAlternatives(t *testing.T) {
	p := planned(t, `
combine: random
runs: 5
keep: ambient <= 29 degC
vary:
  - {path: front, variants: all}
  - {path: cpu.work, values: [render, evening]}
  - {path: front.cells, distribution: uniform, low: 2, high: 4}
  - {path: ambient, from: 20 degC, to: 30 degC}
  - {path: front.core.fins, values: [plain, louvred, strip]}
`)
	var got []string
	refusal, err := p.Alternatives(func(d *Design) error {
		got = append(got, shown(p, *d))
		return nil
	})
	if refusal != nil || err != nil {
		t.Fatal(refusal, err)
	}
	want := []string{
		"slim, render, 3, 25 degC, plain", "slim, render, 3, 25 degC, plain", "deep, render, 3, 25 degC, plain",
		"slim, render, 3, 25 degC, plain", "slim, evening, 3, 25 degC, plain",
		"slim, render, 2, 25 degC, plain", "slim, render, 3, 25 degC, plain", "slim, render, 4, 25 degC, plain",
		"slim, render, 3, 20.01 degC, plain", // the other end is dropped
		"slim, render, 3, 25 degC, plain", "slim, render, 3, 25 degC, louvred", "slim, render, 3, 25 degC, strip",
	}
	if !slices.Equal(got, want) {
		t.Errorf("got\n%s", strings.Join(got, "\n"))
	}
}
