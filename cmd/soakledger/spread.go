package main

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"soakledger/sim/record"
)

// spread is how a figure lies over the runs of a study that went to their end.
type spread struct {
	column, label, unit string
	scale               float64
	judged              bool // less of it is better; else neither end is

	known       int // runs that have it
	least, most extreme
	sample      sample
}

// extreme is the run with the least or the greatest value.
type extreme struct {
	value float64
	run   int64
	where string
}

// spreadsOf lists the figures of a table that a summary speaks of, in its order, and
// names the column of the time to soak.
func spreadsOf(t record.Table) (all []*spread, within string) {
	add := func(column, label, unit string, scale float64, judged bool) {
		if t.Index(column) >= 0 {
			all = append(all, &spread{column: column, label: label, unit: unit, scale: scale, judged: judged})
		}
	}
	add("rise_k", "rise over the room", "K", 1, true)
	for _, c := range t.Columns {
		if name, ok := strings.CutSuffix(c.Name, "_die_level_c"); ok {
			add(c.Name, name+" die, level", "degC", 1, true)
		}
	}
	add("noise_dba", "noise", "dBA", 1, true)
	add("price", "price", "", 1, true)
	soak, soaks := closestWithin(t, "to_within_")
	if soak != "" {
		add(soak, "soaked within "+soaks, "min", 1./60, false)
	}
	if cool, cools := closestWithin(t, "cool_to_within_"); cool != "" {
		add(cool, "back within "+cools, "min", 1./60, false)
	}
	add("shortfall_10_min_k", "10 min read low by", "K", 1, false)
	add("coolant_volume_ml", "coolant", "mL", 1, false)
	return all, soak
}

// closestWithin returns the column of a time to a band, that of 0.5 K if it is there,
// else the first, and what band it is.
func closestWithin(t record.Table, prefix string) (column, band string) {
	for _, c := range t.Columns {
		name, ok := strings.CutPrefix(c.Name, prefix)
		name, also := strings.CutSuffix(name, "_k_s")
		if !ok || !also || column != "" && name != "0_5" {
			continue
		}
		column, band = c.Name, strings.ReplaceAll(name, "_", ".")+" K"
	}
	return column, band
}

// add takes the value of one run.
func (s *spread) add(f *record.Frame, row int, run int64, where func(*record.Frame, int) string) {
	col := f.Col(s.column)
	if f.IsNull(col, row) {
		return
	}
	v := s.scale * figureAt(f, col, row)
	if s.known == 0 || v < s.least.value {
		s.least = extreme{v, run, where(f, row)}
	}
	if s.known == 0 || v > s.most.value {
		s.most = extreme{v, run, where(f, row)}
	}
	s.known++
	s.sample.add(run, v)
}

// figureAt returns a value of a column of numbers.
func figureAt(f *record.Frame, col, row int) float64 {
	if f.Table().Columns[col].Kind == record.Int {
		return float64(f.Ints(col)[row])
	}
	return f.Floats(col)[row]
}

// sample keeps values to find shares of them: all up to its size, and of more an even
// share of runs, drawn by their numbers.
type sample struct {
	runs   []int64
	values []float64
	sieve  uint64 // bits that the mark of a run that is kept does not have
}

// sampleSize bounds what a sample keeps.
const sampleSize = 1 << 16

func (s *sample) add(run int64, v float64) {
	if mark(run)&s.sieve != 0 {
		return
	}
	s.runs, s.values = append(s.runs, run), append(s.values, v)
	if len(s.values) < sampleSize {
		return
	}
	s.sieve = s.sieve<<1 | 1
	kept := 0
	for i, run := range s.runs {
		if mark(run)&s.sieve == 0 {
			s.runs[kept], s.values[kept] = run, s.values[i]
			kept++
		}
	}
	s.runs, s.values = s.runs[:kept], s.values[:kept]
}

