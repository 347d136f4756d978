package figure

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"gonum.org/v1/plot/vg"
)

func TestWrapLabel(t *testing.T) {
	face := newSized(Size{100, 100}).letter(labelSize, false)
	wide := face.Width("reservoir 1 volume 500 mL")
	tests := []struct {
		name  string
		terms []Term
		width vg.Length
		want  []string
	}{
		{"nothing", nil, wide, nil},
		{"one line", []Term{{"front fans", "700 rpm"}}, wide, []string{"front fans 700 rpm"}},
		{"between terms", []Term{{"thickness", "45 mm"}, {"front fans", "700 rpm"}}, wide, []string{"thickness 45 mm,", "front fans 700 rpm"}},
		{"as many terms as fit", []Term{{"", "45 mm"}, {"", "700 rpm"}, {"", "as stated"}}, face.Width("45 mm, 700 rpm, as stated"), []string{"45 mm, 700 rpm, as stated"}},
		{"between words", []Term{{"volume of the lower reservoir", "500 mL"}}, wide, []string{"volume of the lower", "reservoir 500 mL"}},
		{"a value stays whole", []Term{{"volume of the lower tanks", "500 mL"}}, wide, []string{"volume of the lower tanks", "500 mL"}},
		{"the name is cut", []Term{{"volume of the second of two long reservoirs", "500 mL"}}, wide, []string{"volume of the second of", "two long reserv… 500 mL"}},
		{"the longest name is cut", []Term{{"volume of the second of two reservoirs", "500 mL"}, {"fans", "700 rpm"}}, wide, []string{"volume of the second of…", "500 mL, fans 700 rpm"}},
		{"no room for names", []Term{{"volume", "500 mL"}, {"fans", "700 rpm"}}, face.Width("700 rpm"), []string{"500 mL,", "700 rpm"}},
		{"no room for values", []Term{{"volume", "500 mL"}, {"fans", "700 rpm"}}, face.Width("700 r"), []string{"500", "m…"}},
		{"empty terms", []Term{{}, {" ", ""}, {"a", ""}, {"", "\n"}}, wide, []string{"a"}},
	}
	for _, test := range tests {
		if got := wrapLabel(face, test.terms, test.width, 2); !slices.Equal(got, test.want) {
			t.Errorf("%s: %q, want %q", test.name, got, test.want)
		}
	}
}

// Lines are short and few enough; where the values have room by themselves they are all
// there, and names are cut no more than that takes.
func TestWrapLabelProperty(t *testing.T) {
	face := newSized(Size{100, 100}).letter(labelSize, false)
	rapid.Check(t, func(t *rapid.T) {
		var terms []Term
		for range rapid.IntRange(1, 4).Draw(t, "terms") {
			terms = append(terms, Term{rapid.StringMatching(`([a-z]{1,12} ){0,5}`).Draw(t, "name"), rapid.StringMatching(`[0-9]{1,4} [a-zA-Z/]{1,4}`).Draw(t, "value")})
		}
		width := vg.Length(rapid.Float64Range(20, 300).Draw(t, "width"))
		lines := wrapLabel(face, terms, width, 2)
		if len(lines) > 2 {
			t.Fatalf("%d lines", len(lines))
		}
		for _, line := range lines {
			if face.Width(line) > width {
				t.Fatalf("%q is wider than %g", line, width)
			}
		}
		if flow(face, phrases(terms, 0), width, 2) == nil {
			return
		}
		for _, term := range terms {
			if !slices.ContainsFunc(lines, func(line string) bool { return strings.Contains(line, term.Value) }) {
				t.Fatalf("%q lacks %q", lines, term.Value)
			}
		}
		if all := labelText(terms); face.Width(all) <= width && (len(lines) != 1 || lines[0] != all) {
			t.Fatalf("%q has room and becomes %q", all, lines)
		}
	})
}

func TestKeyLines(t *testing.T) {
	p := newSized(Size{100, 100})
	face := p.letter(markSize, true)
	short, long := face.Width("front size"), face.Width("front fans speed")
	tests := []struct {
		key         string
		width, most vg.Length
		want        []string
		column      vg.Length
	}{
		{"", short, long, nil, short},
		{"front size", short, long, []string{"front size"}, short},
		{"front fans speed", short, long, []string{"front fans speed"}, long},
		{"front size, front fans speed", short, long, []string{"front size,", "front fans speed"}, long},
		{"front size, front fans speed", 300, 400, []string{"front size, front fans speed"}, 300},
		{"front fans speed", short, short, []string{"front fa…"}, short},
	}
	for _, test := range tests {
		f := Figure{Key: test.key}
		if got, column := f.keyLines(p, test.width, test.most); !slices.Equal(got, test.want) || column != test.column {
			t.Errorf("%q: %q in %g, want %q in %g", test.key, got, column, test.want, test.column)
		}
	}
}
