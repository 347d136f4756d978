package output

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestDifferingLines(t *testing.T) {
	for _, test := range []struct{ a, b, want string }{
		{"a b c", "a b c", ""},
		{"a b c", "a c", "- b"},
		{"a c", "a b c", "+ b"},
		{"a b c", "a x c", "- b|+ x"},
		{"a b c d", "d a b c", "+ d|- d"},
		{"", "a", "- |+ a"}, // the empty text is one empty line
	} {
		if got := strings.Join(differingLines(strings.Split(test.a, " "), strings.Split(test.b, " ")), "|"); got != test.want {
			t.Errorf("%q to %q: %q, want %q", test.a, test.b, got, test.want)
		}
	}
}

// TestDifferingLinesAreAllAndFewest: without the marked lines both texts are
// equal, and as long as the longest common subsequence, which is computed here
// by going through all subsequences of the shorter text.
func TestDifferingLinesAreAllAndFewest(t *testing.T) {
	lines := rapid.SliceOfN(rapid.SampledFrom([]string{"a", "b", "c"}), 0, 8)
	rapid.Check(t, func(t *rapid.T) {
		a, b := lines.Draw(t, "a"), lines.Draw(t, "b")
		var gone, come []string
		for _, line := range differingLines(a, b) {
			if rest, ok := strings.CutPrefix(line, "- "); ok {
				gone = append(gone, rest)
			} else {
				come = append(come, strings.TrimPrefix(line, "+ "))
			}
		}
		longest := 0
		for choice := range 1 << len(a) {
			var some []string
			for i, line := range a {
				if choice>>i&1 == 1 {
					some = append(some, line)
				}
			}
			if isWithin(some, b) {
				longest = max(longest, len(some))
			}
		}
		if !isWithin(gone, a) || !isWithin(come, b) || len(a)-len(gone) != longest || len(b)-len(come) != longest {
			t.Fatalf("%v to %v: %v gone, %v come, %d lines could stay", a, b, gone, come, longest)
		}
	})
}

// isWithin reports whether some is a subsequence of all.
func isWithin(some, all []string) bool {
	for _, line := range all {
		if len(some) > 0 && some[0] == line {
			some = some[1:]
		}
	}
	return len(some) == 0
}

// TestLongDifferences are cut, and texts too long to compare are shown whole.
func TestLongDifferences(t *testing.T) {
	text := func(n, from int) string {
		var lines []string
		for i := range n {
			lines = append(lines, fmt.Sprint("value ", from+i))
		}
		return strings.Join(lines, "\n")
	}
	stored, err := testStudy.manifest(studyTables())
	if err != nil {
		t.Fatal(err)
	}
	now, recipe := stored, *stored.Study
	now.Study = &recipe
	recipe.Plan = text(3000, 0)
	got := difference(stored, now)
	if n := strings.Count(got, "\n"); n != mostShown+1 || !strings.HasSuffix(got, "more lines differ)") {
		t.Errorf("%d lines: %s", n, got)
	}
	a, b := strings.Split(text(3000, 0), "\n"), strings.Split(text(3000, 10_000), "\n")
	if n := len(differingLines(a, b)); n != 6000 {
		t.Errorf("%d lines differ", n)
	}
	if n := len(differingLines(slices.Concat(a, b), slices.Concat(a, []string{"new"}, b))); n != 1 {
		t.Errorf("%d lines differ", n)
	}
}
