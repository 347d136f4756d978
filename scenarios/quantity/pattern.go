package quantity

import (
	"regexp"
	"strings"

	"soakledger/sim/spec"
)

const numeral = "[-+\u2212]?" + `(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][-+]?[0-9]+)?`

// blank is what may stand between words: white space or a sign of a product.
const blank = "[\\s\u00b7\u22c5*]"

// Pattern returns a regular expression (ECMA 262, to be anchored) of the
// quantities of a dimension that Parse reads, for schemas. It knows the units
// and their spellings, not the ranges of numbers.
func Pattern(dim spec.Dimension) string {
	k := kinds[dim]
	if len(k.units) == 0 {
		return numeral
	}
	var spellings []string
	for _, x := range k.units {
		for _, s := range append([]string{x.name}, x.also...) {
			spellings = append(spellings, spelling(s))
		}
	}
	one := numeral + `\s*(?:` + strings.Join(spellings, "|") + `)`
	if dim == spec.Time {
		return `\s*` + one + `(?:\s*` + one + `)*\s*`
	}
	return `\s*` + one + `\s*`
}

// typographic lists what tidy accepts in place of a plain character of a unit.
var typographic = strings.NewReplacer(
	" ", blank+"+",
	"/", "\\s*(?:[/\u2044\u2215]|\\sper\\s)\\s*",
	`\(`, `\s*\(\s*`,
	`\)`, `\s*\)`,
	"2", "[2\u00b2\u2082]",
	"3", "[3\u00b3]",
	"°C", "(?:[\u00b0\u00ba]C|\u2103)",
	"°F", "(?:[\u00b0\u00ba]F|\u2109)",
	"°", "[\u00b0\u00ba]",
	`"`, "[\"\u2033\u201c\u201d]",
	"K", "[K\u212a]",
)

func spelling(s string) string {
	if name, ok := strings.CutPrefix(s, "W per 10 K"); ok {
		s = "W/10 K" + name
	}
	pattern := typographic.Replace(regexp.QuoteMeta(s))
	if digits(s) > 0 { // 1/min must not take a digit from the number
		return `\s` + pattern
	}
	return pattern
}
