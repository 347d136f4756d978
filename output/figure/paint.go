package figure

import (
	"image/color"
	"math"
	"strings"

	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// paint draws the figure.
func (f *Figure) paint(p *pen, l *layout) {
	// White paper: an SVG would let the page behind shine through.
	p.FillPolygon(color.White, []vg.Point{p.Min, {X: p.Max.X, Y: p.Min.Y}, p.Max, {X: p.Min.X, Y: p.Max.Y}})
	at := vg.Point{X: margin, Y: p.Max.Y - margin - titleSize}
	for _, s := range l.title {
		p.text(p.letter(titleSize, true), ink, at, 0, s)
		at.Y -= titleSize * leading
	}
	p.key(&l.panels[0])
	for k := range l.panels {
		p.grid(&l.panels[k].frame, l.panels[k].heading)
		f.paintPanel(p, l, k)
	}
	if l.load != nil {
		p.grid(l.load, l.says)
		f.paintLoad(p, l)
	}
	frames := l.frames()
	p.clock(frames[len(frames)-1])
	at = vg.Point{X: margin, Y: margin + vg.Length(len(l.foot)-1)*footSize*leading}
	for _, s := range l.foot {
		p.text(p.letter(footSize, false), faint, at, 0, s)
		at.Y -= footSize * leading
	}
}

// grid draws the lines and marks of a frame, and what it shows over it.
func (p *pen) grid(f *frame, heading string) {
	p.text(p.letter(markSize, true), ink, vg.Point{X: f.Min.X, Y: f.Max.Y + 5}, 0, heading)
	for _, m := range f.time.marks {
		x := f.x(m * f.unit.seconds)
		p.StrokeLine2(plain(hair, 0.5), x, f.Min.Y, x, f.Max.Y)
	}
	face := p.letter(markSize, false)
	for _, m := range f.value.marks {
		y := f.y(m)
		p.StrokeLine2(plain(hair, 0.5), f.Min.X, y, f.Max.X, y)
		p.text(face, faint, vg.Point{X: f.Min.X - markGap, Y: y - middle*markSize}, 1, f.value.text(m))
	}
}

// middle is how far the middle of a digit is over its base line, over the size of the
// letters.
const middle = 0.35

// clock marks the time under the lowest frame.
func (p *pen) clock(f *frame) {
	p.StrokeLine2(plain(lead, 0.7), f.Min.X, f.Min.Y, f.Max.X, f.Min.Y)
	face := p.letter(markSize, false)
	y := f.Min.Y - markGap - markSize
	for _, m := range f.time.marks {
		x := f.x(m * f.unit.seconds)
		p.StrokeLine2(plain(lead, 0.7), x, f.Min.Y, x, f.Min.Y-3)
		p.text(face, faint, vg.Point{X: x, Y: y}, 0.5, f.time.text(m))
	}
	p.text(p.letter(markSize, true), ink, vg.Point{X: f.Max.X + leaderRoom, Y: y}, 0, "time, "+f.unit.name)
}

// paintPanel draws what is measured, the levels, the lines and their labels.
func (f *Figure) paintPanel(p *pen, l *layout, k int) {
	fr := &l.panels[k]
	for i := range f.Runs {
		run, style := &f.Runs[i], &runStyles[i]
		for _, at := range fr.sparse(run.Times, run.Curves[k].Measured, 6) {
			p.ring(at, plain(style.colour, 0.7))
		}
		if level := run.Curves[k].Level; fr.shows(level) {
			from, to := max(fr.Min.X, fr.x(level.From)), min(fr.Max.X, fr.x(level.To))
			p.StrokeLine2(style.level(), from, fr.y(level.Value), to, fr.y(level.Value))
		}
	}
	for i := range fr.labels {
		p.leader(&fr.frame, &fr.labels[i])
	}
	for i := range f.Runs {
		p.curve(fr.lines(f.Runs[i].Times, f.Runs[i].Curves[k].Values), runStyles[i].line())
	}
	for i := range fr.labels {
		p.label(&fr.frame, &fr.labels[i])
	}
}

// curve draws the stretches of a line; one of a single point is a dot.
func (p *pen) curve(stretches [][]vg.Point, style draw.LineStyle) {
	p.StrokeLines(style, stretches...)
	for _, s := range stretches {
		if len(s) == 1 {
			p.SetColor(style.Color)
			p.Fill(circle(s[0], style.Width))
		}
	}
}

// ring draws a measured point.
func (p *pen) ring(at vg.Point, style draw.LineStyle) {
	p.SetLineStyle(style)
	p.Stroke(circle(at, 1.7))
}

func circle(at vg.Point, radius vg.Length) vg.Path {
	var path vg.Path
	path.Move(vg.Point{X: at.X + radius, Y: at.Y})
	path.Arc(at, radius, 0, 2*math.Pi)
	path.Close()
	return path
}

// leader leads from where a line leaves the frame to its label, if that is not just
// beside. To a line that ends early nothing leads: a stroke across the frame would read
// as data, and its end is marked here and there.
func (p *pen) leader(f *frame, lab *label) {
	if moved := math.Abs(float64(lab.centre-lab.end.Y)) > 1; moved && f.Max.X-lab.end.X < 2 {
		style := draw.LineStyle{Color: lead, Width: 0.6, Dashes: []vg.Length{0.6, 1.8}}
		p.StrokeLines(style, []vg.Point{{X: f.Max.X + 1, Y: lab.end.Y}, {X: f.Max.X + leaderRoom - 2, Y: lab.centre}})
	}
}

// end marks where a line ends: with a cross if its run stopped, with a dot if others are
// longer.
func (p *pen) end(at vg.Point, c color.Color, broken, early bool) {
	switch {
	case broken:
		p.StrokeLine2(plain(c, 1.2), at.X-crossArm, at.Y-crossArm, at.X+crossArm, at.Y+crossArm)
		p.StrokeLine2(plain(c, 1.2), at.X-crossArm, at.Y+crossArm, at.X+crossArm, at.Y-crossArm)
	case early:
		p.SetColor(c)
		p.Fill(circle(at, dotRadius))
	}
}

// key says over the labels of a panel what their values are of.
func (p *pen) key(f *panel) {
	y := f.top - markSize
	for _, s := range f.key {
		p.text(p.letter(markSize, true), ink, vg.Point{X: f.Max.X + leaderRoom, Y: y}, 0, s)
		y -= markSize * leading
	}
}

// label writes a label behind a piece of its line.
func (p *pen) label(f *frame, lab *label) {
	style := &runStyles[lab.run]
	x := f.Max.X + leaderRoom
	p.StrokeLine2(style.line(), x, lab.centre, x+keyLength, lab.centre)
	p.end(lab.end, style.colour, lab.broken, lab.early)
	p.end(vg.Point{X: x + keyLength - crossArm, Y: lab.centre}, style.colour, lab.broken, lab.early)
	face := p.letter(labelSize, false)
	const height = labelSize * leading
	y := lab.centre + (vg.Length(len(lab.text)-1)/2)*height - middle*labelSize
	for _, s := range lab.text {
		p.text(face, ink, vg.Point{X: x + keyLength + keyGap, Y: y}, 0, s)
		y -= height
	}
}

// paintLoad draws the load that all runs share as one band, or that of each as a line.
func (f *Figure) paintLoad(p *pen, l *layout) {
	if l.shared < 0 {
		for i := range f.Runs {
			if r := &f.Runs[i]; r.Load != nil {
				style := runStyles[i].line()
				style.Width *= 0.7
				p.curve(l.load.lines(r.Times, r.Load), style)
				last := len(r.Times) - 1
				p.end(vg.Point{X: l.load.x(r.Times[last]), Y: l.load.y(r.Load[last])}, style.Color, r.Broken, false)
			}
		}
		return
	}
	r := &f.Runs[l.shared]
	for _, s := range l.load.lines(r.Times, r.Load) {
		zero := l.load.y(0)
		band := append([]vg.Point{{X: s[0].X, Y: zero}}, s...)
		p.FillPolygon(fill, append(band, vg.Point{X: s[len(s)-1].X, Y: zero}))
		p.curve([][]vg.Point{s}, plain(edge, 1))
	}
}

// footText says what is shown over the given times.
func (f *Figure) footText(l *layout, times extent) string {
	measured, level, early, broken := false, false, false, false
	for i := range f.Runs {
		for k := range f.Runs[i].Curves {
			measured = measured || f.Runs[i].Curves[k].Measured != nil
			level = level || l.panels[k].levels.some
			early = early || !f.Runs[i].Broken && f.early(i, k, times)
			broken = broken || f.Runs[i].Broken
		}
	}
	says := []string{"calculated, not measured"}
	if measured {
		says[0] = "lines are calculated, circles are measured"
	}
	if level {
		says = append(says, "dotted: the level under the load")
	}
	if l.hidden {
		says = append(says, "a level lies beyond the scale")
	}
	if broken {
		says = append(says, "cross: a run that stopped")
	}
	if early {
		says = append(says, "dot: a run that is shorter")
	}
	if note := oneLine(f.Note); note != "" {
		says = append(says, note)
	}
	return strings.Join(says, "; ")
}
