package spec

import (
	"fmt"
	"strings"
)

// Comparison is a condition that a design must meet to be kept.
type Comparison struct {
	Text  string // as its author wrote it, single blanks between words
	Left  Operand
	Is    string // <, <=, =, !=, >= or >
	Right Operand
}

// Operand is one side of a comparison: what a path leads to or an axis' column
// holds, or a value of the kind that the other side has.
type Operand struct {
	Path  string // or column; "" for a value
	Value Value
}

// relations are the signs of a comparison, longer ones first.
var relations = []string{"<=", ">=", "==", "!=", "<", ">", "="}

const comparisonExample = "for example front.fans.speed <= 1300 rpm"

// SplitComparison takes a condition apart at its sign, which is <, <=, =, !=, >=
// or > (== is the same as =). The sides are not empty and have single blanks
// between their words.
func SplitComparison(text string) (left, is, right string, err error) {
	at := strings.IndexAny(text, "<>=!")
	if at < 0 {
		return "", "", "", fmt.Errorf("%q compares nothing: write a path, a sign (<, <=, =, !=, >= or >) and a value, %s", shortened(text), comparisonExample)
	}
	for _, sign := range relations {
		rest, found := strings.CutPrefix(text[at:], sign)
		if !found {
			continue
		}
		left, is, right = tidyWords(text[:at]), sign, tidyWords(rest)
		if is == "==" {
			is = "="
		}
		switch {
		case left == "" || right == "":
			return "", "", "", fmt.Errorf("%q has nothing on one side of %s: %s", shortened(text), sign, comparisonExample)
		case strings.ContainsAny(right, "<>=!"):
			return "", "", "", fmt.Errorf("%q compares more than once: write two conditions, %s", shortened(text), comparisonExample)
		}
		return left, is, right, nil
	}
	return "", "", "", fmt.Errorf("%q has no sign that is known: write <, <=, =, !=, >= or >, %s", shortened(text), comparisonExample)
}

func tidyWords(text string) string { return strings.Join(strings.Fields(text), " ") }

// Compared describes what an operand's path or column stands for: the field of a
// path, or of the axis to which the column belongs. Of an axis of variants it is
// a text that is one of their names.
func (s *Scenario) Compared(name string) (Field, error) {
	for i := range s.Study.Vary {
		a := &s.Study.Vary[i]
		if a.Column != name && a.Path != name {
			continue
		}
		if a.Way() == ByVariants {
			return Field{Path: name, Key: name, Type: TypeText, One: s.ChosenVariants(a)}, nil
		}
		return s.Varied(a.Path)
	}
	f, err := s.Varied(name)
	switch {
	case err != nil:
		return Field{}, err
	case f.Section != nil || f.Type.many():
		return Field{}, &PathError{Path: name, Reason: "it has keys or elements of its own"}
	}
	return f, nil
}

// PutComparison adds a condition to a study.
func (d Draft) PutComparison(c Comparison) error {
	study, ok := d.v.Addr().Interface().(*Study)
	if !ok {
		return fmt.Errorf("%s has no conditions", d.Section.Name)
	}
	study.Keep = append(study.Keep, c)
	return nil
}
