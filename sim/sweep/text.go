package sweep

import (
	"fmt"
	"strconv"
	"strings"

	"soakledger/sim/spec"
)

// planVersion changes whenever the same study gives other designs or its text
// is written otherwise.
const planVersion = "soakledger plan 2"

// Text returns the canonical text of the plan: all that decides its designs, a
// line for each thing stated, as KEY = VALUE. Numbers are written in trade units
// and exactly in SI. It says the same of two files that differ in comments,
// spelling, titles and notes alone.
func (p *Plan) Text() string { return p.text }

// text writes what a scenario and its study state.
func text(s *spec.Scenario) string {
	var b strings.Builder
	fmt.Fprintln(&b, planVersion)
	fmt.Fprintf(&b, "scenario = %s\n", spec.Hash(s))
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
	u := unitOf(f, measures)
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
