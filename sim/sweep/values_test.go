package sweep

import (
	"math"
	"slices"
	"strings"
	"testing"
)

// levelsOf lists what an axis has on its levels.
func levelsOf(t *testing.T, study string) []string {
	t.Helper()
	p := planned(t, study)
	var all []string
	for i := range p.Count() {
		all = append(all, shown(p, design(t, p, i)))
	}
	return all
}

// TestRanges lists the values of ranges, worked out by hand: both ends as they
// are stated, equal differences or ratios between.
func TestRanges(t *testing.T) {
	for axis, want := range map[string][]string{
		"from: 20 mm, to: 60 mm, count: 5":                {"20 mm", "30 mm", "40 mm", "50 mm", "60 mm"},
		"from: 60 mm, to: 20 mm, count: 3":                {"60 mm", "40 mm", "20 mm"},
		"from: 20 mm, to: 44 mm, step: 12 mm":             {"20 mm", "32 mm", "44 mm"},
		"from: 50 mm, to: 26 mm, step: 12 mm":             {"50 mm", "38 mm", "26 mm"},
		"from: 20 mm, to: 20.3 mm, step: 0.1 mm":          {"20 mm", "20.1 mm", "20.2 mm", "20.3 mm"},
		"from: 10 mm, to: 160 mm, count: 5, scale: log":   {"10 mm", "20 mm", "40 mm", "80 mm", "160 mm"},
		"from: 160 mm, to: 10 mm, count: 3, scale: log":   {"160 mm", "40 mm", "10 mm"},
		"from: 1 in, to: 2 in, count: 3":                  {"25.4 mm", "38.1 mm", "50.8 mm"},
		"from: 20 mm, to: 30 mm, count: 4, scale: linear": {"20 mm", "23.3333333333 mm", "26.6666666667 mm", "30 mm"},
	} {
		if got := levelsOf(t, "vary: [{path: front.core.thickness, "+axis+"}]"); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", axis, got, want)
		}
	}
	if got := levelsOf(t, "vary: [{path: front.fans.count, from: 3, to: 1, step: 1}]"); !slices.Equal(got, []string{"3", "2", "1"}) {
		t.Errorf("counts are %v", got)
	}
}

// TestWordsAreKept: = keeps the word, != all others.
func TestWordsAreKept(t *testing.T) {
	for keep, want := range map[string][]string{
		"front.core.fins = strip": {"strip"}, "front.core.fins != strip": {"plain", "louvred"}, "strip != front.core.fins": {"plain", "louvred"},
	} {
		p := planned(t, "keep: "+keep+"\nvary: [{path: front.core.fins, values: [plain, louvred, strip]}]")
		var got []string
		for i := range p.Count() {
			if d := design(t, p, i); d.Kept {
				got = append(got, shown(p, d))
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s keeps %v", keep, got)
		}
	}
}

// TestSeeds: the seed decides what is drawn, none is the seed 0, and a Halton
// sequence without one is the plain sequence.
func TestSeeds(t *testing.T) {
	draws := func(head string) string {
		return strings.Join(levelsOf(t, head+"\nruns: 6\nvary: [{path: front.core.thickness, from: 20 mm, to: 60 mm}]"), ", ")
	}
	for _, combine := range []string{"latin hypercube", "random", "halton"} {
		a, b, none, zero := draws("combine: "+combine+"\nseed: 1"), draws("combine: "+combine+"\nseed: 2"), draws("combine: "+combine), draws("combine: "+combine+"\nseed: 0")
		if a == b || a == none || (none == zero) != (combine != "halton") {
			t.Errorf("%s draws\n%s\n%s\n%s\n%s", combine, a, b, none, zero)
		}
	}
	if got := draws("combine: halton"); got != "40 mm, 30 mm, 50 mm, 25 mm, 45 mm, 35 mm" {
		t.Errorf("the plain sequence gives %s", got)
	}
}

// TestLevelsAreDrawnEvenly: of a list and of variants, a hypercube takes each as
// often.
func TestLevelsAreDrawnEvenly(t *testing.T) {
	count := map[string]int{}
	for _, words := range levelsOf(t, "combine: latin hypercube\nruns: 60\nvary: [{path: front, variants: all}, {path: front.core.fins, values: [plain, louvred, strip]}]") {
		for _, word := range strings.Split(words, ", ") {
			count[word]++
		}
	}
	for word, want := range map[string]int{"slim": 30, "deep": 30, "plain": 20, "louvred": 20, "strip": 20} {
		if count[word] != want {
			t.Errorf("%s is drawn %d times, want %d", word, count[word], want)
		}
	}
}

// TestDrawnTogether: axes that are zipped have one share.
func TestDrawnTogether(t *testing.T) {
	p := planned(t, "combine: random\nruns: 50\nvary: [{path: front.core.thickness, from: 20 mm, to: 60 mm, zip: a}, {path: hose.length, from: 2 m, to: 6 m, zip: a}, {path: hose.bore, from: 8 mm, to: 12 mm}]")
	apart := 0
	for i := range p.Count() {
		v := design(t, p, i).Values
		x, y, z := (v[0].Number-0.02)/0.04, (v[1].Number-2)/4, (v[2].Number-0.008)/0.004
		if math.Abs(x-y) > 1e-9 {
			t.Errorf("design %d: shares %g and %g", i, x, y)
		}
		if math.Abs(x-z) > 0.01 {
			apart++
		}
	}
	if apart < 40 {
		t.Errorf("only %d of 50 designs tell the groups apart", apart)
	}
}

// TestTailIsExact: far above the mean, where the share below is next to one, the
// draws still have the right shares above them.
func TestTailIsExact(t *testing.T) {
	q := truncatedNormal(0, 1, 5.9, 40)
	above := func(z float64) float64 { return math.Erfc(z / math.Sqrt2) }
	for _, u := range []float64{0.01, 0.5, 0.9, 0.9999, 1 - 1e-9} {
		if got := above(q(u)) / above(5.9); math.Abs(got/(1-u)-1) > 1e-6 {
			t.Errorf("a share of %g lies above, want %g", got, 1-u)
		}
	}
}

// TestDrawnRanges: a range without single values is drawn from evenly, its ratios
// evenly on a log scale, and whole numbers where they are counted. The shares are
// those of a plain Halton sequence: a half, a quarter, three quarters.
func TestDrawnRanges(t *testing.T) {
	for axis, want := range map[string][]string{
		"front.core.thickness, from: 10 mm, to: 160 mm, scale: log": {"40 mm", "20 mm", "80 mm"},
		"front.core.thickness, from: 160 mm, to: 10 mm":             {"85 mm", "47.5 mm", "122.5 mm"},
		"hose.bends, from: 0, to: 9":                                {"5", "2", "7"},
		"hose.bends, distribution: uniform, low: 4, high: 7":        {"6", "5", "7"},
	} {
		if got := levelsOf(t, "combine: halton\nruns: 3\nvary: [{path: "+axis+"}]"); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", axis, got, want)
		}
	}
}
