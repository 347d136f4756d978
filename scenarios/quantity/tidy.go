package quantity

import "strings"

// variants maps the characters that keyboards and word processors put in
// place of the plain ones. It is read only.
var variants = strings.NewReplacer(
	"\u00a0", " ", "\u2007", " ", "\u2009", " ", "\u202f", " ", "\t", " ", "\n", " ", "\r", " ",
	"\u2212", "-", // minus sign
	"\u00b7", " ", "\u22c5", " ", "*", " ", // products
	"\u00b3", "3", "\u00b2", "2", "\u2082", "2", "\u207b\u00b9", "-1",
	"\u2103", "°C", "\u2109", "°F", "\u212a", "K", "\u00ba", "°",
	"\u2033", `"`, "\u201c", `"`, "\u201d", `"`,
	"\u2044", "/", "\u2215", "/",
)

// tidy replaces typographic variants and collapses blanks.
func tidy(text string) string {
	return strings.Join(strings.Fields(variants.Replace(text)), " ")
}

// tidyUnit brings a unit to the form in which the table spells it: no blanks
// around slashes and brackets, "per" as a slash.
func tidyUnit(name string) string {
	if !strings.HasPrefix(name, "per cent") {
		name = strings.ReplaceAll(" "+name, " per ", "/")
	}
	for _, mark := range []string{"/", "(", ")"} {
		name = strings.ReplaceAll(name, " "+mark, mark)
		name = strings.ReplaceAll(name, mark+" ", mark)
	}
	return strings.TrimSpace(name)
}
