package output

import (
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestChanged: what a reader sees of two values.
func TestChanged(t *testing.T) {
	long := strings.Repeat("a", 70)
	hash, other := strings.Repeat("0f", 32), strings.Repeat("1e", 32)
	for _, test := range []struct{ was, is, want string }{
		{"5", "6", "k was 5 and is now 6"},
		{"20 degC (293.15)", "21 degC (294.15)", "k was 20 degC and is now 21 degC"},
		{"2 % of tdp (0.02)", "3 % of tdp (0.03)", "k was 2 % of tdp and is now 3 % of tdp"},
		{"0.4 K (0.4)", "0.4 K (0.40000000000000002)", "k was 0.4 K (0.4) and is now 0.4 K (0.40000000000000002)"}, // else both would look the same
		{`"every (5)"`, `"every (6)"`, `k was "every (5)" and is now "every (6)"`},
		{"x (y)", "x (z)", "k was x (y) and is now x (z)"},
		{hash, other, "k has other content"},
		{hash, "5", "k was " + hash[:60] + "… and is now 5"},
		{long, "b", "k was " + long[:60] + "… and is now b"},
		{long + "b", long + "c", "k was …" + strings.Repeat("a", 20) + "b and is now …" + strings.Repeat("a", 20) + "c"},
		{"same", "same", ""},
	} {
		if got := strings.Join(differingEntries("k = "+test.was+"\n", "k = "+test.is+"\n"), "|"); got != test.want {
			t.Errorf("%q to %q: %q, want %q", test.was, test.is, got, test.want)
		}
	}
}

// TestDifferingEntriesAreAll: every key whose value differs is told once, and no
// other; as of two maps.
func TestDifferingEntriesAreAll(t *testing.T) {
	values := rapid.MapOf(rapid.SampledFrom([]string{"a", "b", "c", "d", "e"}), rapid.SampledFrom([]string{"1", "2"}))
	rapid.Check(t, func(t *rapid.T) {
		before, after := values.Draw(t, "before"), values.Draw(t, "after")
		want := map[string]bool{}
		for key, was := range before {
			if is, known := after[key]; !known {
				want[fmt.Sprintf("%s was %s and is no longer stated", key, was)] = true
			} else if is != was {
				want[fmt.Sprintf("%s was %s and is now %s", key, was, is)] = true
			}
		}
		for key, is := range after {
			if _, known := before[key]; !known {
				want[fmt.Sprintf("%s is now %s and was not stated", key, is)] = true
			}
		}
		write := func(m map[string]string) string {
			var b strings.Builder
			for key, value := range m {
				fmt.Fprintf(&b, "%s = %s\n", key, value)
			}
			return b.String()
		}
		old, now := write(before), write(after)
		got := differingEntries(old, now)
		if len(want) == 0 && old != now && len(got) == 1 && strings.HasPrefix(got[0], "the scenarios differ in the order") {
			return
		}
		if len(got) != len(want) {
			t.Fatalf("%v to %v: %q, want %v", before, after, got, want)
		}
		for _, line := range got {
			if !want[line] {
				t.Fatalf("%v to %v: %q, want %v", before, after, got, want)
			}
		}
	})
}

// TestLongDifferences are cut.
func TestLongDifferences(t *testing.T) {
	stored, err := testStudy.manifest(studyTables())
	if err != nil {
		t.Fatal(err)
	}
	now, recipe := stored, *stored.Study
	now.Study = &recipe
	for i := range 30 {
		recipe.Plan += fmt.Sprintf("value %d = 1\n", i)
	}
	recipe.Traces = "none"
	lines := strings.Split(difference(stored, now), "\n")
	if len(lines) != mostShown+2 || lines[mostShown] != fmt.Sprintf("and %d more", 30-mostShown) || !strings.Contains(lines[mostShown+1], "traces") {
		t.Errorf("%d lines: %q", len(lines), lines)
	}
	if got := difference(stored, stored); got != "" {
		t.Errorf("a study differs from itself: %s", got)
	}
}
