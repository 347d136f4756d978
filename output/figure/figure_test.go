package figure

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/recorder"
	"pgregory.net/rapid"
)

// sized lets a figure be arranged and painted without a file.
type sized struct {
	recorder.Canvas
	w, h vg.Length
}

func (s *sized) Size() (w, h vg.Length) { return s.w, s.h }

func newSized(s Size) *pen {
	return newPen(&sized{w: vg.Length(s.Width) * pixel, h: vg.Length(s.Height) * pixel})
}

// soak returns a run that warms up for half of its time, with a time constant of a
// fifth of that, and cools down.
func soak(label string, rise, length float64, rows int) Run {
	r := Run{Label: named(label), Curves: make([]Curve, 1)}
	half := length / 2
	for i := range rows {
		t := length * float64(i) / float64(rows-1)
		v, load := rise*(1-math.Exp(-5*t/half)), 200.0
		if t >= half {
			v, load = rise*math.Exp(-5*(t-half)/half), 20
		}
		r.Times = append(r.Times, t)
		r.Curves[0].Values = append(r.Curves[0].Values, 22+v)
		r.Load = append(r.Load, load)
	}
	r.Curves[0].Level = &Level{Value: 22 + rise, From: 0, To: half}
	return r
}

// named is a label of a name alone.
func named(label string) []Term { return []Term{{Name: label}} }

// several returns a figure of n runs.
func several(n int) *Figure {
	f := &Figure{Title: "Bench & table", Note: "engine 1", Panels: []Panel{{"coolant", "°C"}}}
	for i := range n {
		f.Runs = append(f.Runs, soak(fmt.Sprintf("run %d, fans at %d <rpm>", i, 500+100*i), 20-2*float64(i), 4800, 481))
	}
	return f
}

func TestPNG(t *testing.T) {
	for _, n := range []int{1, 2, 5, 8} {
		f := several(n)
		content, err := f.PNG(Size{900, 600})
		if err != nil {
			t.Fatal(err)
		}
		picture, err := png.Decode(bytes.NewReader(content))
		if err != nil {
			t.Fatal(err)
		}
		if b := picture.Bounds(); b.Dx() != 900 || b.Dy() != 600 {
			t.Errorf("%d runs: %d by %d pixels, want 900 by 600", n, b.Dx(), b.Dy())
		}
		again, err := several(n).PNG(Size{900, 600})
		if err != nil || !bytes.Equal(content, again) {
			t.Errorf("%d runs: drawn twice, the bytes differ (%v)", n, err)
		}
		// The line of the last run, at the top of its warm-up, is where it should be.
		l, err := f.arrange(newSized(Size{900, 600}))
		if err != nil {
			t.Fatal(err)
		}
		fr := &l.panels[0].frame
		x, y := fr.x(2395), fr.y(22+20-2*float64(n-1))
		if !near(picture, int(x/pixel), 600-int(y/pixel), runStyles[n-1].colour, 8) {
			t.Errorf("%d runs: no line at %g, %g", n, x, y)
		}
		if near(picture, int(x/pixel), 600-int(fr.y(21.5)/pixel), runStyles[n-1].colour, 4) {
			t.Errorf("%d runs: a line where there is none", n)
		}
	}
}

// near reports whether a pixel within a distance has about the colour.
func near(m image.Image, x, y int, c color.RGBA, distance int) bool {
	for i := x - distance; i <= x+distance; i++ {
		for k := y - 2; k <= y+2; k++ {
			r, g, b, _ := m.At(i, k).RGBA()
			off := math.Abs(float64(r>>8)-float64(c.R)) + math.Abs(float64(g>>8)-float64(c.G)) + math.Abs(float64(b>>8)-float64(c.B))
			if off < 30 {
				return true
			}
		}
	}
	return false
}

