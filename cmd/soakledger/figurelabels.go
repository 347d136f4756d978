package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	fig "soakledger/output/figure"
	"soakledger/sim"
)

// nameRuns labels the runs of a figure by what tells them apart: the name of their
// dataset if there are several, the settings that differ, how a run ended early, and,
// where all that is not enough, their numbers. It returns what the settings are of if
// that stands over the labels and not in each of them.
func nameRuns(all []pictured, runs []fig.Run) (key string, err error) {
	next := 0
	for i := range all {
		p := &all[i]
		own := runs[next:][:len(p.runs)]
		next += len(p.runs)
		if key, err = p.nameRuns(own, len(all) == 1); err != nil {
			return "", err
		}
	}
	texts := map[string]int{}
	for i := range runs {
		texts[labelText(runs[i].Label)]++
	}
	next = 0
	for i := range all {
		for _, id := range all[i].runs {
			if r := &runs[next]; texts[labelText(r.Label)] > 1 && all[i].many() {
				number := fig.Term{Value: "run " + strconv.FormatInt(id, 10)}
				r.Label = slices.Insert(r.Label, min(len(r.Label), len(all)-1), number)
			}
			next++
		}
	}
	return key, nil
}

// labelText writes a label in one string.
func labelText(terms []fig.Term) string { return fmt.Sprintf("%q", terms) }

// nameRuns labels the runs of one dataset. Lone says that there is no other.
func (p *pictured) nameRuns(runs []fig.Run, lone bool) (key string, err error) {
	for i := range runs {
		if p.name != "" {
			runs[i].Label = append(runs[i].Label, fig.Term{Name: p.name})
		}
	}
	if table(p.Dataset, runsTable).Index("run_id") < 0 {
		return "", nil
	}
	f, err := p.ReadRuns(runsTable, p.withFirst())
	if err != nil {
		return "", fmt.Errorf("reading the runs: %w", err)
	}
	ids := f.Ints(f.Col("run_id"))
	rows := make([]int, len(p.runs))
	for i, id := range p.runs {
		if rows[i] = slices.Index(ids, id); rows[i] < 0 {
			return "", fmt.Errorf("reading the runs: %s has a trace of run %d and no row of it", p.Dir(), id)
		}
	}
	v := newVaried(p.Dataset, f, rows, valueText)
	bare := lone && v.bare()
	if bare {
		key = v.key()
	}
	status := f.Col("status")
	for i, row := range rows {
		r := &runs[i]
		r.Label = append(r.Label, v.terms(row, bare)...)
		if status >= 0 && f.Texts(status)[row] != string(sim.Done) {
			r.Broken = true
			how := strings.ReplaceAll(f.Texts(status)[row], "_", " ")
			r.Label = append(r.Label, fig.Term{Value: how + " after " + minutes(r.Times[len(r.Times)-1])})
		}
	}
	return key, nil
}

// withFirst returns the runs and, of a study, its first one, which may be as stated.
func (p *pictured) withFirst() []int64 {
	if _, study := p.Study(); !study || slices.Contains(p.runs, 0) {
		return p.runs
	}
	return append([]int64{0}, p.runs...)
}

// terms returns what tells a row from the others. Bare values have no names.
func (v *varied) terms(row int, bare bool) []fig.Term {
	if v.asStated(row) {
		return []fig.Term{{Value: asStated}}
	}
	var terms []fig.Term
	for _, s := range v.of(row) {
		t := fig.Term{Name: s.axis.short(), Value: strings.TrimSpace(s.value + " " + printedUnit(s.axis.unit))}
		if bare {
			t.Name = ""
		}
		terms = append(terms, t)
	}
	return terms
}

// bare reports whether values by themselves say what they are of, once that is written
// over them: all rows have one of each axis, and no two are of one unit.
func (v *varied) bare() bool {
	if v.base >= 0 || len(v.axes) == 0 {
		return false
	}
	units := map[string]bool{}
	for _, a := range v.axes {
		units[a.unit] = true
	}
	return len(units) == len(v.axes) && !slices.ContainsFunc(v.rows, func(row int) bool {
		return len(v.of(row)) < len(v.axes)
	})
}

// key names the axes.
func (v *varied) key() string {
	var names []string
	for _, a := range v.axes {
		names = append(names, a.name)
	}
	return strings.Join(names, ", ")
}

// short names an axis before a value, whose unit may say the half of it.
func (a axis) short() string {
	implied := map[string]string{"rpm": " speed", "W": " power", "degC": " temperature"}
	return strings.TrimSuffix(a.name, implied[a.unit])
}
