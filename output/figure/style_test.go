package figure

import (
	"fmt"
	"image/color"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/plot/vg"
)

// luminance is the relative luminance of a colour (W3C, Web Content Accessibility
// Guidelines 2.1, 2018, definition of relative luminance; value from memory, not checked
// against the source).
func luminance(c color.RGBA) float64 {
	linear := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.03928 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
}

// The lines of runs can be told apart without colour: each has dashes of its own, seen
// whole on the piece beside its label, and all stand out from white paper by the 3 to 1
// that the same guidelines ask of graphics (success criterion 1.4.11), texts by 4.5.
func TestStylesReadInGrey(t *testing.T) {
	seen := map[string]bool{}
	for i, s := range runStyles {
		if contrast := 1.05 / (luminance(s.colour) + 0.05); contrast < 3 {
			t.Errorf("style %d stands out by %.2f to 1 only", i, contrast)
		}
		dashes := fmt.Sprint(s.dashes)
		if seen[dashes] {
			t.Errorf("style %d has the dashes %s of another", i, dashes)
		}
		seen[dashes] = true
		sum := vg.Length(0)
		for _, d := range s.dashes {
			sum += d
		}
		if sum > keyLength || len(s.dashes)%2 != 0 {
			t.Errorf("style %d: its dashes %s are %g long, the key %d", i, dashes, sum, keyLength)
		}
		if i == 0 {
			continue
		}
		a, b := luminance(s.colour)+0.05, luminance(runStyles[i-1].colour)+0.05
		if ratio := max(a, b) / min(a, b); ratio < 1.3 {
			t.Errorf("styles %d and %d differ by %.2f to 1 in grey", i-1, i, ratio)
		}
	}
	for _, c := range []color.RGBA{ink, faint} {
		if contrast := 1.05 / (luminance(c) + 0.05); contrast < 4.5 {
			t.Errorf("text of %v stands out by %.2f to 1 only", c, contrast)
		}
	}
}

func TestWrap(t *testing.T) {
	face := newSized(Size{100, 100}).letter(labelSize, false)
	wide := face.Width("eight matches with")
	tests := []struct {
		text string
		most int
		want []string
	}{
		{"", 2, nil},
		{"one", 2, []string{"one"}},
		{"eight matches with", 2, []string{"eight matches with"}},
		{"eight matches with lobbies", 2, []string{"eight matches with", "lobbies"}},
		{"eight matches with lobbies, and many more of them", 2, []string{"eight matches with", "lobbies, and ma…"}},
		{"eight matches with lobbies, and more", 1, []string{"eight matches w…"}},
		{"eightmatcheswithlobbiesandmore", 2, []string{"eightmatcheswit…"}},
	}
	for _, test := range tests {
		got := wrap(face, test.text, wide, test.most)
		if !slices.Equal(got, test.want) {
			t.Errorf("%q: %q, want %q", test.text, got, test.want)
		}
		for _, line := range got {
			if face.Width(line) > wide {
				t.Errorf("%q is too wide", line)
			}
		}
	}
	if got := wrap(face, "abc", 1, 2); !slices.Equal(got, []string{"…"}) {
		t.Errorf("no room: %q", got)
	}
}

func TestOneLine(t *testing.T) {
	for text, want := range map[string]string{
		"plain": "plain", " a \n b\t": "a b", "a\x00b\x1b[1mc\u0085d": "a b [1mc d", "\xff°": "\ufffd°", "\ufffe": "\ufffd",
	} {
		if got := oneLine(text); got != want {
			t.Errorf("%q: %q, want %q", text, got, want)
		}
	}
}
