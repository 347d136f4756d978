package figure

import (
	"math"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
)

// labelText returns a label in one line, as it reads where there is room.
func labelText(terms []Term) string { return strings.Join(phrases(terms, math.MaxInt), " ") }

// phrases writes terms, each with its comma, names cut to at most so many letters.
func phrases(terms []Term, most int) []string {
	var all []string
	for _, words := range tokens(terms, most) {
		all = append(all, strings.Join(words, " "))
	}
	return all
}

// tokens returns for each term what a line may be broken between: the words of its name,
// cut to at most so many letters, and the value as a whole.
func tokens(terms []Term, most int) [][]string {
	var all [][]string
	for _, t := range terms {
		words := strings.Fields(cutName(oneLine(t.Name), most))
		if v := oneLine(t.Value); v != "" {
			words = append(words, v)
		}
		if len(words) > 0 {
			all = append(all, words)
		}
	}
	for i := range len(all) - 1 {
		all[i][len(all[i])-1] += ","
	}
	return all
}

// cutName leaves at most so many letters of a name, three dots among them, and of a word
// no less than three.
func cutName(name string, most int) string {
	switch {
	case utf8.RuneCountInString(name) <= most:
		return name
	case most < 2:
		return ""
	}
	short := string([]rune(name)[:most-1])
	if at := strings.LastIndex(short, " "); at > 0 && utf8.RuneCountInString(short[at:]) <= 3 {
		short = short[:at]
	}
	return strings.TrimRight(short, " ") + "…"
}

// wrapLabel breaks a label into at most so many lines of the given width: between terms
// if that will do, else between words, and with names as long as they can be. Only where
// the values alone do not fit are they cut off.
func wrapLabel(face font.Face, terms []Term, width vg.Length, most int) []string {
	longest := 0
	for _, t := range terms {
		longest = max(longest, utf8.RuneCountInString(oneLine(t.Name)))
	}
	fitting := func(letters int) []string {
		if lines := flow(face, phrases(terms, letters), width, most); lines != nil {
			return lines
		}
		return flow(face, slices.Concat(tokens(terms, letters)...), width, most)
	}
	// The first that fits, from the longest names to none.
	short := sort.Search(longest, func(k int) bool { return fitting(longest-k) != nil })
	if lines := fitting(longest - short); lines != nil {
		return lines
	}
	return wrap(face, strings.Join(phrases(terms, 0), " "), width, most)
}

// keyLines breaks the key, behind its commas, into lines for a column that is as wide as
// the labels or, up to most, its longest name. It returns the column's width too.
func (f *Figure) keyLines(p *pen, width, most vg.Length) ([]string, vg.Length) {
	face := p.letter(markSize, true)
	pieces := strings.SplitAfter(oneLine(f.Key), ", ")
	for i := range pieces {
		pieces[i] = cut(face, strings.TrimSpace(pieces[i]), most)
		width = max(width, face.Width(pieces[i]))
	}
	if oneLine(f.Key) == "" {
		return nil, width
	}
	return flow(face, pieces, width, len(pieces)), width
}

// flow sets pieces of text in as few lines as hold them; nil if that are too many or one
// piece is too wide.
func flow(face font.Face, pieces []string, width vg.Length, most int) []string {
	var lines []string
	for _, piece := range pieces {
		if last := len(lines) - 1; last >= 0 {
			if longer := lines[last] + " " + piece; face.Width(longer) <= width {
				lines[last] = longer
				continue
			}
		}
		if len(lines) == most || face.Width(piece) > width {
			return nil
		}
		lines = append(lines, piece)
	}
	return lines
}
