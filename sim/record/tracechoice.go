package record

import (
	"errors"
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
)

// Names of the columns that every trace has.
const (
	runName  = "run_id"
	timeName = "time_s"
)

// DefaultBound is what a thinned trace is held to unless something else is
// stated: below what a good sensor repeats, and a thousandth of the span of
// what is no temperature.
var DefaultBound = Bound{Kelvin: 0.02, Share: 0.001}

// TraceChoice says which traces a study keeps. The zero value keeps none.
type TraceChoice struct {
	// Every keeps the trace of each run whose number is a multiple of it: 1
	// for all, 10 for every tenth, 0 for none.
	Every int
	// Columns are the names of the columns that are kept beside run_id and
	// time_s, with the wildcards of path.Match: coolant_c, *_die_c. None means
	// all columns.
	Columns []string
	// Interval between the rows, s; 0 leaves it to the scenario. Whoever runs
	// the simulation applies it: a trace that is not computed costs nothing.
	Interval float64
	// Thin keeps only the rows that linear interpolation in time needs to stay
	// within the bound. Nil keeps all rows.
	Thin *Bound
}

// AllTraces keeps every row of every trace.
func AllTraces() TraceChoice { return TraceChoice{Every: 1} }

// Has reports whether the trace of the run is kept.
func (c TraceChoice) Has(run int64) bool { return c.Every > 0 && run%int64(c.Every) == 0 }

// Check reports every mistake in the choice that can be found without knowing
// the columns.
func (c TraceChoice) Check() error {
	var errs []error
	if c.Every < 0 {
		errs = append(errs, fmt.Errorf("traces of every %d-th run: want 1 or more, or 0 for none", c.Every))
	}
	if !(c.Interval >= 0 && c.Interval <= 86400) {
		errs = append(errs, fmt.Errorf("interval %g s: want up to 86400 s, or 0 to leave it to the scenario", c.Interval))
	}
	if c.Thin != nil {
		errs = append(errs, c.Thin.check())
	}
	for _, pattern := range c.Columns {
		if err := checkPattern(pattern); err != nil {
			errs = append(errs, err)
		}
	}
	return errors.Join(errs...)
}

func checkPattern(pattern string) error {
	if _, err := path.Match(pattern, ""); err != nil || pattern == "" || strings.ContainsAny(pattern, " ,;\t\n\r") {
		return fmt.Errorf("column pattern %q: want a column's name, with * for any letters: coolant_c, *_die_c", pattern)
	}
	return nil
}

// Table returns the columns of t, the table of a full trace, that are kept, in
// the order of t. A pattern without a column is an error that lists the columns,
// as is a bound that the grid of a column does not allow.
func (c TraceChoice) Table(t Table) (Table, error) {
	if err := c.Check(); err != nil {
		return Table{}, err
	}
	for name, kind := range map[string]Kind{runName: Int, timeName: Float} {
		if i := t.Index(name); i < 0 || t.Columns[i].Kind != kind || t.Columns[i].Nullable {
			return Table{}, fmt.Errorf("table %s is no trace: it has no %s column %s without nulls", t.Name, kind, name)
		}
	}
	kept := Table{Name: t.Name}
	used := make([]bool, len(c.Columns))
	for _, column := range t.Columns {
		keep := len(c.Columns) == 0 || column.Name == runName || column.Name == timeName
		for i, pattern := range c.Columns {
			if ok, err := path.Match(pattern, column.Name); err == nil && ok {
				keep, used[i] = true, true
			}
		}
		if keep {
			kept.Columns = append(kept.Columns, column)
		}
	}
	if i := slices.Index(used, false); i >= 0 {
		return Table{}, fmt.Errorf("no column of table %s is like %q: it has %s", t.Name, c.Columns[i], t.columnNames())
	}
	return kept, c.checkGrids(kept)
}

func (c TraceChoice) checkGrids(t Table) error {
	if c.Thin == nil {
		return nil
	}
	for _, column := range t.Columns {
		if (column.Unit == "degC" || column.Unit == "K") && column.Grid >= c.Thin.Kelvin/2 {
			return fmt.Errorf("thinning within %g K: column %s is rounded to %g K; want a bound of more than twice that", c.Thin.Kelvin, column.Name, column.Grid)
		}
	}
	return nil
}

// String writes the choice as ParseTraceChoice reads it: "none", or clauses such
// as "every 10, columns coolant_c *_die_c, interval 5 s, within 0.02 K, share
// 0.001". Equal choices have equal texts.
func (c TraceChoice) String() string {
	if c.Every == 0 {
		return "none"
	}
	clauses := []string{fmt.Sprintf("every %d", c.Every)}
	if len(c.Columns) > 0 {
		clauses = append(clauses, "columns "+strings.Join(c.Columns, " "))
	}
	if c.Interval > 0 {
		clauses = append(clauses, fmt.Sprintf("interval %v s", c.Interval))
	}
	if c.Thin != nil {
		clauses = append(clauses, fmt.Sprintf("within %v K, share %v", c.Thin.Kelvin, c.Thin.Share))
	}
	return strings.Join(clauses, ", ")
}

// ParseTraceChoice reads what String writes, in any order of clauses, and checks
// it. "all" is every 1, "thinned" is within and share of DefaultBound.
func ParseTraceChoice(text string) (TraceChoice, error) {
	if strings.TrimSpace(text) == "none" {
		return TraceChoice{}, nil
	}
	c := AllTraces()
	seen := map[string]bool{}
	for clause := range strings.SplitSeq(text, ",") {
		words := strings.Fields(clause)
		if len(words) == 0 {
			return TraceChoice{}, fmt.Errorf("traces %q: a clause is empty", text)
		}
		if seen[words[0]] {
			return TraceChoice{}, fmt.Errorf("traces %q: %s is stated twice", text, words[0])
		}
		seen[words[0]] = true
		if err := c.read(words[0], words[1:]); err != nil {
			return TraceChoice{}, fmt.Errorf("traces %q: %w", text, err)
		}
	}
	if err := c.Check(); err != nil {
		return TraceChoice{}, fmt.Errorf("traces %q: %w", text, err)
	}
	return c, nil
}

// read takes one clause.
func (c *TraceChoice) read(key string, values []string) (err error) {
	switch {
	case key == "all" && len(values) == 0:
	case key == "thinned" && len(values) == 0:
		c.thin()
	case key == "every" && len(values) == 1:
		if c.Every, err = strconv.Atoi(values[0]); err != nil || c.Every < 1 {
			return fmt.Errorf("every %s: want a whole number from 1", values[0])
		}
	case key == "columns" && len(values) > 0:
		c.Columns = values
	case key == "interval" && len(values) == 2 && values[1] == "s":
		if c.Interval, err = number(values[0]); err == nil && c.Interval == 0 {
			return errors.New("interval 0 s: leave it out for the scenario's own")
		}
	case key == "within" && len(values) == 2 && values[1] == "K":
		c.thin().Kelvin, err = number(values[0])
	case key == "share" && len(values) == 1:
		c.thin().Share, err = number(values[0])
	default:
		return fmt.Errorf("%q is none of: none, all, every N, columns NAME ..., interval N s, thinned, within N K, share N",
			strings.Join(append([]string{key}, values...), " "))
	}
	return err
}

// thin returns the bound of the choice, which has one from then on.
func (c *TraceChoice) thin() *Bound {
	if c.Thin == nil {
		b := DefaultBound
		c.Thin = &b
	}
	return c.Thin
}

func number(text string) (float64, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, fmt.Errorf("%q is no number", text)
	}
	return v, nil
}
