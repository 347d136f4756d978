package sweep

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"

	"soakledger/sim/spec"
)

// planVersion changes whenever the same study gives other designs or its text
// is written otherwise.
const planVersion = "soakledger plan 2"

// hashKey begins the line with the scenario's hash.
const hashKey = "scenario"

// Text returns the canonical text of the plan: all that decides its designs, a
// line for each thing stated, as KEY = VALUE. Numbers are written in trade units
// and exactly in SI. It says the same of two files that differ in comments,
// spelling, titles and notes alone.
func (p *Plan) Text() string { return p.text }

// Hash returns the SHA-256 of the text, in hexadecimal.
func (p *Plan) Hash() string {
	sum := sha256.Sum256([]byte(p.text))
	return hex.EncodeToString(sum[:])
}

// text writes what a scenario and its study state.
func text(s *spec.Scenario) string {
	var b strings.Builder
	fmt.Fprintln(&b, planVersion)
	fmt.Fprintf(&b, "%s = %s\n", hashKey, spec.Hash(s))
	for f, v := range s.All() {
		if v.IsSet() && f.Key != "title" && f.Key != "note" {
			fmt.Fprintf(&b, "%s = %s\n", f.Path, written(f, v))
		}
	}
	for path, l := range s.Logs() {
		if l.Series != nil {
			fmt.Fprintf(&b, "%s.series = %s\n", path, l.Series.Digest())
		}
	}
	return b.String()
}

// written writes a value in trade units, and exactly.
func written(f spec.Field, v spec.Value) string {
	x, measures, number := v.Scalar(f)
	if !number {
		if v.Type == spec.TypeText {
			return strconv.Quote(v.Text)
		}
		return v.String()
	}
	u := unitOf(measures)
	text := u.decimal(x)
	if u.label != "" {
		text += " " + u.label
	}
	if v.Type == spec.TypePower && v.Power.Of != "" {
		text += " of " + v.Power.Of
	}
	if exact := strconv.FormatFloat(x, 'g', -1, 64); u.label != "" {
		text += " (" + exact + ")"
	} else {
		text = exact
	}
	return text
}

// Difference says in a few lines how the texts of two plans differ, nothing
// where they do not. Old is the text of what is there.
func Difference(old, now string) string {
	if old == now {
		return ""
	}
	before, after := entries(old), entries(now)
	var lines []string
	for _, e := range after.list {
		switch was, known := before.by[e.key]; {
		case e.key == hashKey || known && was == e.value:
		case known:
			lines = append(lines, fmt.Sprintf("%s was %s and is now %s", e.key, short(was), short(e.value)))
		default:
			lines = append(lines, fmt.Sprintf("%s is now %s and was not stated", e.key, short(e.value)))
		}
	}
	for _, e := range before.list {
		if _, known := after.by[e.key]; !known && e.key != hashKey {
			lines = append(lines, fmt.Sprintf("%s was %s and is no longer stated", e.key, short(e.value)))
		}
	}
	if len(lines) == 0 {
		return "the scenarios differ in the order or presence of sections"
	}
	const most = 6
	if more := len(lines) - most; more > 0 {
		lines = append(lines[:most], fmt.Sprintf("and %d more", more))
	}
	return strings.Join(lines, "\n")
}

// stating is the entries of a plan's text.
type stating struct {
	list []entry
	by   map[string]string
}

type entry struct{ key, value string }

func entries(text string) stating {
	s := stating{by: map[string]string{}}
	for line := range strings.Lines(text) {
		key, value, _ := strings.Cut(strings.TrimSuffix(line, "\n"), " = ")
		if value == "" {
			key, value = "version of plans", key
		}
		s.list = append(s.list, entry{key, value})
		s.by[key] = value
	}
	return s
}

// short leaves out the exact number behind one that is rounded, and the middle
// of what is long.
func short(value string) string {
	if at := strings.LastIndex(value, " ("); at > 0 && strings.HasSuffix(value, ")") && value[0] != '"' {
		value = value[:at]
	}
	const most = 60
	if runes := []rune(value); len(runes) > most {
		value = string(runes[:most]) + "…"
	}
	return value
}