// mark scrambles the number of a run, so that which are kept has nothing to do with
// the order of a grid: the finaliser of SplitMix64 (Steele, Lea, Flood, OOPSLA 2014).
func mark(run int64) uint64 {
	x := uint64(run)
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// share returns the value below which a share of the values lies, 0 to 1, straight
// between neighbours in rank (definition 7 of R. J. Hyndman, Y. Fan, "Sample quantiles
// in statistical packages", The American Statistician 50 (1996) 361-365).
func (s *sample) share(p float64) float64 {
	slices.Sort(s.values)
	at := p * float64(len(s.values)-1)
	i := int(math.Floor(at))
	if i+1 >= len(s.values) {
		return s.values[len(s.values)-1]
	}
	return s.values[i] + (at-float64(i))*(s.values[i+1]-s.values[i])
}

// writeFigures prints for every figure the runs at both ends, and between which values
// the middle half of all lies; then what varies in the runs that were named.
func (s *summary) writeFigures(w io.Writer) {
	var same, lacking []string
	named := map[int64]string{}
	table := tabwriter.NewWriter(w, 0, 0, 3, ' ', 0)
	heading := ""
	for _, one := range s.spreads {
		if one.known == 0 {
			if one.column != "price" && one.column != "noise_dba" { // which nobody may have stated
				lacking = append(lacking, one.label)
			}
			continue
		}
		if one.least.value == one.most.value && one.known == s.by["done"] {
			same = append(same, fmt.Sprintf("%s %s", one.label, measured(one.least.value, one.unit)))
			continue
		}
		head := "\tbest\tworst\tmiddle half"
		if !one.judged {
			head = "\tleast\tmost\tmiddle half"
		}
		if head != heading {
			fmt.Fprintf(table, "\n%s\n", head)
			heading = head
		}
		some := ""
		if n := s.by["done"]; one.known < n {
			some = fmt.Sprintf(" (%d of %d runs have it)", one.known, n)
		}
		fmt.Fprintf(table, "%s\t%s, run %d\t%s, run %d\t%s%s\n", one.label, measured(one.least.value, one.unit), one.least.run,
			measured(one.most.value, one.unit), one.most.run, one.half(), some)
		named[one.least.run], named[one.most.run] = one.least.where, one.most.where
	}
	s.writeNamed(table, named)
	_ = table.Flush() // what is behind it tells nobody either
	if len(same) > 0 {
		fmt.Fprintf(w, "\nthe same in all runs: %s\n", strings.Join(same, ", "))
	}
	if len(lacking) > 0 {
		fmt.Fprintf(w, "\nno run has: %s; the column missing says why\n", strings.Join(lacking, ", "))
	}
}

// half writes between which values the middle half of all lies.
func (s *spread) half() string {
	return strings.TrimSpace(fmt.Sprintf("%s to %s %s", digits(s.sample.share(0.25)), digits(s.sample.share(0.75)), s.unit))
}

// writeNamed prints what varies in the runs that were named.
func (s *summary) writeNamed(w io.Writer, named map[int64]string) {
	if len(named) == 0 {
		return
	}
	fmt.Fprintf(w, "\nrun\t%s\n", strings.Join(s.axes, "\t"))
	runs := make([]int64, 0, len(named))
	for run := range named {
		runs = append(runs, run)
	}
	slices.SortFunc(runs, cmp.Compare[int64])
	for _, run := range runs {
		fmt.Fprintf(w, "%d\t%s\n", run, named[run])
	}
}

// measured writes a value with its unit.
func measured(v float64, unit string) string { return strings.TrimSpace(digits(v) + " " + unit) }

// digits writes a number to three digits, or to whole ones.
func digits(v float64) string {
	if math.Abs(v) >= 100 {
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'g', 3, 64)
}

// cell writes a value as a table of text shows it.
func cell(f *record.Frame, col, row int) string {
	if f.IsNull(col, row) {
		return "-"
	}
	switch f.Table().Columns[col].Kind {
	case record.Int:
		return strconv.FormatInt(f.Ints(col)[row], 10)
	case record.Text:
		return f.Texts(col)[row]
	case record.Flag:
		return strconv.FormatBool(f.Flags(col)[row])
	}
	return strconv.FormatFloat(f.Floats(col)[row], 'g', 6, 64)
}
