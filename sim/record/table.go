// Package record describes the tables of results and holds their rows in
// columnar buffers, ready for storing.
package record

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Kind is the type of the values of one column.
type Kind uint8

// The kinds of a column. The zero value is Float.
const (
	Float Kind = iota // float64, finite
	Int               // int64
	Text              // string, UTF-8
	Flag              // bool
)

var kindNames = [...]string{Float: "float", Int: "int", Text: "text", Flag: "flag"}

// String returns the word for the kind: float, int, text or flag.
func (k Kind) String() string {
	if int(k) < len(kindNames) {
		return kindNames[k]
	}
	return fmt.Sprintf("kind(%d)", uint8(k))
}

// MarshalText writes the kind as its word, for manifests.
func (k Kind) MarshalText() ([]byte, error) {
	if int(k) >= len(kindNames) {
		return nil, fmt.Errorf("column kind %d does not exist", uint8(k))
	}
	return []byte(kindNames[k]), nil
}

// UnmarshalText reads the word of a kind.
func (k *Kind) UnmarshalText(text []byte) error {
	i := slices.Index(kindNames[:], string(text))
	if i < 0 {
		return fmt.Errorf("column kind %q is unknown: want one of %s", text, strings.Join(kindNames[:], ", "))
	}
	*k = Kind(i)
	return nil
}

// Column describes one column of a table.
type Column struct {
	// Name is lower snake case, [a-z][a-z0-9_]*, with the unit last where
	// there is one: coolant_c, flow_l_min.
	Name string `json:"name"`
	// Unit is UDUNITS-style: "degC", "K", "W", "s", "L min-1"; "1" for a
	// number without dimension; empty where a unit makes no sense.
	Unit string `json:"unit"`
	// Meaning says in a few words what the value is.
	Meaning string `json:"meaning"`
	Kind    Kind   `json:"kind"`
	// Nullable columns may lack a value in a row. A missing value is a null,
	// never NaN.
	Nullable bool `json:"nullable"`
	// Grid is the step, in the column's unit, to which values are rounded when
	// they are stored: a power of two, or 0 for exact storage. Only for Float.
	Grid float64 `json:"grid"`
}

// Table describes one table of a dataset: runs, phases, traces, events, curves.
type Table struct {
	Name    string   `json:"name"`
	Columns []Column `json:"columns"`
}

// Index returns the position of the column called name, or -1.
func (t Table) Index(name string) int {
	return slices.IndexFunc(t.Columns, func(c Column) bool { return c.Name == name })
}

// Equal reports whether both tables have the same name and the same columns in
// the same order, with equal units, meanings and grids.
func (t Table) Equal(u Table) bool {
	return t.Name == u.Name && slices.Equal(t.Columns, u.Columns)
}

// Select returns the table reduced to the named columns, in the order asked
// for. Without names it returns the table as it is. An unknown or repeated
// name is an error.
func (t Table) Select(names ...string) (Table, error) {
	if len(names) == 0 {
		return t, nil
	}
	part := Table{Name: t.Name, Columns: make([]Column, 0, len(names))}
	for _, name := range names {
		i := t.Index(name)
		if i < 0 {
			return Table{}, fmt.Errorf("table %s has no column %q: it has %s", t.Name, name, t.columnNames())
		}
		if part.Index(name) >= 0 {
			return Table{}, fmt.Errorf("column %q of table %s is asked for twice", name, t.Name)
		}
		part.Columns = append(part.Columns, t.Columns[i])
	}
	return part, nil
}

func (t Table) columnNames() string {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = c.Name
	}
	return strings.Join(names, ", ")
}

// Validate reports every rule that the table breaks: names in lower snake case
// and unique, at least one column, a known kind, a grid that is zero or a power
// of two and only on Float, a unit only on numbers.
func (t Table) Validate() error {
	var errs []error
	if !validName(t.Name) {
		errs = append(errs, fmt.Errorf("table name %q: want lower snake case, [a-z][a-z0-9_]*", t.Name))
	}
	if len(t.Columns) == 0 {
		errs = append(errs, fmt.Errorf("table %s has no columns", t.Name))
	}
	seen := make(map[string]bool, len(t.Columns))
	for _, c := range t.Columns {
		key := strings.ToLower(c.Name)
		if seen[key] {
			errs = append(errs, fmt.Errorf("table %s: column %q is there twice (names are unique ignoring case)", t.Name, c.Name))
		}
		seen[key] = true
		if err := c.validate(); err != nil {
			errs = append(errs, fmt.Errorf("table %s: column %q: %w", t.Name, c.Name, err))
		}
	}
	return errors.Join(errs...)
}

func (c Column) validate() error {
	switch {
	case !validName(c.Name):
		return errors.New("name: want lower snake case, [a-z][a-z0-9_]*")
	case int(c.Kind) >= len(kindNames):
		return fmt.Errorf("kind %d does not exist", uint8(c.Kind))
	case c.Grid != 0 && c.Kind != Float:
		return fmt.Errorf("grid %g on a %s column: only float columns are rounded", c.Grid, c.Kind)
	case c.Grid != 0 && !powerOfTwo(c.Grid):
		return fmt.Errorf("grid %g: want 0 or a power of two such as 2^-14 = 0.00006103515625", c.Grid)
	case c.Unit != "" && c.Kind != Float && c.Kind != Int:
		return fmt.Errorf("unit %q on a %s column: only numbers have a unit", c.Unit, c.Kind)
	case !plainText(c.Unit) || !plainText(c.Meaning):
		return errors.New("unit or meaning has a line break or another control character, or is no UTF-8")
	}
	return nil
}

func validName(name string) bool {
	for i := range len(name) {
		b := name[i]
		letter := 'a' <= b && b <= 'z'
		if !letter && (i == 0 || b != '_' && (b < '0' || b > '9')) {
			return false
		}
	}
	return name != ""
}

func plainText(s string) bool {
	return strings.IndexFunc(s, func(r rune) bool { return r < ' ' || r == 0x7f || r == '\uFFFD' }) < 0
}

// powerOfTwo reports whether x is a power of two whose inverse is finite and
// normal too, so that scaling by either is exact.
func powerOfTwo(x float64) bool {
	mantissa, exponent := math.Frexp(x)
	return mantissa == 0.5 && -1000 < exponent && exponent < 1000
}
