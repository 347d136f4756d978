package sweep

import (
	"context"
	"errors"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestCompare holds by the definition of each sign; numbers a rounding apart are
// equal.
func TestCompare(t *testing.T) {
	for _, c := range []struct {
		x, y  float64
		holds string
	}{
		{1, 2, "< <= !="}, {2, 1, "> >= !="}, {2, 2, "<= >= ="}, {1, 1 + 1e-12, "<= >= ="}, {1 + 1e-12, 1, "<= >= ="},
		{0, 0, "<= >= ="}, {-1, -2, "> >= !="}, {0, 1e-300, "< <= !="}, {1, 1 + 1e-8, "< <= !="},
	} {
		for _, is := range []string{"<", "<=", "=", "!=", ">=", ">"} {
			want := strings.Contains(" "+c.holds+" ", " "+is+" ")
			if got := compare(c.x, is, c.y); got != want {
				t.Errorf("%v %s %v: %t", c.x, is, c.y, got)
			}
		}
	}
}

// TestKeep drops designs by paths, columns, words, variants and the scenario's
// own statements, and counts them; the expected numbers are counted by hand.
func TestKeep(t *testing.T) {
	axes := `
vary:
  - {path: front, variants: all}
  - {path: front.fans.speed, values: [700 rpm, 1000 rpm, 1300 rpm], column: fan}
  - {path: ambient, from: 20 degC, to: 29 degC, step: 1 K, column: room}
  - {path: cpu.work, values: [render, evening]}
  - {path: front.fans.rated, values: [1000 rpm, 1600 rpm]}
`
	const all = 2 * 3 * 10 * 2 * 2
	for keep, want := range map[string]int{
		"front.fans.speed <= 1000 rpm":    all / 3 * 2,
		"1000 rpm >= fan":                 all / 3 * 2,
		"fan < 1000 rpm":                  all / 3,
		"room > 24 degC":                  all / 2,
		"ambient = 24 degC":               all / 10,
		"ambient.temperature != 24 degC":  all / 10 * 9,
		"front = deep":                    all / 2,
		"front != deep":                   all / 2,
		"cpu.work = evening":              all / 2,
		"front.core.thickness > 30 mm":    all / 2, // 28 mm as stated, 64 mm in one variant
		"front.price <= 80":               all / 2,
		"fan <= front.fans.rated":         all / 6 * 5,
		"front.fans.rated < fan":          all / 6,
		"pump_1.flow = 4 L/min":           all,
		"hose.length > 1 m":               0,
		"front.core.face.width > 400 mm":  all,
		"front.fans.speed == 1300 rpm":    all / 3,
		"front.core.thickness = 2.52 in":  0,
		"front.core.thickness >= 64.0 mm": all / 2,
	} {
		p := planned(t, axes+"keep: "+keep)
		kept := 0
		for i := range p.Count() {
			d, err := p.Design(i)
			if err != nil && strings.Contains(err.Error(), "150 %") {
				err, d.Kept = nil, true // fans that are too fast are kept and fail
			}
			if err != nil {
				t.Fatal(err)
			}
			if d.Kept {
				kept++
			}
		}
		drops, err := p.Drops(context.Background(), 1000)
		if kept != want || err != nil || !reflect.DeepEqual(drops, Drops{Looked: all, Kept: want, By: []int{all - want}}) || !drops.All(p) {
			t.Errorf("%s keeps %d designs, want %d; counted %+v, %v", keep, kept, want, drops, err)
		}
	}
}

// TestDrops: each dropped design is counted at the first condition that it
// fails; a large plan is looked at in part, evenly.
func TestDrops(t *testing.T) {
	p := planned(t, "keep: [ambient <= 24 degC, front.fans.speed != 700 rpm]\nvary:\n- {path: ambient, from: 20 degC, to: 29 degC, step: 1 K}\n- {path: front.fans.speed, values: [700 rpm, 1000 rpm]}")
	drops, err := p.Drops(context.Background(), 20)
	if want := (Drops{Looked: 20, Kept: 5, By: []int{10, 5}}); err != nil || !reflect.DeepEqual(drops, want) {
		t.Errorf("%+v, %v, want %+v", drops, err, want)
	}
	for i := range p.Count() {
		if d := design(t, p, i); d.Fails == 1 != (i < 10 && i%2 == 0) || d.Fails == 0 != (i >= 10) {
			t.Errorf("design %d (%s) fails condition %d", i, shown(p, d), d.Fails)
		}
	}
	large := planned(t, "keep: ambient <= 23 degC\nvary:\n- {path: ambient, from: 20 degC, to: 29 degC, step: 1 K}\n- {path: front.core.thickness, from: 20 mm, to: 60 mm, count: 1000000}")
	drops, err = large.Drops(context.Background(), 10_000)
	if err != nil || drops.Looked != 10_000 || drops.Kept+drops.By[0] != 10_000 || drops.All(large) {
		t.Errorf("%+v, %v", drops, err)
	}
	if share := float64(drops.Kept) / 10_000; share < 0.375 || share > 0.425 { // five deviations of 4 in 10
		t.Errorf("%g of the designs are kept, want 0.4", share)
	}
	stopped, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := large.Drops(stopped, 10_000); !errors.Is(err, context.Canceled) {
		t.Errorf("stopped: %v", err)
	}
	if drops, err := planned(t, "vary: [{path: ambient, from: 20 degC, to: 29 degC, count: 100000000}]").Drops(context.Background(), 1); err != nil || drops.Kept != 100_000_000 {
		t.Errorf("without conditions: %+v, %v", drops, err)
	}
}

// TestKeepIsPure: whether a design is kept does not depend on what was made
// before, and agrees with its values.
func TestKeepIsPure(t *testing.T) {
	p := planned(t, "combine: random\nruns: 100000\nkeep: front.core.thickness <= hose.length\nvary:\n- {path: front.core.thickness, from: 20 mm, to: 60 mm}\n- {path: hose.length, from: 10 mm, to: 100 mm}")
	rapid.Check(t, func(t *rapid.T) {
		d, err := p.Design(rapid.IntRange(0, p.Count()-1).Draw(t, "design"))
		if err != nil || d.Kept != (d.Values[0].Number <= d.Values[1].Number) {
			t.Fatalf("%s: kept %t, %v", shown(p, d), d.Kept, err)
		}
	})
}