// svgTexts parses a document as strict XML and returns its texts.
func svgTexts(t *testing.T, content []byte) (texts []string, title string) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(content))
	open := ""
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return texts, title
		}
		if err != nil {
			t.Fatalf("no well-formed XML: %v", err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			open = token.Name.Local
			for _, a := range token.Attr {
				if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
					t.Errorf("%s has %s=%q", open, a.Name.Local, a.Value)
				}
			}
		case xml.EndElement:
			open = ""
		case xml.CharData:
			switch open {
			case "text":
				texts = append(texts, string(token))
			case "title":
				title = string(token)
			}
		}
	}
}

func TestSVG(t *testing.T) {
	for _, n := range []int{1, 2, 5, 8} {
		f := several(n)
		content, err := f.SVG(Size{})
		if err != nil {
			t.Fatal(err)
		}
		texts, title := svgTexts(t, content)
		all := strings.Join(texts, "|")
		if title != f.Title {
			t.Errorf("%d runs: the title is %q", n, title)
		}
		want := []string{"Bench & table", "coolant, °C", "requested power, W", "time, min", "|40|", "calculated, not measured; dotted: the level under the load; engine 1"}
		for _, r := range f.Runs {
			want = append(want, labelText(r.Label))
		}
		for _, w := range want {
			if !strings.Contains(all, w) {
				t.Errorf("%d runs: %q is not in the picture: %s", n, w, all)
			}
		}
		if again, err := several(n).SVG(Size{}); err != nil || !bytes.Equal(content, again) {
			t.Errorf("%d runs: drawn twice, the bytes differ (%v)", n, err)
		}
	}
}

// Texts of any content make well-formed documents, and cannot pass for markup.
func TestSVGTextsProperty(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		text := func(name string) string {
			return rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", `a"b'c`, "</text><text ", "\x00\x1f\xff", "<g <svg ]]>", "\"font-family:Liberation Sans;", "\ufffe\uffff\u0085", strings.Repeat("long ", 80)})).Draw(rt, name)
		}
		f := several(2)
		f.Title, f.Note, f.Panels[0].Name, f.Panels[0].Unit = text("title"), text("note"), text("panel"), text("unit")
		f.Key, f.Runs[0].Label, f.Runs[1].Label = text("key"), named(text("label")), []Term{{text("name"), text("value")}}
		content, err := f.SVG(Size{})
		if err != nil {
			rt.Fatal(err)
		}
		if _, title := svgTexts(t, content); title != oneLine(f.Title) {
			rt.Fatalf("the title %q became %q", f.Title, title)
		}
	})
}

// anyFigure draws a figure of random runs: of different lengths, with gaps, loads that
// differ, levels and measured values.
func anyFigure(t *rapid.T) *Figure {
	f := &Figure{Title: "Any"}
	for k := range rapid.IntRange(1, MaxPanels).Draw(t, "panels") {
		f.Panels = append(f.Panels, Panel{Name: fmt.Sprintf("column %d", k), Unit: "W"})
	}
	label := rapid.SampledFrom([][]Term{nil, named("a"), {{Value: "run 7"}}, {{"front fans", "1000 rpm"}, {"front thickness", "45 mm"}}, named("An evening of eight matches with loading screens and lobbies and much more")})
	f.Key = rapid.SampledFrom([]string{"", "front fans speed", "front thickness, front fans speed, reservoir 1 volume in the lower half of the case"}).Draw(t, "key")
	for range rapid.IntRange(1, MaxRuns).Draw(t, "runs") {
		r := Run{Label: label.Draw(t, "label"), Broken: rapid.Bool().Draw(t, "broken")}
		at := rapid.Float64Range(-1e3, 1e5).Draw(t, "start")
		rows := rapid.IntRange(1, 40).Draw(t, "rows")
		for range rows {
			r.Times = append(r.Times, at)
			at += rapid.Float64Range(0.01, 2e3).Draw(t, "step")
		}
		values := func(name string) []float64 {
			return rapid.SliceOfN(rapid.OneOf(rapid.Just(math.NaN()), rapid.Float64Range(-50, 90), rapid.Float64Range(20, 20.01)), rows, rows).Draw(t, name)
		}
		for range f.Panels {
			c := Curve{Values: values("values")}
			c.Values[0] = 20
			if rapid.Bool().Draw(t, "is measured") {
				c.Measured = values("measured")
			}
			if rapid.Bool().Draw(t, "has a level") {
				c.Level = &Level{rapid.Float64Range(-500, 500).Draw(t, "level"), r.Times[0] - 1, r.Times[0] + 1e4}
			}
			r.Curves = append(r.Curves, c)
		}
		if rapid.Bool().Draw(t, "has a load") {
			r.Load = rapid.SliceOfN(rapid.Float64Range(-10, 900), rows, rows).Draw(t, "load")
		}
		f.Runs = append(f.Runs, r)
	}
	return f
}

