package output

import (
	"fmt"
	"strconv"
	"strings"
)

// mostShown lines of a difference are shown for each text of a recipe.
const mostShown = 12

// mostLong runes of a value are shown; of two long ones that begin alike,
// mostBefore runes before the place where they begin to differ.
const (
	mostLong   = 60
	mostBefore = 20
)

// Texts of a recipe are lines KEY = VALUE. The key wholeKey has the hash of all
// that the text states, versionKey stands for a line without a value, the
// version of the text.
const (
	wholeKey   = "scenario"
	versionKey = "the version of plans"
)

// difference says in lines what of two studies differs: which value, what it was
// in the stored one and what it is now. Equal hashes give an empty text.
func difference(stored, now manifest) string {
	var lines []string
	for _, one := range []struct{ name, stored, now string }{
		{"the engine", stored.EngineVersion, now.EngineVersion},
		{"the build", stored.Study.Build, now.Study.Build},
		{"the schema version", fmt.Sprint(stored.SchemaVersion), fmt.Sprint(now.SchemaVersion)},
	} {
		lines = append(lines, changed(one.name, one.stored, one.now)...)
	}
	for _, text := range [][2]string{{stored.Study.Base, now.Study.Base}, {stored.Study.Plan, now.Study.Plan}, {stored.Study.Solver, now.Study.Solver}} {
		lines = append(lines, few(differingEntries(text[0], text[1]))...)
	}
	for _, one := range []struct{ name, stored, now string }{
		{"the number of designs", fmt.Sprint(stored.Study.Runs), fmt.Sprint(now.Study.Runs)},
		{"the choice of traces (--traces)", strconv.Quote(stored.Study.Traces), strconv.Quote(now.Study.Traces)},
		{"the number of runs in a part (--part-runs)", fmt.Sprint(stored.Study.PartRuns), fmt.Sprint(now.Study.PartRuns)},
	} {
		lines = append(lines, changed(one.name, one.stored, one.now)...)
	}
	if lines == nil { // columns follow from all of that
		lines = few(differingEntries(columnLines(stored), columnLines(now)))
	}
	return strings.Join(lines, "\n")
}

// few cuts many lines.
func few(lines []string) []string {
	if more := len(lines) - mostShown; more > 0 {
		return append(lines[:mostShown:mostShown], fmt.Sprintf("and %d more", more))
	}
	return lines
}

// changed tells of one value, nothing if it is the same.
func changed(name, was, is string) []string {
	if was == is {
		return nil
	}
	was, is = legible(was, is)
	return []string{fmt.Sprintf("%s was %s and is now %s", name, was, is)}
}

// differingEntries compares two texts entry by entry: changed and new ones in the
// order of the second text, then those that are gone.
func differingEntries(stored, now string) []string {
	if stored == now {
		return nil
	}
	before, after := entriesOf(stored), entriesOf(now)
	var lines []string
	for _, e := range after.list {
		was, known := before.by[e.key]
		switch {
		case e.key == wholeKey || known && was == e.value:
		case known && isHash(was) && isHash(e.value):
			lines = append(lines, fmt.Sprintf("%s has other content", e.key))
		case known:
			lines = append(lines, changed(e.key, was, e.value)...)
		default:
			lines = append(lines, fmt.Sprintf("%s is now %s and was not stated", e.key, brief(e.value)))
		}
	}
	for _, e := range before.list {
		if _, known := after.by[e.key]; !known && e.key != wholeKey {
			lines = append(lines, fmt.Sprintf("%s was %s and is no longer stated", e.key, brief(e.value)))
		}
	}
	if lines == nil {
		return []string{"the scenarios differ in the order or presence of sections"}
	}
	return lines
}

// stating is the entries of a text.
type stating struct {
	list []entry
	by   map[string]string
}

type entry struct{ key, value string }

func entriesOf(text string) stating {
	s := stating{by: map[string]string{}}
	for line := range strings.Lines(text) {
		key, value, stated := strings.Cut(strings.TrimSuffix(line, "\n"), " = ")
		if !stated {
			key, value = versionKey, key
		}
		s.list = append(s.list, entry{key, value})
		s.by[key] = value
	}
	return s
}

// isHash reports whether a value is a SHA-256 in hexadecimal, which tells a
// reader nothing.
func isHash(value string) bool {
	const digits = 64
	return len(value) == digits && strings.Trim(value, "0123456789abcdef") == ""
}

// legible writes two values that differ so that a reader sees where: without the
// exact numbers and with the ends of long texts left out, unless they differ
// just there.
func legible(was, is string) (string, string) {
	if a, b := rounded(was), rounded(is); a != b {
		was, is = a, b
	}
	a, b := []rune(was), []rune(is)
	if x, y := cut(a), cut(b); x != y {
		return x, y
	}
	same := 0
	for same < min(len(a), len(b)) && a[same] == b[same] {
		same++
	}
	from := max(0, same-mostBefore)
	return "…" + cut(a[from:]), "…" + cut(b[from:])
}

// brief writes a value that stands alone.
func brief(value string) string { return cut([]rune(rounded(value))) }

func cut(text []rune) string {
	if len(text) > mostLong {
		return string(text[:mostLong]) + "…"
	}
	return string(text)
}

// rounded leaves out the exact number in parentheses behind one in the units of
// the trade.
func rounded(value string) string {
	text, tail, found := strings.Cut(value, " (")
	if number, closed := strings.CutSuffix(tail, ")"); found && closed && !strings.HasPrefix(value, `"`) {
		if _, err := strconv.ParseFloat(number, 64); err == nil {
			return text
		}
	}
	return value
}

// columnLines describes the tables, one line a column, for comparing.
func columnLines(m manifest) string {
	var lines []string
	for _, t := range m.Tables {
		for _, c := range t.Columns {
			null := ""
			if c.Nullable {
				null = ", may be null"
			}
			lines = append(lines, fmt.Sprintf("column %s.%s = %s, unit %q, grid %g%s (%s)", t.Name, c.Name, c.Kind, c.Unit, c.Grid, null, c.Meaning))
		}
	}
	return strings.Join(lines, "\n")
}
