package figure

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/plot/vg"
)

// Distances on the paper, pt.
const (
	margin     = 15
	markGap    = 5  // from marks to the frame
	leaderRoom = 16 // from the frame to the key of a label
	keyLength  = 26 // long enough for the longest pattern of dashes once
	keyGap     = 5
	labelGap   = 2.5 // between labels
	panelGap   = 10
	leastPanel = 55
	leastWidth = 140
	labelLines = 2
	widest     = 0.22 // of the paper, for the texts of labels
	crossArm   = 2.8  // of the cross where a run stopped
	dotRadius  = 2    // of the dot where one ends before others
	keySpace   = 3    // under the key of the labels
)

// label names a line where it ends.
type label struct {
	run    int
	text   []string
	end    vg.Point // of the line
	early  bool     // it ends before the frame does
	broken bool     // its run stopped
	height float64
	centre vg.Length // where it stands
}

// panel is one panel on the paper.
type panel struct {
	frame
	heading string
	levels  extent    // of the levels that are shown
	labels  []label   // from the bottom up
	key     []string  // over the labels; the first panel's alone
	top     vg.Length // where the key ends
}

// layout says where everything lies.
type layout struct {
	title  []string
	foot   []string
	panels []panel
	load   *frame // nil where no load is known
	says   string // over it
	shared int    // the run whose load stands for all, -1 where they differ
	hidden bool   // a level lies too far off to be shown
}

// extent is the range of some values; the zero value is of none.
type extent struct {
	low, high float64
	some      bool
}

func (e *extent) add(values ...float64) {
	for _, v := range values {
		if v != v {
			continue
		}
		if !e.some {
			e.low, e.high, e.some = v, v, true
		}
		e.low, e.high = min(e.low, v), max(e.high, v)
	}
}

// arrange finds the place of everything on a paper of the given size, pt.
func (f *Figure) arrange(p *pen) (*layout, error) {
	l := &layout{shared: -1, panels: make([]panel, len(f.Panels))}
	paper := p.Rectangle
	inner := vg.Rectangle{Min: vg.Point{X: margin, Y: margin}, Max: vg.Point{X: paper.Max.X - margin, Y: paper.Max.Y - margin}}
	l.title = wrap(p.letter(titleSize, true), oneLine(f.Title), inner.Size().X, 2)
	var times extent
	for i := range f.Runs {
		times.add(f.Runs[i].Times[0], f.Runs[i].end())
	}
	values := f.extents(l, briefest*(times.high-times.low))
	l.foot = wrap(p.letter(footSize, false), f.footText(l, times), inner.Size().X, 2)

	if len(l.title) > 0 {
		inner.Max.Y -= vg.Length(len(l.title))*titleSize*leading + panelGap
	}
	inner.Min.Y += vg.Length(len(l.foot))*footSize*leading + 2*markSize*leading + markGap
	labels, width := f.labels(p, widest*paper.Max.X)
	key, column := f.keyLines(p, keyLength+keyGap+width, keyLength+keyGap+widest*paper.Max.X)
	l.panels[0].key = key
	outer := inner
	inner.Max.X -= leaderRoom + column
	l.split(inner, f.hasLoad())

	left := f.scales(p, l, values)
	if outer.Min.X+left+leastWidth > inner.Max.X {
		return nil, fmt.Errorf("the picture is too narrow for its labels: make it at least %d wide", pixels(paper.Max.X+outer.Min.X+left+leastWidth-inner.Max.X))
	}
	time, unit := timeScale(times.low, times.high, max(2, int((inner.Max.X-inner.Min.X-left)/48)))
	for _, fr := range l.frames() {
		fr.Min.X += left
		fr.time, fr.unit = time, unit
	}
	if short := l.put(f, labels, times); short > 0 {
		return nil, fmt.Errorf("the picture is too low for its panels and labels: make it at least %d high", pixels(paper.Max.Y+short))
	}
	return l, nil
}