// Whatever is drawn lies on the paper, and the labels of a panel lie inside its height,
// apart, in the order in which their lines end.
func TestLayoutProperty(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		f := anyFigure(rt)
		size := Size{rapid.IntRange(500, 2000).Draw(rt, "width"), rapid.IntRange(300, 1500).Draw(rt, "height")}
		p := newSized(size)
		l, err := f.arrange(p)
		if err != nil { // too small, and TestLeastSize has what it asks for
			if !strings.Contains(err.Error(), "make it at least") {
				rt.Fatal(err)
			}
			return
		}
		for k := range l.panels {
			checkLabels(rt, &l.panels[k], len(f.Runs))
		}
		f.paint(p, l)
		checkOnPaper(rt, p)
	})
}

func checkLabels(t *rapid.T, p *panel, runs int) {
	if len(p.labels) != runs {
		t.Fatalf("%d labels for %d runs", len(p.labels), runs)
	}
	bottom, end := float64(p.Min.Y), vg.Length(math.Inf(-1))
	for _, lab := range p.labels {
		if got := float64(lab.centre) - lab.height/2; got < bottom-1e-6 {
			t.Fatalf("the label of run %d begins at %g, below %g", lab.run, got, bottom)
		}
		if lab.end.Y < end-1 { // ends are told apart by whole points
			t.Fatalf("the label of run %d is out of order", lab.run)
		}
		bottom, end = float64(lab.centre)+lab.height/2, lab.end.Y
	}
	if len(p.key) > 0 {
		if got := float64(p.top) - p.keyHeight(); got < bottom-1e-6 {
			t.Fatalf("the key begins at %g, below %g", got, bottom)
		}
		bottom = float64(p.top)
	}
	if bottom > float64(p.Max.Y)+1e-6 {
		t.Fatalf("the labels end at %g, above %g", bottom, p.Max.Y)
	}
}

// checkOnPaper looks at all that was recorded: lines within the paper, texts too, for
// their whole width.
func checkOnPaper(t *rapid.T, p *pen) {
	inside := func(what string, x, y vg.Length) {
		if !(x >= -0.01 && y >= -0.01 && x <= p.Max.X+0.01 && y <= p.Max.Y+0.01) {
			t.Fatalf("%s at %g, %g is off the paper of %g by %g", what, x, y, p.Max.X, p.Max.Y)
		}
	}
	text := 0
	for _, a := range p.Canvas.Canvas.(*sized).Actions {
		switch a := a.(type) {
		case *recorder.Stroke:
			for _, c := range a.Path {
				inside("a line", c.Pos.X, c.Pos.Y)
			}
		case *recorder.Fill:
			for _, c := range a.Path {
				inside("an area", c.Pos.X, c.Pos.Y)
			}
		case *recorder.FillString:
			inside("the start of "+a.String, a.Point.X, a.Point.Y)
			inside("the end of "+a.String, a.Point.X+p.widths[text], a.Point.Y+vg.Length(a.Size))
			text++
		}
	}
	if text < 5 || text != len(p.widths) {
		t.Fatalf("%d texts", text)
	}
}
