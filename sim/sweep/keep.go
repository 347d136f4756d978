package sweep

import (
	"fmt"
	"math"

	"soakledger/sim/spec"
)

// condition is a comparison that is ready to be made.
type condition struct {
	text        string
	is          string
	left, right side
}

// side is one side of a comparison: the value of an axis, what the variant of an
// axis states, or a value that all designs have.
type side struct {
	field   spec.Field
	axis    int                   // whose value it is; -1 for none
	picks   int                   // axis whose variant states it; -1 for none
	variant map[string]spec.Value // by the name of the variant
	value   spec.Value            // otherwise
}

// newCondition resolves a comparison once.
func (p *Plan) newCondition(k spec.Comparison) (condition, error) {
	name := k.Left.Path
	if name == "" {
		name = k.Right.Path
	}
	f, err := p.study.Compared(name)
	if err != nil {
		return condition{}, err
	}
	c := condition{text: k.Text, is: k.Is}
	if c.left, err = p.newSide(k.Left, f); err != nil {
		return condition{}, err
	}
	c.right, err = p.newSide(k.Right, f)
	return c, err
}

func (p *Plan) newSide(o spec.Operand, f spec.Field) (side, error) {
	d := side{field: f, axis: -1, picks: -1, value: o.Value}
	if o.Path == "" {
		return d, nil
	}
	var err error
	if d.field, err = p.study.Compared(o.Path); err != nil {
		return side{}, err
	}
	path := o.Path
	if d.field.Section == nil && d.field.Path != "" {
		path = d.field.Path // of the value that a short path means
	}
	for k := range p.axes {
		x := &p.axes[k]
		if x.from.Column == o.Path || x.from.Path == o.Path || x.Path == path {
			d.axis = k
			return d, nil
		}
	}
	d.value, _ = p.study.Get(path)
	for k := range p.axes {
		states := map[string]spec.Value{}
		for _, variant := range p.axes[k].variants {
			if v, ok := p.study.VariantStates(p.axes[k].Path, variant, path); ok {
				states[variant] = v
			}
		}
		if len(states) > 0 {
			d.picks, d.variant = k, states
		}
	}
	return d, nil
}

// of returns the value that the side has in a design.
func (d *side) of(values []spec.Value) spec.Value {
	if d.axis >= 0 {
		return values[d.axis]
	}
	if d.picks >= 0 {
		if v, ok := d.variant[values[d.picks].Text]; ok {
			return v
		}
	}
	return d.value
}

// holds reports whether a design with these values meets the condition.
func (c *condition) holds(values []spec.Value) (bool, error) {
	left, right := c.left.of(values), c.right.of(values)
	x, a, number := left.Scalar(c.left.field)
	y, b, also := right.Scalar(c.right.field)
	switch {
	case !left.IsSet() || !right.IsSet() || number != also || a != b:
		return false, fmt.Errorf("%s: one side is not stated, or otherwise than the other", c.text)
	case !number:
		return (left.Text == right.Text) == (c.is == "="), nil
	}
	return compare(x, c.is, y), nil
}

// compare compares two numbers. Those that differ by less than a thousand
// millionth are equal: both may be computed.
func compare(x float64, is string, y float64) bool {
	equal := math.Abs(x-y) <= 1e-9*max(math.Abs(x), math.Abs(y))
	switch is {
	case "<":
		return x < y && !equal
	case "<=":
		return x < y || equal
	case ">":
		return x > y && !equal
	case ">=":
		return x > y || equal
	case "=":
		return equal
	}
	return !equal
}
