package study_test

import (
	"cmp"
	"context"
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/metric"
	"soakledger/sim/part"
	"soakledger/sim/spec"
	"soakledger/sim/study"
)

// compare compares scenarios, which are named by their numbers from 0.
func compare(t tester, set study.Settings, all ...*spec.Scenario) *study.Comparison {
	t.Helper()
	var designs []study.Design
	for i, s := range all {
		designs = append(designs, study.Design{Name: string(rune('0' + i)), Scenario: s.Named()})
	}
	c, err := study.Compare(context.Background(), designs, set)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// between returns the difference of the second scenario to the first.
func between(t tester, first, this *spec.Scenario) *study.Difference {
	t.Helper()
	return compare(t, study.Settings{}, first, this).Rows[1].Difference
}

// Two heaters in one closed room whose loss G is not stated: the rise is P/G, so
// the difference is (Q-P)/G, and at either end of the range of G it is that with
// another G. The band of either level is P and Q over |Q-P| times as wide.
func TestSharedFigureCancels(t *testing.T) {
	const p, q = 600, 500
	d := between(t, heatedRoom(p), heatedRoom(q))
	g := part.RoomConductance()
	near(t, "difference", d.Value.Value, (q-p)/g.Value, 1e-9)
	near(t, "below", d.Below, (p-q)*(1/g.Low-1/g.Value), 1e-9)
	near(t, "above", d.Above, (p-q)*(1/g.Value-1/g.High), 1e-9)
	if d.Of != study.Levels || d.Unknown != "" || d.Failed != 0 || d.Verdict() != study.Cooler {
		t.Errorf("the difference is %+v, %s", d, d.Verdict())
	}
	if len(d.Effects) != 1 || d.Effects[0].Path != "room.conductance" || d.Effects[0].In != study.Both {
		t.Fatalf("the effects are %+v", d.Effects)
	}
	near(t, "change at the low end", d.Effects[0].AtLow.Value, (q-p)*(1/g.Low-1/g.Value), 1e-9)
	near(t, "change at the high end", d.Effects[0].AtHigh.Value, (q-p)*(1/g.High-1/g.Value), 1e-9)
	first, this := band(t, heatedRoom(p), at0).Subject, band(t, heatedRoom(q), at0).Subject
	apart := math.Hypot(this.Above, first.Below)
	t.Logf("-%.3f +%.3f K, of two levels by themselves -%.3f +%.3f K", d.Below, d.Above, math.Hypot(this.Below, first.Above), apart)
	if d.Above > apart/5 || d.Value.Value+apart < 0 {
		t.Errorf("the band reaches %g K up, that of two levels by themselves %g K", d.Above, apart)
	}
}

// A figure that one of two designs states counts with what it does to the other.
func TestFigureOfOneDesign(t *testing.T) {
	const p, stated = 600, 50
	g := part.RoomConductance()
	other := heatedRoom(p)
	other.Room.Conductance = spec.Some(stated)
	d := between(t, heatedRoom(p), other)
	near(t, "difference", d.Value.Value, p/stated-p/g.Value, 1e-9)
	near(t, "below", d.Below, p/g.Low-p/g.Value, 1e-9)
	near(t, "above", d.Above, p/g.Value-p/g.High, 1e-9)
	if len(d.Effects) != 1 || d.Effects[0].In != study.Other || d.Verdict() != study.Tie {
		t.Errorf("%s: %+v", d.Verdict(), d.Effects)
	}
	d = between(t, other, heatedRoom(p))
	near(t, "below, the other way round", d.Below, p/g.Value-p/g.High, 1e-9)
	near(t, "above, the other way round", d.Above, p/g.Low-p/g.Value, 1e-9)
	if len(d.Effects) != 1 || d.Effects[0].In != study.This || d.Verdict() != study.Tie {
		t.Errorf("the other way round %s: %+v", d.Verdict(), d.Effects)
	}
}

// Of any two leaky machines the difference and its band follow from the closed form
// of their levels, and change signs and sides when they are swapped.
func TestDifferenceInClosedForm(t *testing.T) {
	room, at, growth := part.RoomConductance(), part.LeakageAt(), part.LeakageGrowth()
	rapid.Check(t, func(t *rapid.T) {
		type machine struct{ p, l, g, ambient float64 }
		draw := func(name string) machine {
			return machine{rapid.Float64Range(50, 500).Draw(t, name+" p"), rapid.Float64Range(1, 100).Draw(t, name+" l"),
				rapid.Float64Range(10, 80).Draw(t, name+" g"), rapid.Float64Range(295, 310).Draw(t, name+" ambient")}
		}
		a, b := draw("a"), draw("b")
		stated := rapid.SampledFrom([]float64{0, 45}).Draw(t, "what b states of its room")
		scenario := func(m machine) *spec.Scenario {
			s := leaky(m.p, m.l, m.g)
			s.Ambient.Temperature = spec.Some(m.ambient)
			return s
		}
		rise := func(m machine, room, at, growth float64) float64 {
			return leakyLevel(m.p, m.l, m.g, room, at, growth, m.ambient) - m.ambient
		}
		sa, sb, roomOfB := scenario(a), scenario(b), func(x float64) float64 { return x }
		if stated > 0 {
			sb.Room.Conductance, roomOfB = spec.Some(stated), func(float64) float64 { return stated }
		}
		difference := func(room, at, growth float64) float64 {
			return rise(b, roomOfB(room), at, growth) - rise(a, room, at, growth)
		}
		want := difference(room.Value, at.Value, growth.Value)
		below, above := 0.0, 0.0
		for _, ends := range [][2]float64{
			{difference(room.Low, at.Value, growth.Value), difference(room.High, at.Value, growth.Value)},
			{difference(room.Value, at.Low, growth.Value), difference(room.Value, at.High, growth.Value)},
			{difference(room.Value, at.Value, growth.Low), difference(room.Value, at.Value, growth.High)},
		} {
			above = math.Hypot(above, max(ends[0]-want, ends[1]-want, 0))
			below = math.Hypot(below, -min(ends[0]-want, ends[1]-want, 0))
		}
		d, back := between(t, sa, sb), between(t, sb, sa)
		near(t, "difference", d.Value.Value, want, 1e-5)
		near(t, "below", d.Below, below, 1e-5)
		near(t, "above", d.Above, above, 1e-5)
		near(t, "difference, swapped", back.Value.Value, -d.Value.Value, 1e-12)
		near(t, "below, swapped", back.Below, d.Above, 1e-12)
		near(t, "above, swapped", back.Above, d.Below, 1e-12)
		opposite := map[study.Verdict]study.Verdict{study.Tie: study.Tie, study.Cooler: study.Warmer, study.Warmer: study.Cooler}
		if opposite[d.Verdict()] != back.Verdict() {
			t.Errorf("%s, swapped %s", d.Verdict(), back.Verdict())
		}
	})
}

// with returns a scenario with a value changed.
func with(t testing.TB, s *spec.Scenario, path string, v spec.Value) *spec.Scenario {
	t.Helper()
	changed, err := s.With(path, v)
	if err != nil {
		t.Fatal(err)
	}
	return changed
}

// One machine at two speeds of a radiator's fans shares all that is uncertain about
// its cores, so that their difference is far surer than either level, and is none
// that the levels alone would tell apart.
func TestSharedCoresCancel(t *testing.T) {
	slow := load(t, "workstation")
	fast := with(t, slow, "front.fans.speed", spec.NumberValue(1300/60.))
	d := between(t, slow, fast)
	a, b := band(t, slow, at0).Subject, band(t, fast, at0).Subject
	below, above := math.Hypot(b.Below, a.Above), math.Hypot(b.Above, a.Below)
	t.Logf("%+.3f K -%.3f +%.3f K; of two levels by themselves -%.2f +%.2f K", d.Value.Value, d.Below, d.Above, below, above)
	near(t, "difference", d.Value.Value, b.Level.Value-a.Level.Value, 1e-6)
	if d.Below > below/3 || d.Above > above/3 || d.Verdict() != study.Cooler || d.Value.Value+above < 0 {
		t.Errorf("the difference is %s: %+v", d.Verdict(), d)
	}
	for _, e := range d.Effects {
		if e.In != study.Both {
			t.Errorf("%s is open in %s", e.Path, e.In)
		}
	}
	size := func(e study.Effect) float64 {
		return math.Hypot(max(0, e.AtLow.Value, e.AtHigh.Value), max(0, -e.AtLow.Value, -e.AtHigh.Value))
	}
	if !slices.IsSortedFunc(d.Effects, func(a, b study.Effect) int { return cmp.Compare(size(b), size(a)) }) || size(d.Effects[0]) < 0.1 {
		t.Error("the largest effect does not come first")
	}
}

// A figure that both leave open, each with a range of its own, counts twice.
func TestFigureWithTwoRanges(t *testing.T) {
	mid := load(t, "workstation")
	deep := with(t, mid, "front.class", spec.TextValue("thick"))
	d := between(t, mid, deep)
	var of []study.Whose
	for _, e := range d.Effects {
		if e.Path == "front.fins_per_inch" {
			of = append(of, e.In)
		}
	}
	slices.Sort(of)
	if !slices.Equal(of, []study.Whose{study.Other, study.This}) {
		t.Errorf("fins per inch are open in %v", of)
	}
	shared := slices.IndexFunc(d.Effects, func(e study.Effect) bool { return e.Path == "top.fins_per_inch" })
	if shared < 0 || d.Effects[shared].In != study.Both {
		t.Error("those of the other radiator are not shared")
	}
}

// The comparison does not depend on how many workers make it, and the scenarios are
// left as they were.
func TestCompareWorkers(t *testing.T) {
	one := load(t, "small_desktop")
	all := []*spec.Scenario{one, with(t, one, "top.fans.speed", spec.NumberValue(20)), with(t, one, "reservoir.volume", spec.NumberValue(4e-4))}
	before := []*spec.Scenario{all[0].Clone(), all[1].Clone(), all[2].Clone()}
	want := compare(t, study.Settings{Workers: 1}, all...)
	for _, workers := range []int{0, 2, 7, 1000} {
		got := compare(t, study.Settings{Workers: workers}, all...)
		for i, row := range got.Rows {
			if row.Name != want.Rows[i].Name || row.Phase != want.Rows[i].Phase || !reflect.DeepEqual(row.Difference, want.Rows[i].Difference) || !reflect.DeepEqual(row.Result.Phases, want.Rows[i].Result.Phases) {
				t.Errorf("%d workers find another row %d", workers, i)
			}
		}
	}
	if !reflect.DeepEqual(all, before) {
		t.Error("a scenario has changed")
	}
	if want.Rows[0].Difference != nil || want.Rows[0].Result.Trace != nil || want.Rows[1].Difference.Verdict() != study.Cooler {
		t.Errorf("the rows are %+v", want.Rows)
	}
}

// Designs that differ by next to nothing tie, whatever is known; so do designs whose
// difference the band covers, up to its very end.
func TestVerdict(t *testing.T) {
	known := metric.Known
	for _, c := range []struct {
		name         string
		value        metric.Figure
		below, above float64
		unknown      string
		want         study.Verdict
	}{
		{"equal", known(0), 0, 0, "", study.Tie},
		{"less than anyone sees", known(-0.049), 0, 0, "", study.Tie},
		{"just enough, exact", known(-0.051), 0, 0, "", study.Cooler},
		{"just enough, exact, up", known(0.051), 0, 0, "", study.Warmer},
		{"below zero, covered", known(-0.3), 0, 0.31, "", study.Tie},
		{"below zero, to its end", known(-0.25), 0, 0.25, "", study.Tie},
		{"below zero, not covered", known(-0.3), 9, 0.29, "", study.Cooler},
		{"above zero, covered", known(0.3), 0.31, 0, "", study.Tie},
		{"above zero, not covered", known(0.3), 0.29, 9, "", study.Warmer},
		{"no band", known(2), 0, 0, "peaks", study.Undecidable},
		{"no band, equal", known(0.01), 0, 0, "peaks", study.Tie},
		{"no difference", metric.Missing("failed"), 0, 0, "", study.Undecidable},
	} {
		d := study.Difference{Value: c.value, Below: c.below, Above: c.above, Unknown: c.unknown}
		if got := d.Verdict(); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
	}
}

// A design that cannot be assembled, or whose run leaves the model's range, is a row
// that says why, and the others are compared as ever.
func TestFailingDesigns(t *testing.T) {
	broken := &spec.Scenario{} // nothing in it stores heat
	c := compare(t, study.Settings{}, pot(20), broken, pot(90), pot(30))
	var problems assemble.Problems
	if r := c.Rows[1]; !errors.As(r.Err, &problems) || r.Result != nil || r.Phase != -1 || r.Difference.Value.Why != "it could not be run" || r.Difference.Verdict() != study.Undecidable {
		t.Errorf("the broken design is %+v, %+v", r, r.Difference)
	}
	// 90 W over 1 W/K and 40 W/K would lead to 112 degC; that takes hours, and the run
	// of half an hour ends before.
	if r := c.Rows[2]; r.Err != nil || r.Result.Status != sim.Done || !strings.HasPrefix(r.Difference.Unknown, "the level is none to be sure of: pot would settle at 112") {
		t.Errorf("the hot design is %+v, %+v", r, r.Difference)
	}
	d := c.Rows[3].Difference
	near(t, "difference", d.Value.Value, 10*(1+1./40), 1e-9)
	if d.Unknown != "" || d.Verdict() != study.Warmer {
		t.Errorf("%+v", d)
	}
	long := pot(90)
	long.Duration = spec.Some(2e5)
	d = between(t, pot(20), long)
	if d.Value.OK() || !strings.HasPrefix(d.Value.Why, "it ended early: ") || d.Of != "" {
		t.Errorf("a run that leaves the range: %+v", d)
	}
	if d = between(t, pot(20), pot(0)); d.Value.Why != "nothing warms in it" {
		t.Errorf("a cold design: %+v", d)
	}
	other := leaky(300, 20, 30)
	other.Figures.Of = "room"
	if d = between(t, leaky(300, 20, 30), other); d.Value.Why != "its figures are of room, those of the first design of heater" {
		t.Errorf("figures of another node: %+v", d)
	}
	if _, err := study.Compare(context.Background(), []study.Design{{Scenario: pot(20).Named()}}, study.Settings{}); err == nil {
		t.Error("one design is compared with nothing")
	}
}

// Designs are compared with the first of them that can be, as if it came first.
func TestReference(t *testing.T) {
	broken, cold, long := &spec.Scenario{}, pot(0), pot(90)
	long.Duration = spec.Some(2e5)
	open := pot(30)
	open.Links[0].Conductance = spec.Some(2)
	want := compare(t, study.Settings{}, pot(20), open).Rows[1].Difference
	c := compare(t, study.Settings{}, broken, cold, long, pot(20), open)
	if c.Reference != 3 || c.Rows[3].Difference != nil || !reflect.DeepEqual(c.Rows[4].Difference, want) {
		t.Errorf("the reference is %d, %+v, want %+v", c.Reference, c.Rows[4].Difference, want)
	}
	for i, why := range []string{"it could not be run", "nothing warms in it", "it ended early: "} {
		if d := c.Rows[i].Difference; d == nil || d.Value.OK() || !strings.HasPrefix(d.Value.Why, why) {
			t.Errorf("design %d: %+v, want %s", i, d, why)
		}
	}
	if c.Rows[2].Result == nil || c.Rows[1].Result == nil {
		t.Error("their own figures are lost")
	}
	other := leaky(300, 20, 30)
	if d := compare(t, study.Settings{}, broken, pot(20), other).Rows[2].Difference; d.Value.Why != "its figures are of heater, those of the reference of pot" {
		t.Errorf("the reference is not meant: %+v", d)
	}
	if d := compare(t, study.Settings{}, broken, ramped(300), heatedRoom(300)).Rows[2].Difference; !strings.Contains(d.Unknown, "since the reference has no level: ") {
		t.Errorf("the reference is not meant: %+v", d)
	}
	// With nothing to refer to, the first one is to blame.
	c = compare(t, study.Settings{}, broken, long)
	if d := c.Rows[1].Difference; c.Reference != 0 || c.Rows[0].Difference != nil || d.Value.Why != "the first design could not be run" {
		t.Errorf("none can be compared: %d, %+v", c.Reference, d)
	}
}

// An end of a range without a level is an effect that says so and is counted.
func TestFailedEffect(t *testing.T) {
	d := between(t, pot(60), pot(72.9)) // see TestVariationBeyondTheModel
	g := part.RoomConductance()
	if d.Failed != 1 || len(d.Effects) != 1 || !strings.Contains(d.Effects[0].AtLow.Why, "pot would settle at 95.3 degC") || !d.Effects[0].AtHigh.OK() {
		t.Errorf("%+v", d)
	}
	near(t, "below", d.Below, 12.9/g.Value-12.9/g.High, 1e-6)
	near(t, "above", d.Above, 0, 0)
	d = between(t, pot(72.9), pot(60))
	if d.Failed != 1 || !strings.Contains(d.Effects[0].AtLow.Why, "pot would settle at 95.3 degC") {
		t.Errorf("swapped: %+v", d)
	}
}

// ramped is a heater whose power climbs throughout, so that it has no level.
func ramped(p float64) *spec.Scenario {
	s := heatedRoom(p)
	s.Ambient.Temperature = spec.Some(295)
	s.Lumps[0].Work = "climb"
	to := spec.Power{Share: spec.Some(1)}
	s.Work = []spec.Work{{Name: "climb", Steps: []spec.Step{{For: spec.Some(1800), Power: spec.Power{Share: spec.Some(0)}, To: to}}}}
	return s
}

// Where a design has no level peaks are compared, over each room; how sure they are
// is not known.
func TestPeaks(t *testing.T) {
	steady, climbing := heatedRoom(300), ramped(300)
	steady.Ambient.Temperature = spec.Some(290)
	c := compare(t, study.Settings{}, steady, climbing, ramped(500), ramped(301))
	d := c.Rows[1].Difference
	a, b := c.Rows[0].Result.Phases[0], c.Rows[1].Result.Phases[0]
	near(t, "difference", d.Value.Value, (b.Peak-295)-(a.Peak-290), 1e-12)
	if d.Of != study.Peaks || !strings.Contains(d.Unknown, "it has no level: the load changes within the phase") || d.Verdict() != study.Undecidable || d.Value.Value > -0.05 {
		t.Errorf("%s: %+v", d.Verdict(), d)
	}
	c = compare(t, study.Settings{}, ramped(300), ramped(500), heatedRoom(300))
	if d = c.Rows[1].Difference; !strings.Contains(d.Unknown, "the first design has no level: the load changes") {
		t.Errorf("%+v", d)
	}
	if d = c.Rows[2].Difference; d.Of != study.Peaks || !strings.Contains(d.Unknown, "the first design has no level") {
		t.Errorf("%+v", d)
	}
}

// What hysteresis lets a machine rest at widens the band on the side it lies on; of
// the first design, on the other side.
func TestPairWidens(t *testing.T) {
	curve := steps(t, 1)
	fixed := curve.Clone()
	for p := range fixed.Parts() {
		if p.Name == "front" {
			p.Radiator.Fans.Curve = spec.Control{}
			p.Radiator.Fans.Speed = spec.Speed{Rate: spec.Some(1400 / 60.)}
		}
	}
	c := compare(t, study.Settings{}, fixed, curve)
	d, p := c.Rows[1].Difference, c.Rows[1].Result.Phases[c.Rows[1].Phase]
	if p.Kind != metric.Pair || d.Unknown != "" || d.Of != study.Levels {
		t.Fatalf("it leads to %s: %+v", p.Kind, d)
	}
	higher, lower := p.Rising.Value-p.Level.Value, p.Level.Value-p.Falling.Value
	var below, above float64
	for _, e := range d.Effects {
		below, above = math.Hypot(below, max(0, -e.AtLow.Value, -e.AtHigh.Value)), math.Hypot(above, max(0, e.AtLow.Value, e.AtHigh.Value))
	}
	if math.Max(lower, higher) < 0.1 {
		t.Fatalf("the pair is %g K below to %g K above", lower, higher)
	}
	near(t, "below", d.Below, math.Hypot(below, lower), 1e-9)
	near(t, "above", d.Above, math.Hypot(above, higher), 1e-9)
	back := compare(t, study.Settings{}, curve, fixed).Rows[1].Difference
	near(t, "below, swapped", back.Below, d.Above, 1e-9)
	near(t, "above, swapped", back.Above, d.Below, 1e-9)
}

// steps is a card under a sampled fan curve with hysteresis and under shares of its
// power, half an hour each.
func steps(t *testing.T, shares ...float64) *spec.Scenario {
	s := load(t, "curve_on_coolant").Clone()
	s.Work = []spec.Work{{Name: "steps"}}
	for _, x := range shares {
		s.Work[0].Steps = append(s.Work[0].Steps, spec.Step{For: spec.Some(1800), Power: spec.Power{Share: spec.Some(x)}})
	}
	s.Chips[0].Work = "steps"
	return s
}

// A level that depends on what came before has no band: half the load after all of it
// comes to rest above where it does from cold.
func TestLevelOfTheWay(t *testing.T) {
	after, cold := steps(t, 1, 0.5), steps(t, 0.5, 0.5)
	at := study.Settings{At: spec.Some(1800)}
	const want = "where it settles depends on what came before"
	d := compare(t, at, cold, after).Rows[1].Difference
	if !strings.HasPrefix(d.Unknown, want) || d.Of != study.Levels || d.Verdict() != study.Undecidable {
		t.Errorf("%+v", d)
	}
	d = compare(t, at, after, cold).Rows[1].Difference
	if !strings.HasPrefix(d.Unknown, "of the first design: "+want) {
		t.Errorf("swapped: %+v", d)
	}
	if d = compare(t, at, cold, cold).Rows[1].Difference; d.Unknown != "" || d.Verdict() != study.Tie {
		t.Errorf("from cold: %+v", d)
	}
}

// A stated time picks its phase and the cooling phase after it; else it is the
// largest warming that is compared.
func TestComparedPhase(t *testing.T) {
	s := leaky(300, 20, 30)
	step := func(x float64) spec.Step {
		return spec.Step{For: spec.Some(50_000), Power: spec.Power{Share: spec.Some(x)}}
	}
	s.Lumps[0].Work = "day"
	s.Work = []spec.Work{{Name: "day", Steps: []spec.Step{step(0.3), step(1), step(0.5), step(0.1)}}}
	s.Duration = spec.Some(200_000)
	more := s.Clone()
	more.Lumps[0].Power = watts(310)
	for _, c := range []struct {
		at             spec.Number
		phase, cooling int
	}{
		{spec.Number{}, 1, 2},
		{spec.Some(0), 0, 2},
		{spec.Some(50_000), 1, 2},
		{spec.Some(149_999), 2, 3},
		{spec.Some(150_000), 3, -1},
		{spec.Some(200_000), -1, -1},
	} {
		r := compare(t, study.Settings{At: c.at}, s, more).Rows[1]
		if r.Phase != c.phase || r.Cooling != c.cooling {
			t.Errorf("at %+v: phases %d and %d", c.at, r.Phase, r.Cooling)
		}
		if c.phase >= 0 {
			share := []float64{0.3, 1, 0.5, 0.1}[c.phase]
			leak := leakyLevel(310*share, 20, 30, 40, part.LeakageAt().Value, part.LeakageGrowth().Value, 0) - leakyLevel(300*share, 20, 30, 40, part.LeakageAt().Value, part.LeakageGrowth().Value, 0)
			near(t, "difference", r.Difference.Value.Value, leak, 1e-4)
		}
	}
}

// Whenever the context is done, Compare gives up.
func TestCompareCancelled(t *testing.T) {
	s := load(t, "small_desktop")
	designs := []study.Design{{Name: "a", Scenario: s}, {Name: "b", Scenario: s}}
	for _, times := range []int{0, 1, 3, 30} {
		ctx := &patience{Context: context.Background(), left: times}
		if c, err := study.Compare(ctx, designs, study.Settings{Workers: 1}); c != nil || !errors.Is(err, context.Canceled) {
			t.Errorf("after %d looks: %v, %v", times, c, err)
		}
	}
}
