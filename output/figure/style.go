package figure

import (
	"image/color"
	"strings"

	stdfont "golang.org/x/image/font"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/font/liberation"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Colours of everything that is no run.
var (
	ink   = color.RGBA{0x22, 0x22, 0x22, 0xff} // texts that matter
	faint = color.RGBA{0x5c, 0x5c, 0x5c, 0xff} // marks, foot
	hair  = color.RGBA{0xdd, 0xdd, 0xdd, 0xff} // lines of the grid
	lead  = color.RGBA{0x7a, 0x7a, 0x7a, 0xff} // from a line's end to its label
	fill  = color.RGBA{0xe6, 0xe2, 0xda, 0xff} // under a load that all runs share
	edge  = color.RGBA{0x7d, 0x76, 0x69, 0xff} // over it
)

// runStyle is how the lines of a run look.
type runStyle struct {
	colour color.RGBA
	width  vg.Length
	dashes []vg.Length
}

// runStyles are those of runs in their order: dark and lighter ones in turn, so that
// neighbours differ in grey too; their dashes tell all of them apart.
var runStyles = [MaxRuns]runStyle{
	{color.RGBA{0x14, 0x2c, 0x54, 0xff}, 1.5, nil},
	{color.RGBA{0xc2, 0x58, 0x1a, 0xff}, 1.5, []vg.Length{7, 2.5}},
	{color.RGBA{0x1f, 0x5c, 0x4d, 0xff}, 1.6, []vg.Length{1.8, 1.8}},
	{color.RGBA{0x7f, 0x72, 0xc4, 0xff}, 1.5, []vg.Length{9, 2, 1.8, 2}},
	{color.RGBA{0x6b, 0x1a, 0x2e, 0xff}, 1.5, []vg.Length{4, 2}},
	{color.RGBA{0x3c, 0x8d, 0xa8, 0xff}, 2.0, []vg.Length{2, 3.6}},
	{color.RGBA{0x47, 0x3f, 0x1c, 0xff}, 1.4, []vg.Length{8, 2, 1.8, 2, 1.8, 2}},
	{color.RGBA{0x8f, 0x7a, 0x1e, 0xff}, 1.5, []vg.Length{14, 4}},
}

// line returns the style of the curves of run i.
func (s *runStyle) line() draw.LineStyle {
	return draw.LineStyle{Color: s.colour, Width: s.width, Dashes: s.dashes}
}

// level returns the style of its levels.
func (s *runStyle) level() draw.LineStyle {
	return draw.LineStyle{Color: s.colour, Width: 0.7, Dashes: []vg.Length{0.8, 2.2}}
}

// plain returns a line without dashes.
func plain(c color.Color, width vg.Length) draw.LineStyle {
	return draw.LineStyle{Color: c, Width: width}
}

// pen draws lines and texts.
type pen struct {
	draw.Canvas
	fonts  *font.Cache
	widths []vg.Length // of all texts, in the order in which they were written
}

func newPen(c vg.CanvasSizer) *pen {
	return &pen{Canvas: draw.New(c), fonts: font.NewCache(liberation.Collection())}
}

// Sizes of letters, pt.
const (
	titleSize = 13
	labelSize = 9.5
	markSize  = 8.5
	footSize  = 7.5
)

// leading is the height of a line of text over the size of its letters.
const leading = 1.22

// letter is a face of the one family that is used.
func (p *pen) letter(size vg.Length, bold bool) font.Face {
	f := font.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
	if bold {
		f.Weight = stdfont.WeightBold
	}
	return p.fonts.Lookup(f, size)
}

// text writes a line of text. share of its width (0 to 1) lies left of the point at
// its base line.
func (p *pen) text(face font.Face, c color.Color, at vg.Point, share vg.Length, s string) {
	width := face.Width(s)
	at.X -= share * width
	p.widths = append(p.widths, width)
	p.SetColor(c)
	p.FillString(face, at, s)
}

// wrap breaks a text at spaces into at most so many lines of the given width. What
// does not fit is cut off, with three dots.
func wrap(face font.Face, s string, width vg.Length, most int) []string {
	words := strings.Fields(s)
	var lines []string
	for len(words) > 0 && len(lines) < most {
		n := 1
		for n < len(words) && face.Width(strings.Join(words[:n+1], " ")) <= width {
			n++
		}
		if len(lines) == most-1 {
			n = len(words)
		}
		lines = append(lines, cut(face, strings.Join(words[:n], " "), width))
		words = words[n:]
	}
	return lines
}

// cut shortens a text to a width.
func cut(face font.Face, s string, width vg.Length) string {
	if face.Width(s) <= width {
		return s
	}
	runes := []rune(s)
	for n := len(runes) - 1; n > 0; n-- {
		if short := strings.TrimRight(string(runes[:n]), " ,;:") + "…"; face.Width(short) <= width {
			return short
		}
	}
	return "…"
}

// oneLine makes a text fit for one line and for XML.
func oneLine(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r < ' ' || 0x7f <= r && r <= 0x9f:
			return ' '
		case r == 0xfffe || r == 0xffff:
			return '\ufffd'
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd"))
	return strings.Join(strings.Fields(s), " ")
}
