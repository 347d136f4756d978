package main

import (
	"context"
	"fmt"
	"io"
	"math"
	"runtime"
	"strings"
	clock "time"

	"soakledger/scenarios"
	"soakledger/sim/sweep"
)

// Bounds of what a preview looks at.
const (
	mostCounted = 200_000          // designs whose conditions are looked at
	mostTimed   = 7                // designs that are run
	mostWaited  = 1 * clock.Second // for runs after the first
	mostEver    = 2 * clock.Second // for all of them
)

// previewStudy says what the study of a scenario would run, take and leave on the disk.
// A quick one runs nothing.
func (a *app) previewStudy(ctx context.Context, doc *scenarios.Document, file string, f checkFlags) error {
	if len(doc.Scenario.Study.Vary) == 0 {
		return nil
	}
	st, err := planSweep(doc, file, sweepFlags{traces: thinned})
	if err != nil {
		return err
	}
	for _, text := range overruled(doc, f.set) {
		fmt.Fprintln(a.stdout, text)
	}
	fmt.Fprintf(a.stdout, "\nstudy  %s of %s\n", several(st.plan.Count(), "design"), axesOf(doc, st.plan))
	kept, err := a.previewDrops(ctx, doc, st.plan)
	if err != nil || f.quick {
		return err
	}
	within, stop := context.WithTimeout(ctx, mostEver)
	defer stop()
	took, err := st.timed(within)
	cost := 0.0
	if err == nil {
		cost, err = st.cost(within)
	}
	switch {
	case ctx.Err() != nil:
		return fmt.Errorf("looking at what the study takes: %w", ctx.Err())
	case err != nil:
		fmt.Fprintf(a.stdout, "time   not known: a design takes more than %v here\n", mostEver)
		return nil
	case took.runs == 0:
		fmt.Fprintln(a.stdout, "time   not known, nor what is written: none of the designs that were tried is kept")
		return nil
	}
	if took.bad > 0 {
		fmt.Fprintf(a.stdout, "fails  %d of %s that were tried: %s\n", took.bad, several(took.runs, "design"), took.reason)
	}
	workers := runtime.GOMAXPROCS(0)
	fmt.Fprintf(a.stdout, "time   about %s with %s, since %s took %s each just now\n",
		lasting(took.each*kept/float64(workers)), several(workers, "worker"), several(took.runs, "design"), brief(took.each))
	runs := st.plan.Count()
	took.write(a.stdout, st, kept, math.Ceil(float64(runs)/float64(partSize(runs, cost))))
	return nil
}

// axesOf names what varies.
func axesOf(doc *scenarios.Document, p *sweep.Plan) string {
	var words []string
	for _, x := range p.Axes() {
		text := x.Path
		switch {
		case x.Levels > 0:
			text += fmt.Sprintf(" (%d)", x.Levels)
		default:
			text += " (drawn)"
		}
		words = append(words, text)
	}
	combine := doc.Scenario.Study.Combine
	if combine == "" {
		combine = "grid"
	}
	return strings.Join(words, ", ") + "; " + combine
}

// previewDrops says how many designs conditions drop, and returns how many are kept.
func (a *app) previewDrops(ctx context.Context, doc *scenarios.Document, p *sweep.Plan) (kept float64, err error) {
	d, err := p.Drops(ctx, mostCounted)
	if err != nil {
		return 0, err
	}
	kept = float64(p.Count()) * float64(d.Kept) / float64(d.Looked)
	if len(d.By) == 0 {
		return kept, nil
	}
	of := several(p.Count(), "design")
	if !d.All(p) {
		of = fmt.Sprintf("%d that were looked at", d.Looked)
	}
	text := fmt.Sprintf("kept   %d of %s", d.Kept, of)
	for k, n := range d.By {
		text += fmt.Sprintf("; %q drops %d", doc.Scenario.Study.Keep[k].Text, n)
	}
	fmt.Fprintln(a.stdout, text)
	return kept, nil
}

// taken is what a few designs of a study took.
type taken struct {
	runs   int
	bad    int                // of them, those that fail or leave the model's range
	reason string             // of the first of these, with its values
	each   float64            // s, a design
	rows   map[string]float64 // a design, by table
}

