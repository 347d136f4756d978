package sweep

import (
	"fmt"
	"slices"
	"strings"

	"soakledger/sim/record"
	"soakledger/sim/spec"
)

// column describes the column of an axis, by itself.
func (x *Axis) column() record.Column {
	c := record.Column{Name: x.from.Column, Unit: x.unit.name, Meaning: "varied: " + x.Path}
	switch {
	case x.Words:
		c.Kind, c.Unit = record.Text, ""
	case x.measures == spec.Count:
		c.Kind = record.Int
	}
	if x.variants != nil {
		c.Meaning = "variant of " + x.Path
	}
	if c.Name == "" {
		c.Name = x.columnName()
	}
	return c
}

// columnName makes a name of path and unit.
func (x *Axis) columnName() string {
	name := strings.Map(func(r rune) rune {
		switch {
		case r == '.' || r == '[':
			return '_'
		case r == ']':
			return -1
		}
		return r
	}, x.Path)
	if suffix := x.unit.suffix; !x.Words && suffix != "" && !strings.HasSuffix(name, "_"+suffix) {
		name += "_" + suffix
	}
	return name
}

// Columns returns the columns of the axes, in their order, to stand beside those
// of the table of runs. A name that is made and taken already, ignoring case,
// begins with varied; a stated one is an error.
func (p *Plan) Columns(beside []record.Column) ([]record.Column, error) {
	taken := map[string]bool{}
	for _, c := range beside {
		taken[strings.ToLower(c.Name)] = true
	}
	all := make([]record.Column, len(p.axes))
	for k := range p.axes {
		c := p.axes[k].Column
		if taken[c.Name] && p.axes[k].from.Column != "" {
			return nil, Problems{{Path: p.axisPath(k) + ".column", Text: c.Name + " is the name of another column of the table of runs: write another one, for example varied_" + c.Name}}
		}
		for taken[c.Name] {
			c.Name = "varied_" + c.Name
		}
		taken[c.Name] = true
		c.Nullable = p.mayBeUnset(k)
		all[k] = c
	}
	return all, nil
}

// mayBeUnset reports whether a design may leave an axis where the scenario says
// nothing.
func (p *Plan) mayBeUnset(k int) bool {
	_, left := p.sampler.(oneAtATime)
	return left && !p.home[k].IsSet()
}

// Put sets the columns that Columns has made for the axes to the values of a
// design.
func (p *Plan) Put(row *record.Row, columns []record.Column, values []spec.Value) {
	for k, v := range values {
		name, x := columns[k].Name, &p.axes[k]
		switch {
		case !v.IsSet():
			row.SetNull(name)
		case x.Words:
			row.SetText(name, v.String())
		case columns[k].Kind == record.Int:
			row.SetInt(name, int64(x.scalar(v)))
		default:
			row.SetFloat(name, x.unit.shown(x.scalar(v)))
		}
	}
}

// axisPath is the place of an axis in the file.
func (p *Plan) axisPath(k int) string { return fmt.Sprintf("study.vary[%d]", p.axes[k].Index) }

// Show writes the value of an axis as a file states it, to the digits of its
// column.
func (x *Axis) Show(v spec.Value) string {
	if x.Words || !v.IsSet() {
		return v.String()
	}
	text := x.unit.decimal(x.scalar(v))
	if x.unit.label != "" {
		text += " " + x.unit.label
	}
	if v.Type == spec.TypePower && v.Power.Of != "" {
		text += " of " + v.Power.Of
	}
	if v.Type == spec.TypeSpeed && v.Speed.Level.Set {
		text = "at " + text
	}
	return text
}

// Axes returns what the plan varies, in file order.
func (p *Plan) Axes() []Axis { return slices.Clone(p.axes) }
