package spec

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// mostProblems bounds the list that Check returns.
const mostProblems = 200

// maxShare bounds a power stated as a share of another one.
const maxShare = 10

// Problem is one thing that keeps a scenario from being meaningful.
type Problem struct {
	Path  string // structural for names, canonical elsewhere (see Canonical)
	Field Field  // zero where the problem is not that of one field
	Given Value  // unset where something is missing
	Range bool   // Given lies outside Field.Min to Field.Max
	Text  string // one line, numbers in SI; what is wrong and how to mend it
}

// Error describes the problem in one line.
func (p *Problem) Error() string { return p.Path + ": " + p.Text }

// Check tells everything that is wrong with the scenario and can be seen
// without defaults or physics: ranges, names, references, keys that exclude or
// need each other, shares that go round in a circle. It returns nil for a
// sound scenario, and at most 200 problems. Node suffixes (cpu.die) are known only to the assembly.
func Check(s *Scenario) []*Problem {
	c := &checker{s: s, placed: s.placedParts()}
	c.names()
	c.values()
	c.references()
	c.rules()
	c.shares()
	c.variants()
	c.study()
	return c.problems
}

// checker collects the problems of one scenario.
type checker struct {
	s        *Scenario
	placed   []placedPart      // parts of all loops, branches included
	kinds    map[string]string // what each name names: chip, tube, lump, link ...
	problems []*Problem
}

func (c *checker) add(path, format string, args ...any) {
	c.report(&Problem{Path: path, Text: fmt.Sprintf(format, args...)})
}

// report keeps a problem. Beyond mostProblems nobody reads on, and a hostile
// file would cost time.
func (c *checker) report(p *Problem) {
	if !c.full() {
		c.problems = append(c.problems, p)
	}
}

func (c *checker) full() bool { return len(c.problems) >= mostProblems }

// values checks every stated field by itself.
func (c *checker) values() {
	for f, v := range c.s.allStated() {
		if p := checkValue(f, v); p != nil {
			c.report(p)
		}
	}
}

// checkValue checks one value against its field, or returns nil.
func checkValue(f Field, v Value) *Problem {
	p := Problem{Path: f.Path, Field: f, Given: v}
	switch v.Type {
	case TypeNumber:
		p.checkNumber(v.Number)
	case TypeText:
		p.checkWord(v.Text)
	case TypePower:
		p.checkPower(v.Power)
	case TypeRepeat:
		p.checkRepeat(v.Repeat)
	case TypeSpeed:
		p.checkSpeed(v.Speed)
	}
	if p.Text == "" {
		return nil
	}
	found := p // allocated for a problem only, of which there is seldom one
	return &found
}

func (p *Problem) checkNumber(x float64) {
	f := p.Field
	switch {
	case !finite(x):
		p.Text = "not a finite number"
	case f.Dimension == Count && x != math.Trunc(x):
		p.Text = fmt.Sprintf("%v is not a whole number", x)
	case x < f.Min || x > f.Max:
		p.Range = true
		p.Text = fmt.Sprintf("%v is outside the allowed range of %v to %v (SI units)", x, f.Min, f.Max)
	}
}

func (p *Problem) checkWord(text string) {
	f := p.Field
	if f.One == nil || slices.Contains(f.One, text) {
		return
	}
	p.Text = f.NotOne(text)
}

// NotOne says of a text that is none of the field's words which ones are.
func (f Field) NotOne(text string) string {
	if near := meant(text, f.One); near != nil {
		return fmt.Sprintf("%q is not known; did you mean %s? Allowed: %s", text, orList(near), orList(f.One))
	}
	return fmt.Sprintf("%q is not known: write %s", shortened(text), orList(f.One))
}

// meant returns the choice that text resembles, or all that have a word in them
// that it resembles: desktp is that of two kinds of desktop.
func meant(text string, choices []string) []string {
	if near := Nearest(text, choices); near != "" {
		return []string{near}
	}
	var found []string
	for _, choice := range choices {
		words := strings.Fields(choice)
		if slices.Contains(words, text) || Nearest(text, words) != "" {
			found = append(found, choice)
		}
	}
	return found
}

// shortened keeps a monstrous word out of the messages.
func shortened(word string) string {
	if runes := []rune(word); len(runes) > longestName {
		return string(runes[:longestName]) + "…"
	}
	return word
}

// orList joins alternatives as a sentence does: a, b or c.
func orList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}

func (p *Problem) checkPower(x Power) {
	switch {
	case x.Watts.Set && x.Share.Set:
		p.Text = "a power is either watts or a share, not both"
	case x.Watts.Set && x.Of != "":
		p.Text = fmt.Sprintf("watts are not of something: write a share, 12 %% of %s", x.Of)
	case x.Watts.Set:
		p.checkNumber(x.Watts.Value)
	case !finite(x.Share.Value):
		p.Text = "not a finite number"
	case x.Share.Value < 0 || x.Share.Value > maxShare:
		p.Text = fmt.Sprintf("a share lies between 0 %% and %d %%", maxShare*100)
	case x.Of == "" && !p.Field.OwnShare:
		p.Text = "a share needs the name of the part it refers to, for example 12 % of cpu"
	}
}

func (p *Problem) checkRepeat(r Repeat) {
	switch {
	case r.Forever && r.Count != 0:
		p.Text = "either a count or forever, not both"
	case !r.Forever && (float64(r.Count) < p.Field.Min || float64(r.Count) > p.Field.Max):
		p.Text = fmt.Sprintf("%d is outside %v to %v: write how often, or forever", r.Count, p.Field.Min, p.Field.Max)
	}
}

// Sound levels that fans can be set by, dB(A).
const (
	leastLevel = 0
	mostLevel  = 120
)

func (p *Problem) checkSpeed(s Speed) {
	switch {
	case s.Rate.Set && s.Share.Set || s.Level.Set && (s.Rate.Set || s.Share.Set):
		p.Text = "a speed is one of three: rpm, a share of the rated one, or a sound level"
	case s.Level.Set && !p.Field.ByLevel:
		p.Text = "only the fixed speed of fans is set by a sound level: write a speed, 1200 rpm, or a share of the rated one, 60 %"
	case s.Level.Set && !(s.Level.Value >= leastLevel && s.Level.Value <= mostLevel):
		p.Text = fmt.Sprintf("a sound level lies between %d and %d dBA, for example at 30 dBA", leastLevel, mostLevel)
	case s.Level.Set:
	case s.Rate.Set:
		p.checkNumber(s.Rate.Value)
	case !finite(s.Share.Value):
		p.Text = "not a finite number"
	case s.Share.Value < 0 || s.Share.Value > maxSpeed:
		p.Text = fmt.Sprintf("a share of the rated speed lies between 0 %% and %v %%, for example 60 %%", maxSpeed*100)
	}
}
