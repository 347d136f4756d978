package figure

import (
	"bytes"
	"image/color"
	"math"
	"regexp"
	"slices"
	"strconv"
	"testing"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/recorder"
)

// mark is something that was painted: a line, or an area.
type mark struct {
	colour color.Color
	dashes []vg.Length // nil for an area
	area   bool
	path   vg.Path
}

// painted returns the lines and areas of a figure in the order in which they are
// painted, and where its frames lie.
func painted(t *testing.T, f *Figure) (*layout, []mark) {
	t.Helper()
	p := newSized(Size{900, 600})
	l, err := f.arrange(p)
	if err != nil {
		t.Fatal(err)
	}
	f.paint(p, l)
	var marks []mark
	var now mark
	for _, a := range p.Canvas.Canvas.(*sized).Actions {
		switch a := a.(type) {
		case *recorder.SetColor:
			now.colour = a.Color
		case *recorder.SetLineDash:
			now.dashes = a.Dashes
		case *recorder.Stroke:
			marks = append(marks, mark{now.colour, now.dashes, false, a.Path})
		case *recorder.Fill:
			marks = append(marks, mark{now.colour, nil, true, a.Path})
		}
	}
	return l, marks
}

// only returns the marks that a test asks for.
func only(marks []mark, want func(m mark) bool) []mark {
	return slices.DeleteFunc(slices.Clone(marks), func(m mark) bool { return !want(m) })
}

// ends reports whether a path begins and ends at the given places.
func ends(p vg.Path, x0, y0, x1, y1 vg.Length) bool {
	a, b := p[0].Pos, p[len(p)-1].Pos
	off := math.Max(math.Hypot(float64(a.X-x0), float64(a.Y-y0)), math.Hypot(float64(b.X-x1), float64(b.Y-y1)))
	return off < 1e-6
}

func TestPaintLinesAndLevels(t *testing.T) {
	f := several(2)
	f.Runs[1].Curves[0].Values[240] = math.NaN() // a gap, and with that two stretches
	l, marks := painted(t, f)
	fr := &l.panels[0].frame
	for i := range f.Runs {
		r, style := &f.Runs[i], runStyles[i]
		level := r.Curves[0].Level
		dotted := only(marks, func(m mark) bool { return m.colour == style.colour && slices.Equal(m.dashes, style.level().Dashes) })
		if len(dotted) != 1 || !ends(dotted[0].path, fr.x(level.From), fr.y(level.Value), fr.x(level.To), fr.y(level.Value)) {
			t.Errorf("run %d: levels %v", i, dotted)
		}
		lines := only(marks, func(m mark) bool { return m.colour == style.colour && !m.area && slices.Equal(m.dashes, style.dashes) })
		if len(lines) != 2+i { // stretches, and a piece beside the label
			t.Fatalf("run %d: %d lines", i, len(lines))
		}
		first, last := lines[0].path, lines[i].path
		if !ends(slices.Concat(first, last), fr.x(0), fr.y(22), fr.x(4800), fr.y(r.Curves[0].Values[480])) {
			t.Errorf("run %d: from %v to %v", i, first[0].Pos, last[len(last)-1].Pos)
		}
		key := lines[len(lines)-1].path
		if key[1].Pos.X-key[0].Pos.X != keyLength || key[0].Pos.X <= fr.Max.X {
			t.Errorf("run %d: the piece beside the label is %v", i, key)
		}
	}
}

