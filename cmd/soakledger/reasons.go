package main

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"

	"soakledger/sim"
)

// reasons are why runs did not go to their end. Those that differ in numbers alone are
// one.
type reasons struct {
	by   map[string]*reason
	more int // runs with other reasons than the first so many
}

// reason is one of them.
type reason struct {
	status sim.Status
	text   string // of the first run that gives it
	times  int
	run    int64
	where  string
}

// mostReasons bounds how many are told apart, mostToldReasons how many are printed.
const (
	mostReasons     = 1000
	mostToldReasons = 5
)

// add takes the reason of one run.
func (r *reasons) add(status sim.Status, text string, run int64, where func() string) {
	key := string(status) + " " + strings.Map(func(c rune) rune {
		if c >= '0' && c <= '9' || c == '.' || c == '-' {
			return -1
		}
		return c
	}, text)
	known := r.by[key]
	switch {
	case known != nil:
		known.times++
	case len(r.by) == mostReasons:
		r.more++
	default:
		if r.by == nil {
			r.by = map[string]*reason{}
		}
		r.by[key] = &reason{status: status, text: text, times: 1, run: run, where: where()}
	}
}

// write prints the most frequent ones first, each with the first run that gives it.
func (r *reasons) write(w io.Writer, axes []string) {
	all := make([]*reason, 0, len(r.by))
	for _, one := range r.by {
		all = append(all, one)
	}
	slices.SortFunc(all, func(a, b *reason) int {
		return cmp.Or(cmp.Compare(b.times, a.times), cmp.Compare(a.run, b.run))
	})
	for _, one := range all[:min(mostToldReasons, len(all))] {
		what := "failed"
		if one.status == sim.LeftRange {
			what = "left the model's range"
		}
		which := fmt.Sprintf("run %d", one.run)
		if one.times > 1 {
			which = fmt.Sprintf("%d runs, the first is run %d", one.times, one.run)
		}
		fmt.Fprintf(w, "  %s: %s (%s): %s\n", what, which, named(axes, one.where), one.text)
	}
	rest := r.more
	for _, one := range all[min(mostToldReasons, len(all)):] {
		rest += one.times
	}
	if rest > 0 {
		fmt.Fprintf(w, "  and %s for other reasons, which the column reason tells\n", several(rest, "run"))
	}
}

// named writes the values of axes with their names.
func named(axes []string, where string) string {
	values := strings.Split(where, "\t")
	words := make([]string, len(values))
	for i, v := range values {
		words[i] = axes[i] + " " + v
	}
	return strings.Join(words, ", ")
}