// early reports whether the line of run i in panel k ends before those times do, by more
// than can be overlooked.
func (f *Figure) early(i, k int, times extent) bool {
	const share = 0.003 // of the width
	r := &f.Runs[i]
	last := r.Curves[k].last()
	return last >= 0 && times.high-r.Times[last] > share*(times.high-times.low)
}

// pixels rounds a length up to whole pixels.
func pixels(x vg.Length) int { return int(math.Ceil(float64(x / pixel))) }

// frames returns the frames of panels and load.
func (l *layout) frames() []*frame {
	var all []*frame
	for k := range l.panels {
		all = append(all, &l.panels[k].frame)
	}
	if l.load != nil {
		all = append(all, l.load)
	}
	return all
}

// split shares the paper among the panels and a strip for the load below them. Each
// has a line of text over it.
func (l *layout) split(r vg.Rectangle, load bool) {
	const heading = markSize*leading + 4
	bottom, n := r.Min.Y, vg.Length(len(l.panels))
	if load {
		height := max(30, 0.11*(r.Max.Y-r.Min.Y))
		l.load = &frame{Rectangle: vg.Rectangle{Min: r.Min, Max: vg.Point{X: r.Max.X, Y: bottom + height}}}
		bottom += height + heading + panelGap
	}
	height := (r.Max.Y-bottom-(n-1)*panelGap)/n - heading
	for k := range l.panels {
		top := r.Max.Y - vg.Length(k)*(height+heading+panelGap) - heading
		l.panels[k].Rectangle = vg.Rectangle{Min: vg.Point{X: r.Min.X, Y: top - height}, Max: vg.Point{X: r.Max.X, Y: top}}
	}
}

// scales gives every frame the scale of its values and returns the width of the widest
// mark, with its gap.
func (f *Figure) scales(p *pen, l *layout, values []extent) (left vg.Length) {
	for k := range l.panels {
		fr := &l.panels[k]
		fr.heading = heading(f.Panels[k])
		fr.value = newScale(values[k].low, values[k].high, marksIn(fr.Rectangle, 21))
	}
	if l.load != nil {
		f.scaleLoad(l)
	}
	face := p.letter(markSize, false)
	for _, fr := range l.frames() {
		for _, m := range fr.value.marks {
			left = max(left, face.Width(fr.value.text(m))+markGap)
		}
	}
	return left
}

// scaleLoad gives the strip of the load its scale, and finds whether one load stands
// for all.
func (f *Figure) scaleLoad(l *layout) {
	var e extent
	for i := range f.Runs {
		e.add(f.Runs[i].Load...)
	}
	l.load.value = loadScale(e.low, e.high, marksIn(l.load.Rectangle, 13))
	l.says = "requested power, W"
	longest, differ := f.sharedLoad()
	most := max(e.high, -e.low)
	if differ > likeLoad*most {
		return
	}
	l.shared = longest
	if differ > likeLoad/10*most {
		l.says += fmt.Sprintf(" (of one run; others differ by up to %.0f W)", math.Ceil(differ))
	}
}

// marksIn returns how many marks a frame has room for.
func marksIn(r vg.Rectangle, each vg.Length) int { return max(2, int((r.Max.Y-r.Min.Y)/each)) }

// heading names a panel and its unit.
func heading(p Panel) string {
	name, unit := oneLine(p.Name), oneLine(p.Unit)
	if unit != "" {
		name += ", " + unit
	}
	return name
}

// briefest is the shortest phase whose level is drawn, over the time that is shown: the
// level of a burst would be a speck.
const briefest = 0.01

// extents returns the range of each panel and finds which levels are in it: those of
// phases that are not brief (s) with which the lines keep a third of the height.
func (f *Figure) extents(l *layout, brief float64) []extent {
	all := make([]extent, len(f.Panels))
	for k := range all {
		var e extent
		for i := range f.Runs {
			e.add(f.Runs[i].Curves[k].Values...)
			e.add(f.Runs[i].Curves[k].Measured...)
		}
		most := 3 * max(e.high-e.low, leastSpan)
		levels := &l.panels[k].levels
		for i := range f.Runs {
			level := f.Runs[i].Curves[k].Level
			switch {
			case level == nil || level.To-level.From < brief:
			case max(e.high, level.Value)-min(e.low, level.Value) > most:
				l.hidden = true
			default:
				levels.add(level.Value)
			}
		}
		if levels.some {
			e.add(levels.low, levels.high)
		}
		all[k] = e
	}
	return all
}

