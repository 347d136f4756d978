package spec

import (
	"fmt"
	"slices"
	"strings"
)

// comparisons checks the conditions by which designs are kept.
func (c *checker) comparisons() {
	for i := range c.s.Study.Keep {
		k := &c.s.Study.Keep[i]
		at := fmt.Sprintf("study.keep[%d]", i)
		if text := c.comparison(k); text != "" {
			c.report(&Problem{Path: at, Given: TextValue(k.Text), Text: text})
		}
	}
}

// comparison says what is wrong with a condition, or nothing.
func (c *checker) comparison(k *Comparison) string {
	name := k.Left.Path
	if name == "" {
		name = k.Right.Path
	}
	if name == "" {
		return "it compares two values and says nothing about a design: one side is a path or a column, " + comparisonExample
	}
	f, err := c.s.Compared(name)
	if err != nil {
		return fmt.Sprintf("%s: %s", name, pathText(err))
	}
	left, text := c.side(k.Left, f)
	if text != "" {
		return text
	}
	right, text := c.side(k.Right, f)
	if text != "" {
		return text
	}
	return unlike(k, append(left, right...))
}

// sided is one value that a side of a comparison may have, with its field.
type sided struct {
	field Field
	value Value
}

// side lists the values that stand for all that one side may have. f is the
// field by which a bare value was read.
func (c *checker) side(o Operand, f Field) ([]sided, string) {
	if o.Path == "" {
		if p := checkValue(Field{Path: f.Path, Type: f.Type, One: f.One}, o.Value); o.Value.Type == TypeText && p != nil {
			return nil, p.Text
		}
		return []sided{{f, o.Value}}, ""
	}
	field, err := c.s.Compared(o.Path)
	if err != nil {
		return nil, fmt.Sprintf("%s: %s", o.Path, pathText(err))
	}
	var all []sided
	for _, v := range c.s.Sources(o.Path) {
		if !v.IsSet() {
			return nil, fmt.Sprintf("%s is not stated by every design, so there is nothing to compare: state it, or vary it", o.Path)
		}
		all = append(all, sided{field, v})
	}
	return all, ""
}

// unlike says why the values of both sides cannot be compared.
func unlike(k *Comparison, all []sided) string {
	_, measures, number := all[0].value.Scalar(all[0].field)
	for _, s := range all {
		_, other, ok := s.value.Scalar(s.field)
		if ok != number || other != measures || s.value.Power.Of != all[0].value.Power.Of {
			return fmt.Sprintf("the two sides are stated in different ways, one as %s and one as %s, and cannot be compared", manner(all[0]), manner(s))
		}
	}
	if !number && k.Is != "=" && k.Is != "!=" {
		return fmt.Sprintf("words are the same or not: write = or != instead of %s", k.Is)
	}
	return ""
}

// manner names what a value is stated as.
func manner(s sided) string {
	_, measures, ok := s.value.Scalar(s.field)
	switch {
	case !ok:
		return "a word"
	case measures == Ratio && s.value.Power.Of != "":
		return "a share of " + s.value.Power.Of
	case measures == Ratio:
		return "a share"
	}
	return "a " + measures.words()
}

// Sources lists values of all sorts that a path or column has among the designs
// of the study: every one that is stated as such, and the ends of what is drawn.
// An unset value is among them where a design may state nothing.
func (s *Scenario) Sources(name string) []Value {
	for i := range s.Study.Vary {
		a := &s.Study.Vary[i]
		f, err := s.target(a.Path)
		if err != nil || a.Column != name && a.Path != name && f.Path != name {
			continue
		}
		all := s.axisSources(a)
		if s.Study.Combine == "one at a time" {
			v, _ := s.Get(f.Path)
			all = append(all, v)
		}
		return all
	}
	var all []Value
	f, err := s.target(name)
	if err != nil {
		return []Value{{}}
	}
	stated, _ := s.Get(f.Path)
	for i := range s.Study.Vary {
		a := &s.Study.Vary[i]
		if a.Way() != ByVariants || !strings.HasPrefix(f.Path, a.Path+".") {
			continue
		}
		for _, choice := range s.ChosenVariants(a) {
			if v, ok := s.VariantStates(a.Path, choice, f.Path); ok {
				all = append(all, v)
			} else {
				all = append(all, stated)
			}
		}
	}
	if len(all) == 0 || s.Study.Combine == "one at a time" {
		all = append(all, stated)
	}
	return all
}

func (s *Scenario) axisSources(a *Axis) []Value {
	var all []Value
	switch a.Way() {
	case ByVariants:
		for _, name := range s.ChosenVariants(a) {
			all = append(all, TextValue(name))
		}
		return all
	case ByValues:
		return slices.Clone(a.Values)
	}
	for _, v := range []Value{a.From, a.To, a.Low, a.High, a.Mean} {
		if v.IsSet() {
			all = append(all, v)
		}
	}
	return all
}

// VariantStates returns what a variant of a thing states at a path of the
// scenario; ok is false where it leaves that alone.
func (s *Scenario) VariantStates(of, variant, path string) (v Value, ok bool) {
	at, known := s.variantIndex(of, variant)
	if !known || !strings.HasPrefix(path, of+".") {
		return Value{}, false
	}
	v, err := s.Get(fmt.Sprintf("%s.%s[%d].%s", variantsKey, of, at, strings.TrimPrefix(path, of+".")))
	return v, err == nil && v.IsSet()
}
