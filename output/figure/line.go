package figure

import (
	"math"

	"gonum.org/v1/plot/vg"
)

const (
	// finest is how far a drawn line may be from its data, pt: a tenth of a pixel.
	finest = 0.075
	// column is the width, pt, within which a line that goes to and fro is its first,
	// lowest, highest and last point.
	column = 0.5
)

// frame maps times and values to the paper.
type frame struct {
	vg.Rectangle
	time  scale
	unit  timeUnit
	value scale
}

// x returns where a time (s) lies.
func (f *frame) x(t float64) vg.Length {
	return f.Min.X + vg.Length(f.time.at(t/f.unit.seconds))*(f.Max.X-f.Min.X)
}

// y returns where a value lies.
func (f *frame) y(v float64) vg.Length {
	return f.Min.Y + vg.Length(f.value.at(v))*(f.Max.Y-f.Min.Y)
}

// lines returns the stretches of a curve between its gaps, with no more points than
// can be seen.
func (f *frame) lines(times, values []float64) [][]vg.Point {
	var all [][]vg.Point
	var line []vg.Point
	end := func() {
		if len(line) > 0 {
			all = append(all, straighten(thinColumns(line), finest))
		}
		line = nil
	}
	for i, v := range values {
		if v != v {
			end()
			continue
		}
		line = append(line, vg.Point{X: f.x(times[i]), Y: f.y(v)})
	}
	end()
	return all
}

// thinColumns keeps of the points in each column of the paper the first, the lowest,
// the highest and the last. The x of points never falls.
func thinColumns(points []vg.Point) []vg.Point {
	var out []vg.Point
	for i := 0; i < len(points); {
		number := math.Floor(float64(points[i].X) / column)
		low, high, last := i, i, i
		for k := i + 1; k < len(points) && math.Floor(float64(points[k].X)/column) == number; k++ {
			if points[k].Y < points[low].Y {
				low = k
			}
			if points[k].Y > points[high].Y {
				high = k
			}
			last = k
		}
		previous := -1
		for _, k := range [4]int{i, min(low, high), max(low, high), last} {
			if k > previous {
				out = append(out, points[k])
				previous = k
			}
		}
		i = last + 1
	}
	return out
}

// straighten leaves points out that lie, upright, within eps of the straight line
// between those that it keeps. Ends are kept.
//
// From a kept point a funnel of slopes is carried along: those whose lines pass all
// points since within eps. The line ends at the last point that lies in the funnel.
func straighten(points []vg.Point, eps vg.Length) []vg.Point {
	if len(points) < 3 {
		return points
	}
	out := points[:1:1]
	from := 0
	widest := [2]vg.Length{vg.Length(math.Inf(-1)), vg.Length(math.Inf(1))}
	funnel := widest
	for i := 1; i < len(points); i++ {
		d := points[i].Sub(points[from])
		if i > from+1 && (d.Y < funnel[0]*d.X || d.Y > funnel[1]*d.X) {
			from, funnel = i-1, widest
			out = append(out, points[from])
			d = points[i].Sub(points[from])
		}
		if d.X <= 0 { // upright
			from, funnel = i, widest
			out = append(out, points[i])
			continue
		}
		funnel[0], funnel[1] = max(funnel[0], (d.Y-eps)/d.X), min(funnel[1], (d.Y+eps)/d.X)
	}
	if last := len(points) - 1; from != last {
		out = append(out, points[last])
	}
	return out
}

// sparse returns the places of those of the measured values that are drawn: one
// within every step of the paper.
func (f *frame) sparse(times, values []float64, step vg.Length) []vg.Point {
	var out []vg.Point
	for i, v := range values {
		if v != v {
			continue
		}
		p := vg.Point{X: f.x(times[i]), Y: f.y(v)}
		if len(out) == 0 || p.X >= out[len(out)-1].X+step {
			out = append(out, p)
		}
	}
	return out
}