// shows reports whether a level is on the paper.
func (p *panel) shows(level *Level) bool {
	brief := briefest * (p.time.high - p.time.low) * p.unit.seconds
	return level != nil && level.To-level.From >= brief && p.levels.some && p.levels.low <= level.Value && level.Value <= p.levels.high
}

// hasLoad reports whether the load of any run is known.
func (f *Figure) hasLoad() bool {
	return slices.ContainsFunc(f.Runs, func(r Run) bool { return r.Load != nil })
}

// labels returns the text of each run's label, for each panel, and the greatest width.
func (f *Figure) labels(p *pen, most vg.Length) (texts [][][]string, width vg.Length) {
	face := p.letter(labelSize, false)
	texts = make([][][]string, len(f.Panels))
	for k := range texts {
		for i := range f.Runs {
			terms := f.Runs[i].Label
			if labelText(terms) == "" {
				terms = []Term{{Name: f.Panels[k].Name}}
			}
			lines := wrapLabel(face, terms, most, labelLines)
			for _, line := range lines {
				width = max(width, face.Width(line))
			}
			texts[k] = append(texts[k], lines)
		}
	}
	return texts, width
}

// put places the labels of every panel. Where the paper is too low it returns by how
// much, pt.
func (l *layout) put(f *Figure, texts [][][]string, times extent) (short vg.Length) {
	for k := range l.panels {
		fr := &l.panels[k]
		need := fr.keyHeight()
		for i := range f.Runs {
			c := &f.Runs[i].Curves[k]
			last := c.last()
			if last < 0 {
				continue
			}
			lab := label{run: i, text: texts[k][i], end: vg.Point{X: fr.x(f.Runs[i].Times[last]), Y: fr.y(c.Values[last])}}
			lab.early, lab.broken = f.early(i, k, times), f.Runs[i].Broken
			lab.height = float64(len(lab.text))*labelSize*leading + labelGap
			need += lab.height
			fr.labels = append(fr.labels, lab)
		}
		lack := max(vg.Length(need), leastPanel) - (fr.Max.Y - fr.Min.Y)
		if lack > 0 {
			short = max(short, lack*vg.Length(len(l.panels))/0.85) // the strip of the load grows too
			continue
		}
		fr.apart(f, k)
	}
	return short
}

// apart orders the labels of panel k by where their lines end, those that end together
// by how high they have been, and moves them apart.
func (p *panel) apart(f *Figure, k int) {
	slices.SortStableFunc(p.labels, func(a, b label) int {
		return cmp.Or(
			cmp.Compare(math.Round(float64(a.end.Y)), math.Round(float64(b.end.Y))),
			cmp.Compare(f.Runs[a.run].Curves[k].highest(), f.Runs[b.run].Curves[k].highest()),
			cmp.Compare(b.run, a.run))
	})
	want, size := make([]float64, len(p.labels)), make([]float64, len(p.labels))
	for i, lab := range p.labels {
		want[i], size[i] = math.Round(float64(lab.end.Y)), lab.height
	}
	if n := len(want); len(p.key) > 0 && n > 0 {
		want, size = append(want, want[n-1]), append(size, p.keyHeight())
	}
	for i, y := range place(want, size, float64(p.Min.Y), float64(p.Max.Y)) {
		if i == len(p.labels) {
			p.top = vg.Length(y + size[i]/2)
			continue
		}
		p.labels[i].centre = vg.Length(y)
	}
}

// keyHeight returns what the key takes of the height, pt.
func (p *panel) keyHeight() float64 {
	if len(p.key) == 0 {
		return 0
	}
	return float64(len(p.key))*markSize*leading + keySpace
}
