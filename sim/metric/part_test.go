package metric_test

import (
	"math"
	"testing"

	"soakledger/sim/metric"
	"soakledger/sim/record"
)

const noWay = "the part changes by less than 0.01 K, so there is nothing to time"

// split has the parts 1 and 2 of the subject 0.
var split = metric.Settings{Tail: 100, Parts: []int{1, 2}}

// spans joins straight lines of several components at times, s.
func spans(times []float64, values ...[]float64) []record.Segment {
	var all []record.Segment
	for i := range times[1:] {
		s := span{start: times[i], end: times[i+1]}
		for _, v := range values {
			s.poly = append(s.poly, record.Polynomial{v[i], v[i+1] - v[i]})
		}
		all = append(all, s)
	}
	return all
}

// Each part has the level, the end and the times of its own curve, whatever the
// subject does.
func TestParts(t *testing.T) {
	times := []float64{1000, 1100, 1400}
	segments := spans(times, []float64{300, 302, 310}, []float64{5, 4, 9}, []float64{3, 1, -7})
	p := phaseOf(split, metric.Level{State: []float64{310}, Parts: []float64{10, -7.5}}, "", segments)
	if len(p.Parts) != 2 {
		t.Fatalf("%d parts", len(p.Parts))
	}
	rising, falling := p.Parts[0], p.Parts[1]
	if rising.Begin != 5 || rising.End != 9 || rising.Change() != 5 {
		t.Errorf("the rising part goes from %g to %g, by %g", rising.Begin, rising.End, rising.Change())
	}
	if falling.Begin != 3 || falling.End != -7 || falling.Change() != -10.5 {
		t.Errorf("the falling part goes from %g to %g, by %g", falling.Begin, falling.End, falling.Change())
	}
	is(t, "level", rising.Level, 10, 0)
	is(t, "level", falling.Level, -7.5, 0)
	whole := 1 - 1/math.E
	is(t, "rising t63", rising.Response[0], 100+(5+5*whole-4)*60, 1e-9)
	missing(t, "rising t90", rising.Response[1], notReached)
	is(t, "falling t63", falling.Response[0], 100+(1-(3-10.5*whole))*37.5, 1e-9)
	is(t, "falling t90", falling.Response[1], 100+(1-(3-10.5*0.9))*37.5, 1e-9)
	is(t, "falling t95", falling.Response[2], 100+(1-(3-10.5*0.95))*37.5, 1e-9)
	missing(t, "falling t99", falling.Response[3], notReached)
	is(t, "the subject's own t63", p.Response[0], 100+(10*whole-2)*37.5, 1e-9)
}

// A part that hardly moves is not timed; one without a level says why, and one
// that was cut short, too.
func TestPartsWithoutFigures(t *testing.T) {
	times := []float64{0, 100}
	still := spans(times, []float64{300, 310}, []float64{5, 5.0099}, []float64{5, 5.02})
	p := phaseOf(split, metric.Level{State: []float64{310}, Parts: []float64{5.0099, 5.02}}, "", still)
	missing(t, "t63 of a part that stays", p.Parts[0].Response[0], noWay)
	is(t, "t63 of one that moves by 0.02 K", p.Parts[1].Response[0], 100*(1-1/math.E), 1e-9)

	const why = "room is tied to nothing"
	p = phaseOf(split, metric.Level{State: []float64{310}, Parts: []float64{math.NaN(), 6}, Why: why}, "", still)
	missing(t, "level of a part", p.Parts[0].Level, why)
	missing(t, "its t63", p.Parts[0].Response[0], why)
	is(t, "level of the other", p.Parts[1].Level, 6, 0)
	if got := p.Parts[0].Change(); math.Abs(got-0.0099) > 1e-12 {
		t.Errorf("without a level the end decides: a change of %g K", got)
	}
	p = phaseOf(split, metric.Level{Why: why}, "", still)
	missing(t, "level of a part where there is none at all", p.Parts[1].Level, why)
	missing(t, "its t95", p.Parts[1].Response[2], why)

	const cut = "res.coolant went above 95.0 degC"
	p = phaseOf(split, metric.Level{State: []float64{320}, Parts: []float64{5.0101, 5.021}}, cut, still)
	is(t, "t63 from before the cut", p.Parts[1].Response[0], 100*0.021*(1-1/math.E)/0.02, 1e-9)
	missing(t, "t99 behind the cut", p.Parts[1].Response[3], cut)
	p = phaseOf(split, metric.Level{State: []float64{320}, Parts: []float64{5, 5.021}}, cut, still)
	missing(t, "t63 of a part that stays, cut short", p.Parts[0].Response[0], noWay)
}

// A collector's second phase begins where its state then is, and forgets the
// times of the first.
func TestPartsOfTwoPhases(t *testing.T) {
	c := metric.NewCollector(split)
	segments := spans([]float64{0, 100, 200}, []float64{300, 310, 310}, []float64{0, 4, 4}, []float64{0, 2, 1})
	c.Begin(0, 100, 50, []float64{300, 0, 0}, metric.Level{State: []float64{310}, Parts: []float64{4, 2}})
	c.Add(segments[0])
	first := c.Finish("")
	c.Begin(100, 200, 50, []float64{310, 4, 2}, metric.Level{State: []float64{310}, Parts: []float64{4, 0}})
	c.Add(segments[1])
	second := c.Finish("")
	is(t, "first t90", first.Parts[0].Response[1], 90, 1e-9)
	missing(t, "second t90 of a part that stays", second.Parts[0].Response[1], noWay)
	missing(t, "second t63", second.Parts[1].Response[0], notReached)
	if second.Parts[1].Begin != 2 || second.Parts[1].End != 1 || first.Parts[1].End != 2 {
		t.Errorf("the second part goes to %g, then from %g to %g", first.Parts[1].End, second.Parts[1].Begin, second.Parts[1].End)
	}
	if plain := phaseOf(plain, levelAt(310), "", segments); plain.Parts != nil {
		t.Errorf("%d parts where none is asked for", len(plain.Parts))
	}
}