// A label that had to move is led to, one just beside is not. Leaders are dotted and stay
// out of the frames, so that none passes for a line: to one that ends early there is none.
func TestPaintLeaders(t *testing.T) {
	leads := func(f *Figure) []mark {
		l, all := painted(t, f)
		fr := &l.panels[0].frame
		found := only(all, func(m mark) bool { return !m.area && m.colour == lead && len(m.dashes) > 0 })
		for _, m := range found {
			for _, at := range m.path {
				if at.Pos.X <= fr.Max.X || at.Pos.X >= fr.Max.X+leaderRoom {
					t.Errorf("a leader passes %v: the frame ends at %g, the labels begin %d behind", at.Pos, fr.Max.X, leaderRoom)
				}
			}
		}
		if n := len(only(all, func(m mark) bool {
			return !m.area && m.colour == lead && len(m.dashes) == 0 && m.path[0].Pos.Y > fr.Min.Y
		})); n > 0 {
			t.Errorf("%d solid leaders", n)
		}
		return found
	}
	if got := leads(several(1)); len(got) != 0 {
		t.Errorf("a lone label is led to: %v", got)
	}
	if got := leads(several(3)); len(got) != 3 {
		t.Errorf("three labels that were pushed apart: %d leaders", len(got))
	}
	f := several(3)
	f.Runs[1] = soak("stops at once", 20, 1, 10)
	if got := leads(f); len(got) != 2 {
		t.Errorf("two of three labels whose lines reach the end: %d leaders", len(got))
	}
}

// A run that stopped ends with a cross, one that is shorter with a dot, beside their
// labels too; others end plainly.
func TestPaintEnds(t *testing.T) {
	f := several(3)
	f.Runs[1], f.Runs[2] = soak("stopped", 20, 1, 10), soak("shorter", 20, 4000, 400)
	f.Runs[1].Broken = true
	l, all := painted(t, f)
	if l.shared >= 0 {
		t.Fatal("the loads are taken for one")
	}
	for run, want := range [][2]int{{0, 0}, {6, 0}, {0, 2}} { // strokes: two a cross, in the strip of the load too
		strokes := only(all, func(m mark) bool {
			return !m.area && m.colour == runStyles[run].colour && len(m.path) == 2 && len(m.dashes) == 0 && math.Abs(math.Abs(float64(m.path[1].Pos.Y-m.path[0].Pos.Y))-2*crossArm) < 1e-6
		})
		dots := only(all, func(m mark) bool { return m.area && m.colour == runStyles[run].colour })
		if len(strokes) != want[0] || len(dots) != want[1] {
			t.Errorf("run %d: %d strokes and %d dots, want %v", run, len(strokes), len(dots), want)
		}
		if run != 1 {
			continue
		}
		fr := &l.panels[0].frame
		found := slices.ContainsFunc(strokes, func(m mark) bool {
			x, y := fr.x(1), fr.y(f.Runs[1].Curves[0].Values[9])
			return ends(m.path, x-crossArm, y-crossArm, x+crossArm, y+crossArm)
		})
		if !found {
			t.Error("no cross where the run stopped")
		}
	}
}

// The key stands over the labels of the first panel alone, and moves with them.
func TestPaintKey(t *testing.T) {
	f := several(3)
	f.Key = "front thickness, front fans speed"
	f.Panels = append(f.Panels, Panel{"die", "°C"})
	for i := range f.Runs {
		f.Runs[i].Label = []Term{{Value: "45 mm"}}
		f.Runs[i].Curves = append(f.Runs[i].Curves, f.Runs[i].Curves[0])
	}
	l, _ := painted(t, f)
	if got, want := l.panels[0].key, []string{"front thickness,", "front fans speed"}; !slices.Equal(got, want) || l.panels[1].key != nil {
		t.Errorf("key %q and %q, want %q and none", got, l.panels[1].key, want)
	}
	p := &l.panels[0]
	if top := float64(p.labels[2].centre) + p.labels[2].height/2; math.Abs(float64(p.top)-p.keyHeight()-top) > 1e-6 {
		t.Errorf("the key begins at %g, the labels end at %g", float64(p.top)-p.keyHeight(), top)
	}
	content, err := f.SVG(Size{900, 600})
	if err != nil {
		t.Fatal(err)
	}
	if n := bytes.Count(content, []byte(">front thickness,<")); n != 1 {
		t.Errorf("the key is written %d times", n)
	}
	f.Runs[0].Curves[0].Values[480] = 40 // the highest by far
	l, _ = painted(t, f)
	p = &l.panels[0]
	if top := p.labels[2]; top.run != 0 || math.Abs(float64(top.centre-top.end.Y)) > p.keyHeight() {
		t.Errorf("the key moves the label of run %d from %g to %g", top.run, top.end.Y, top.centre)
	}
}