// timed runs a few designs, spread over the plan. The time of the first, which finds
// nothing ready, counts only if there is no other.
func (st *studySweep) timed(ctx context.Context) (taken, error) {
	meter, err := st.plan.NewMeter(st.tables, st.traces)
	if err != nil {
		return taken{}, err
	}
	all := taken{rows: map[string]float64{}}
	var first, others clock.Duration
	for _, i := range st.plan.Spread(mostTimed) {
		begun := clock.Now()
		took, err := meter.Run(ctx, i)
		if err != nil && all.runs == 0 {
			return taken{}, err
		}
		if err != nil {
			break
		}
		if all.runs == 0 {
			first = clock.Since(begun)
		} else {
			others += clock.Since(begun)
		}
		all.runs++
		if took.Outcome != sweep.Finished {
			if all.bad++; all.bad == 1 {
				all.reason = st.tried(i, took)
			}
		}
		for table, n := range took.Rows {
			all.rows[table] += float64(n)
		}
		if others > mostWaited {
			break
		}
	}
	for table := range all.rows {
		all.rows[table] /= float64(all.runs)
	}
	if all.each = first.Seconds(); all.runs > 1 {
		all.each = others.Seconds() / float64(all.runs-1)
	}
	return all, nil
}

// tried says what became of a design, and of which.
func (st *studySweep) tried(i int, took sweep.Taken) string {
	what := "failed"
	if took.Outcome == sweep.Left {
		what = "left the model's range"
	}
	d, _ := st.plan.Design(i) // its values are there although it fails
	var words []string
	for k, x := range st.plan.Axes() {
		words = append(words, x.Path+" "+x.Show(d.Values[k]))
	}
	return fmt.Sprintf("run %d %s (%s): %s", i, what, strings.Join(words, ", "), took.Reason)
}

// Bytes of a study on the disk, measured with one of 1500 designs (runs 5.8, phases 5.5,
// traces 2.0 a value) and with the shipped one (about 400 for every column of a file).
const (
	bytesOfFigure = 5.7 // a value
	bytesOfTrace  = 2.0 // a value of a thinned one
	bytesOfColumn = 400 // in every part
	bytesOfAbout  = 330 // in the manifest, for every column and every part
)

// write says what the study leaves on the disk in so many parts.
func (t *taken) write(w io.Writer, st *studySweep, kept, parts float64) {
	bytes := map[string]float64{}
	sum := 0.0
	var rows []string
	for _, table := range st.tables.All() {
		n, columns := t.rows[table.Name]*kept, float64(len(table.Columns))
		each := bytesOfFigure
		if table.Name == "traces" {
			each = bytesOfTrace
		}
		bytes[table.Name] = columns * (n*each + parts*bytesOfColumn)
		sum += bytes[table.Name]
		rows = append(rows, fmt.Sprintf("%s %.0f", table.Name, n))
		sum += bytesOfAbout * columns
	}
	sum += bytesOfAbout * parts
	fmt.Fprintf(w, "disk   about %s, of which %s are %s traces; rows: %s\n", sized(sum), sized(bytes["traces"]), thinned, strings.Join(rows, ", "))
}

// brief writes the time of something short.
func brief(s float64) string {
	switch {
	case s < 9.95e-3:
		return fmt.Sprintf("%.1f ms", 1e3*s)
	case s < 0.995:
		return fmt.Sprintf("%.0f ms", 1e3*s)
	}
	return fmt.Sprintf("%.1f s", s)
}

// lasting writes a time to people who wait.
func lasting(s float64) string {
	switch {
	case s < 1:
		return "a second"
	case s < 90:
		return fmt.Sprintf("%.0f s", s)
	case s < 90*60:
		return fmt.Sprintf("%.0f min", s/60)
	}
	return fmt.Sprintf("%.1f h", s/3600)
}

// sized writes a number of bytes.
func sized(bytes float64) string {
	switch {
	case bytes < 1e6:
		return fmt.Sprintf("%.0f kB", math.Ceil(bytes/1e3))
	case bytes < 1e9:
		return fmt.Sprintf("%.1f MB", bytes/1e6)
	}
	return fmt.Sprintf("%.1f GB", bytes/1e9)
}
