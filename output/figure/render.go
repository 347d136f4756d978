package figure

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// pixel is the length of one, pt: a 96th of an inch, as in CSS.
const pixel = vg.Length(0.75)

// Size of a picture in pixels of 1/96 inch. Letters and lines have one size whatever
// the picture's. The zero value is 1120 by 700.
type Size struct{ Width, Height int }

// Bounds of a picture's sides, in pixels.
const (
	leastSide = 100
	mostSide  = 5000
)

func (s Size) check() error {
	if min(s.Width, s.Height) < leastSide || max(s.Width, s.Height) > mostSide {
		return fmt.Errorf("a picture of %d by %d pixels: want %d to %d each way", s.Width, s.Height, leastSide, mostSide)
	}
	return nil
}

// orDefault returns the size that is meant.
func (s Size) orDefault() Size {
	if s == (Size{}) {
		return Size{Width: 1120, Height: 700}
	}
	return s
}

// PNG returns the figure as a PNG of the given size.
func (f *Figure) PNG(s Size) ([]byte, error) {
	var c *vgimg.Canvas
	_, err := f.draw(s, func(w, h vg.Length) vg.CanvasSizer {
		c = vgimg.New(w, h)
		return c
	})
	var out bytes.Buffer
	if err == nil {
		_, err = vgimg.PngCanvas{Canvas: c}.WriteTo(&out)
	}
	if err != nil {
		return nil, fmt.Errorf("figure: PNG: %w", err)
	}
	return out.Bytes(), nil
}

// SVG returns the figure as an SVG document of the given size. Its texts are texts: in
// the font for which they were laid out if the reader has it, else in another that is
// drawn to the same length.
func (f *Figure) SVG(s Size) ([]byte, error) {
	var c *vgsvg.Canvas
	p, err := f.draw(s, func(w, h vg.Length) vg.CanvasSizer {
		c = vgsvg.New(w, h)
		return c
	})
	var out bytes.Buffer
	if err == nil {
		_, err = c.WriteTo(&out)
	}
	var refined []byte
	if err == nil {
		refined, err = refine(out.Bytes(), oneLine(f.Title), p.widths)
	}
	if err != nil {
		return nil, fmt.Errorf("figure: SVG: %w", err)
	}
	return refined, nil
}

// draw checks, arranges and paints the figure on a new canvas.
func (f *Figure) draw(s Size, canvas func(w, h vg.Length) vg.CanvasSizer) (*pen, error) {
	s = s.orDefault()
	if err := errors.Join(s.check(), f.check()); err != nil {
		return nil, err
	}
	p := newPen(canvas(vg.Length(s.Width)*pixel, vg.Length(s.Height)*pixel))
	l, err := f.arrange(p)
	if err != nil {
		return nil, err
	}
	f.paint(p, l)
	return p, nil
}

// refine adds to an SVG document what the canvas leaves out: a title for those who
// cannot see it, for each of its texts the width for which there is room, and a family
// to fall back on where the font is missing.
func refine(svg []byte, title string, widths []vg.Length) ([]byte, error) {
	// Texts hold no < and no quotes: they are escaped.
	pieces := bytes.Split(svg, []byte("<text "))
	start, group := bytes.Index(pieces[0], []byte("<svg ")), bytes.Index(pieces[0], []byte("<g "))
	if start < 0 || group < start || len(pieces) != len(widths)+1 {
		return nil, errors.New("the document is not as it should be")
	}
	var out bytes.Buffer
	out.WriteString("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n")
	out.Write(pieces[0][start:group])
	out.WriteString("<title>")
	if err := xml.EscapeText(&out, []byte(title)); err != nil {
		return nil, err
	}
	out.WriteString("</title>\n")
	out.Write(pieces[0][group:])
	for i, text := range pieces[1:] {
		fmt.Fprintf(&out, `<text textLength="%.2f" lengthAdjust="spacingAndGlyphs" `, float64(widths[i]))
		const family = `"font-family:Liberation Sans;`
		out.Write(bytes.Replace(text, []byte(family), []byte(`"font-family:'Liberation Sans',sans-serif;`), 1))
	}
	return out.Bytes(), nil
}
