package main

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"soakledger/sim/study"
)

// tableColumn is one column of the table, its heading in two lines.
type tableColumn struct {
	head, unit string
	cells      []string
	left       bool // aligned
}

// The width of the table, of which names take what the figures leave.
const (
	tableWidth = 100
	fairName   = 24
	leastName  = 16
)

// mostRows of a table are printed; --json has all.
const mostRows = 200

// print writes the comparison to w.
func (c *comparison) print(w io.Writer, asJSON bool) error {
	if asJSON {
		e := json.NewEncoder(w)
		e.SetIndent("", "  ")
		return e.Encode(c)
	}
	var b strings.Builder
	if c.Title != "" {
		fmt.Fprintf(&b, "%s\n\n", c.Title)
	}
	fmt.Fprintf(&b, "%s\n", c.about())
	if c.reference > 0 {
		fmt.Fprintf(&b, "reference: %s, the first design that can be compared\n", c.Reference)
	}
	fmt.Fprintln(&b)
	c.writeTable(&b)
	fmt.Fprintln(&b)
	for _, note := range c.Notes {
		fmt.Fprintln(&b, note)
	}
	if len(c.Notes) > 0 {
		fmt.Fprintln(&b)
	}
	for _, line := range c.legend() {
		fmt.Fprintln(&b, line)
	}
	if c.Faults {
		b.WriteString(closing(true))
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// about says what the figures are of.
func (c *comparison) about() string {
	least, most := 0.0, 0.0
	for _, d := range c.Designs {
		if d.PowerW == nil {
			continue
		}
		if most == 0 {
			least = *d.PowerW
		}
		least, most = min(least, *d.PowerW), max(most, *d.PowerW)
	}
	load := "under " + watts(most)
	if watts(least) != watts(most) {
		load = fmt.Sprintf("under %.0f to %s", least, watts(most))
	}
	return fmt.Sprintf("%s %s; rise over the room at the start; %s: by how much more it rises", c.Subject, load, c.apart())
}

// apart heads the differences.
func (c *comparison) apart() string {
	if c.reference > 0 {
		return "to ref"
	}
	return "to first"
}

// legend explains the table; what a tie means comes last.
func (c *comparison) legend() []string {
	all := []string{"soak, cool: until it stays within 0.5 K of the level, from where the load begins and where it ends"}
	if c.some((*designRow).short) {
		all = append(all, "level: where the load would lead if it lasted; a design without a soak time does not come there")
	}
	if c.some(func(d *designRow) bool { return d.StackMM != nil }) {
		all = append(all, "stack: of the deepest radiator, with its fans")
	}
	if c.some(func(d *designRow) bool { return d.follows }) {
		all = append(all, "noise: of controlled fans at their speed at the level")
	}
	if c.some(func(d *designRow) bool { return d.SoakedS == nil || d.CooledS == nil }) {
		all = append(all, "-: none is known, or it is not reached while the load lasts")
	}
	if c.some(func(d *designRow) bool { return d.verdict() == "?" }) {
		all = append(all, "?: there is no difference, or none whose band is known, for the reason given above")
	}
	return append(all,
		"band: what figures left to defaults may do to the difference; what they do to both alike cancels",
		fmt.Sprintf("tie: what is known cannot tell the two apart: the band reaches zero, or it is less than %g K", study.LeastDifference))
}

// short reports whether a design has a level that its run does not come to.
func (d *designRow) short() bool { return d.LevelC != nil && d.SoakedS == nil }

// some reports whether any design is as asked.
func (c *comparison) some(is func(*designRow) bool) bool {
	for i := range c.Designs {
		if is(&c.Designs[i]) {
			return true
		}
	}
	return false
}

// columns returns those of the figures. One that no design has a value in is left out.
func (c *comparison) columns() []tableColumn {
	figure := func(get func(*designRow) *float64, write func(float64) string) func(*designRow) string {
		return func(d *designRow) string {
			if x := get(d); x != nil {
				return write(*x)
			}
			return "-"
		}
	}
	tenth := func(x float64) string { return fmt.Sprintf("%.1f", x) }
	whole := func(x float64) string { return fmt.Sprintf("%.0f", x) }
	perMinute := func(x float64) string { return tenth(x / 60) }
	var all []tableColumn
	add := func(head, unit string, cell func(*designRow) string) {
		one := tableColumn{head: head, unit: unit, left: head == "it is"}
		empty := true
		for i := range c.Designs {
			text := cell(&c.Designs[i])
			one.cells = append(one.cells, text)
			empty = empty && (text == "-" || text == "")
		}
		if !empty {
			all = append(all, one)
		}
	}
	add("level", "degC", figure(func(d *designRow) *float64 { return d.LevelC }, tenth))
	if c.some(func(d *designRow) bool { return d.PeakC != nil && (d.LevelC == nil || d.short()) }) {
		add("peak", "degC", figure(func(d *designRow) *float64 { return d.PeakC }, tenth))
	}
	add("rise", "K", figure(func(d *designRow) *float64 { return d.RiseK }, tenth))
	add(c.apart(), "K", (*designRow).apart)
	add("band", "K", (*designRow).unsure)
	add("it is", "", func(d *designRow) string {
		if c.reference > 0 && d == &c.Designs[c.reference] {
			return "reference"
		}
		return d.verdict()
	})
	add("soak", "min", figure(func(d *designRow) *float64 { return d.SoakedS }, perMinute))
	add("cool", "min", figure(func(d *designRow) *float64 { return d.CooledS }, perMinute))
	add("noise", "dBA", figure(func(d *designRow) *float64 { return d.NoiseDBA }, tenth))
	add("coolant", "mL", figure(func(d *designRow) *float64 { return d.VolumeML }, whole))
	add("stack", "mm", figure(func(d *designRow) *float64 { return d.StackMM }, whole))
	add("price", "", figure(func(d *designRow) *float64 { return d.Price }, price))
	return all
}

// label names a design, with what tells it from the others of its study.
func (d *designRow) label() string {
	return strings.Join(append([]string{d.Design}, d.told...), "; ")
}

// apart writes the difference to the reference.
func (d *designRow) apart() string {
	switch {
	case d.Difference == nil:
		return ""
	case d.Difference.K == nil:
		return "-"
	}
	return signed(*d.Difference.K)
}

// unsure writes the band of the difference.
func (d *designRow) unsure() string {
	switch {
	case d.Difference == nil:
		return ""
	case d.Difference.BelowK == nil:
		return "-"
	}
	return fmt.Sprintf("-%s +%s", kelvin(*d.Difference.BelowK), kelvin(*d.Difference.AboveK))
}

// verdict writes what the difference amounts to.
func (d *designRow) verdict() string {
	switch {
	case d.Difference == nil:
		return ""
	case d.Difference.Verdict == string(study.Undecidable):
		return "?"
	}
	return d.Difference.Verdict
}

// width returns that of a column.
func (c *tableColumn) width() int {
	most := max(len(c.head), len(c.unit))
	for _, cell := range c.cells {
		most = max(most, len(cell))
	}
	return most
}

// write writes a cell.
func (c *tableColumn) write(text string) string {
	if c.left {
		return fmt.Sprintf("%-*s", c.width(), text)
	}
	return fmt.Sprintf("%*s", c.width(), text)
}

// writeTable writes headings, units and rows.
func (c *comparison) writeTable(b *strings.Builder) {
	columns := c.columns()
	names, gap := c.layout(columns)
	line := func(name string, cell func(*tableColumn) string) {
		text := name + strings.Repeat(" ", max(0, names-utf8.RuneCountInString(name)))
		for i := range columns {
			text += gap + columns[i].write(cell(&columns[i]))
		}
		fmt.Fprintln(b, strings.TrimRight(text, " "))
	}
	line("design", func(c *tableColumn) string { return c.head })
	line("", func(c *tableColumn) string { return c.unit })
	for i, d := range c.Designs {
		if i == mostRows {
			fmt.Fprintf(b, "%d more designs, which --json lists\n", len(c.Designs)-mostRows)
			break
		}
		name := pieces(d.label(), names)
		line(name[0], func(c *tableColumn) string { return c.cells[i] })
		for _, more := range name[1:] {
			fmt.Fprintln(b, more)
		}
	}
}

// layout returns the width of the names and the gap between columns: two spaces, or
// one where that leaves the names too little or takes fewer lines.
func (c *comparison) layout(columns []tableColumn) (names int, gap string) {
	used := 0
	for i := range columns {
		used += columns[i].width()
	}
	narrow := max(leastName, tableWidth-used-len(columns))
	names, lines := c.names(narrow)
	if wide := tableWidth - used - 2*len(columns); wide >= fairName {
		if short, same := c.names(wide); same <= lines {
			return short, "  "
		}
	}
	return names, " "
}

// names returns how wide the names are and how many lines they take, none of them wider
// than most.
func (c *comparison) names(most int) (widest, lines int) {
	widest = len("design")
	for i := range c.Designs {
		for _, piece := range pieces(c.Designs[i].label(), most) {
			widest = max(widest, utf8.RuneCountInString(piece))
			lines++
		}
	}
	return widest, lines
}

// pieces breaks a name into lines no longer than a width: behind semicolons, and a
// change that is still too long before its last key if that keeps key and value on one
// line, else behind its equals sign, a dot, or anywhere.
func pieces(name string, width int) []string {
	if utf8.RuneCountInString(name) <= width {
		return []string{name}
	}
	const indent = "  "
	var lines []string
	for i, change := range strings.SplitAfter(name, "; ") {
		rest := []rune(strings.TrimSpace(change))
		if i > 0 {
			rest = append([]rune(indent), rest...)
		}
		for len(rest) > width {
			cut := lastKey(rest, width, len(indent+indent))
			if cut == 0 {
				cut = breakAt(rest[:width])
			}
			lines = append(lines, strings.TrimRight(string(rest[:cut]), " "))
			rest = append([]rune(indent+indent), rest[cut:]...)
		}
		lines = append(lines, string(rest))
	}
	return lines
}

// lastKey returns where the last key of PATH=VALUE begins if it fits on a line of its own
// with the value, and 0 otherwise.
func lastKey(change []rune, width, indent int) int {
	at := slices.Index(change, '=')
	for at > 0 && change[at-1] != '.' {
		at--
	}
	if at <= 0 || at > width || indent+len(change)-at > width {
		return 0
	}
	return at
}

// breakAt returns where a line is best broken.
func breakAt(line []rune) int {
	for _, marks := range []string{"=", ".", " "} {
		for k := len(line) - 1; k > len(line)/3; k-- {
			if strings.ContainsRune(marks, line[k]) {
				return k + 1
			}
		}
	}
	return len(line)
}