func TestPaintMeasured(t *testing.T) {
	f := several(1)
	c := &f.Runs[0].Curves[0]
	c.Measured = make([]float64, len(c.Values))
	for i := range c.Measured {
		c.Measured[i] = math.NaN()
	}
	c.Measured[100], c.Measured[300] = 41, 24
	l, marks := painted(t, f)
	rings := only(marks, func(m mark) bool {
		return !m.area && slices.ContainsFunc(m.path, func(c vg.PathComp) bool { return c.Type == vg.ArcComp })
	})
	if len(rings) != 2 {
		t.Fatalf("%d circles for 2 measured values", len(rings))
	}
	for k, row := range []int{100, 300} {
		centre := rings[k].path[1].Pos
		if x, y := l.panels[0].x(f.Runs[0].Times[row]), l.panels[0].y(c.Measured[row]); centre != (vg.Point{X: x, Y: y}) {
			t.Errorf("circle %d is at %v, not %g, %g", k, centre, x, y)
		}
	}
}

// A value between two gaps is a dot.
func TestPaintLoneValue(t *testing.T) {
	f := several(1)
	f.Runs[0] = Run{Times: []float64{60}, Curves: []Curve{{Values: []float64{25}}}}
	l, marks := painted(t, f)
	dots := only(marks, func(m mark) bool { return m.area && m.colour == runStyles[0].colour })
	if len(dots) != 1 || dots[0].path[1].Pos != (vg.Point{X: l.panels[0].x(60), Y: l.panels[0].y(25)}) {
		t.Errorf("dots %v", dots)
	}
}

// A load that all runs share is one band; loads that differ are a line each.
func TestPaintLoad(t *testing.T) {
	f := several(2)
	l, marks := painted(t, f)
	bands := only(marks, func(m mark) bool { return m.area && m.colour == fill })
	if len(bands) != 1 {
		t.Fatalf("%d bands", len(bands))
	}
	path := bands[0].path
	if a, b := path[1].Pos, path[0].Pos; a.Y != l.load.y(200) || b.Y != l.load.y(0) || a.X != l.load.x(0) {
		t.Errorf("the band begins at %v over %v", a, b)
	}
	for i := range f.Runs[1].Load {
		f.Runs[1].Load[i] /= 2
	}
	l, marks = painted(t, f)
	if bands := only(marks, func(m mark) bool { return m.area && m.colour == fill }); len(bands) != 0 {
		t.Errorf("loads that differ have %d bands", len(bands))
	}
	for i, load := range []vg.Length{l.load.y(200), l.load.y(100)} {
		lines := only(marks, func(m mark) bool { return m.colour == runStyles[i].colour && m.path[0].Pos.Y == load })
		if len(lines) != 1 || lines[0].path[len(lines[0].path)-1].Pos.X != l.load.x(4800) {
			t.Errorf("run %d: %d lines of its load", i, len(lines))
		}
	}
}

// Every text of a document says how wide it is drawn, and has a family to fall back on.
func TestSVGTextsKeepTheirWidth(t *testing.T) {
	f := several(2)
	content, err := f.SVG(Size{900, 600})
	if err != nil {
		t.Fatal(err)
	}
	p := newSized(Size{900, 600})
	l, err := f.arrange(p)
	if err != nil {
		t.Fatal(err)
	}
	f.paint(p, l)
	stated := regexp.MustCompile(`<text textLength="([0-9.]+)" lengthAdjust="spacingAndGlyphs" [^>]*\n\tstyle="font-family:'Liberation Sans',sans-serif;`).FindAllSubmatch(content, -1)
	if n := bytes.Count(content, []byte("<text")); len(stated) != n || n != len(p.widths) {
		t.Fatalf("%d of %d texts state their width, %d were written", len(stated), n, len(p.widths))
	}
	for i, m := range stated {
		width, err := strconv.ParseFloat(string(m[1]), 64)
		if err != nil || math.Abs(width-float64(p.widths[i])) > 0.006 {
			t.Errorf("text %d states %s, it is %g wide", i, m[1], p.widths[i])
		}
	}
}
