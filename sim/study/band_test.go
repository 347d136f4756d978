package study_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/part"
	"soakledger/sim/spec"
	"soakledger/sim/study"
)

const zeroCelsius = 273.15 // K

// at0 asks for the level of the first phase.
var at0 = study.Settings{At: spec.Some(0)}

// tester is what testing.TB and rapid.T share, as far as it is needed here.
type tester interface {
	Helper()
	Fatal(args ...any)
	Errorf(format string, args ...any)
}

// band finds a band.
func band(t tester, s *spec.Scenario, set study.Settings) *study.Band {
	t.Helper()
	b, err := study.BandOf(context.Background(), s.Named(), set)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// near checks a value.
func near(t tester, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

func watts(p float64) spec.Power { return spec.Power{Watts: spec.Some(p)} }

// conduct is a link of a conductance (W/K).
func conduct(from, to string, g float64) spec.Link {
	return spec.Link{From: from, To: to, Conductance: spec.Some(g)}
}

// heatedRoom is a heater of p watts in a closed room whose loss is not stated.
func heatedRoom(p float64) *spec.Scenario {
	return &spec.Scenario{
		Room:     &spec.Room{},
		Lumps:    []spec.Lump{{Name: "heater", Capacity: spec.Some(400), Power: watts(p)}},
		Links:    []spec.Link{conduct("heater", "room", 25)},
		Duration: spec.Some(1800),
		Figures:  spec.Figures{Of: "room"},
	}
}

// One conductance G from a lump to the room's surroundings: the level is P/G
// over them, so the band reaches to P/G at both ends of the range of G.
func TestOneConductance(t *testing.T) {
	const p = 600
	b := band(t, heatedRoom(p), at0)
	g := part.RoomConductance()
	low, high := p/g.Low-p/g.Value, p/g.High-p/g.Value
	near(t, "level", b.Subject.Level.Value, b.Ambient+p/g.Value, 1e-9)
	near(t, "rise", b.Subject.Rise.Value, p/g.Value, 1e-9)
	near(t, "room", b.Ambient, part.Ambient().Value, 0)
	near(t, "above", b.Subject.Above, low, 1e-9)
	near(t, "below", b.Subject.Below, -high, 1e-9)
	if len(b.Terms) != 1 || b.Subject.Path != "room" || len(b.Nodes) != 0 || b.Failed != 0 || b.At != 0 {
		t.Fatalf("the band is %+v", b)
	}
	term := b.Terms[0]
	if term.Path != "room.conductance" || term.Value != g.Value || term.Low != g.Low || term.High != g.High || term.Dimension != spec.Conductance || term.Source != g.Source {
		t.Errorf("the term is of %+v", term.Assumed)
	}
	near(t, "change at the low end", term.AtLow.Value, low, 1e-9)
	near(t, "change at the high end", term.AtHigh.Value, high, 1e-9)
	near(t, "share", term.Share, 1, 1e-15)
}

// leaky is a lump of p watts and a linear leakage of l watts on g W/K to a
// closed room around it, with nothing else stated.
func leaky(p, l, g float64) *spec.Scenario {
	s := heatedRoom(p)
	s.Lumps[0].Leakage = spec.Leakage{Power: spec.Some(l), Form: "linear"}
	s.Links[0].Conductance = spec.Some(g)
	s.Figures.Of = "heater"
	return s
}

// leakyLevel is the level of leaky in closed form (K):
// P + L (1 + b (T - at)) = G (T - Ta), where 1/G = 1/g + 1/room.
func leakyLevel(p, l, g, room, at, b, ambient float64) float64 {
	whole := 1 / (1/g + 1/room)
	return (p + l*(1-b*at) + whole*ambient) / (whole - l*b)
}

// Three figures of which each has a closed form: changes, band, shares and order
// follow from it for any machine of that kind.
func TestThreeFigures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, l := rapid.Float64Range(50, 500).Draw(t, "p"), rapid.Float64Range(1, 100).Draw(t, "l")
		g, ambient := rapid.Float64Range(10, 80).Draw(t, "g"), rapid.Float64Range(295, 310).Draw(t, "ambient") // no leakage falls to nothing
		s := leaky(p, l, g)
		s.Ambient.Temperature = spec.Some(ambient)
		room, at, growth := part.RoomConductance(), part.LeakageAt(), part.LeakageGrowth()
		base := leakyLevel(p, l, g, room.Value, at.Value, growth.Value, ambient)
		want := map[string][2]float64{
			"room.conductance":      {leakyLevel(p, l, g, room.Low, at.Value, growth.Value, ambient), leakyLevel(p, l, g, room.High, at.Value, growth.Value, ambient)},
			"heater.leakage.at":     {leakyLevel(p, l, g, room.Value, at.Low, growth.Value, ambient), leakyLevel(p, l, g, room.Value, at.High, growth.Value, ambient)},
			"heater.leakage.growth": {leakyLevel(p, l, g, room.Value, at.Value, growth.Low, ambient), leakyLevel(p, l, g, room.Value, at.Value, growth.High, ambient)},
		}
		b := band(t, s, at0)
		if len(b.Terms) != len(want) {
			t.Fatalf("%d terms", len(b.Terms))
		}
		var above, below, sum, last float64
		last = math.Inf(1)
		for _, term := range b.Terms {
			ends, ok := want[term.Path]
			if !ok {
				t.Fatalf("a term of %s", term.Path)
			}
			low, high := ends[0]-base, ends[1]-base
			near(t, term.Path+" at its low end", term.AtLow.Value, low, 1e-6)
			near(t, term.Path+" at its high end", term.AtHigh.Value, high, 1e-6)
			up, down := max(low, high, 0), -min(low, high, 0)
			above, below = above+up*up, below+down*down
			sum += term.Share
			if term.Share > last {
				t.Fatalf("%s comes late", term.Path)
			}
			last = term.Share
		}
		near(t, "level", b.Subject.Level.Value, base, 1e-6)
		near(t, "above", b.Subject.Above, math.Sqrt(above), 1e-6)
		near(t, "below", b.Subject.Below, math.Sqrt(below), 1e-6)
		near(t, "sum of the shares", sum, 1, 1e-12)
		for _, term := range b.Terms {
			up, down := max(term.AtLow.Value, term.AtHigh.Value, 0), -min(term.AtLow.Value, term.AtHigh.Value, 0)
			near(t, "share of "+term.Path, term.Share, (up*up+down*down)/(above+below), 1e-9)
		}
	})
}

// A chip whose spreader gives its heat to the room through a stated conductance:
// its two assumed resistances move the die by P s dR and P R ds, and the
// spreader, the subject, not at all.
func TestWatchedNodes(t *testing.T) {
	const p, g = 100, 20
	s := &spec.Scenario{
		Chips:    []spec.Chip{{Name: "cpu", Power: watts(p)}},
		Links:    []spec.Link{conduct("cpu.spreader", "ambient", g)},
		Duration: spec.Some(600),
		Figures:  spec.Figures{Of: "cpu.spreader"},
	}
	b := band(t, s, at0)
	class := part.DesktopChip()
	r, share := class.DieToPlate, class.DieShare
	near(t, "rise of the spreader", b.Subject.Rise.Value, p/g, 1e-9)
	near(t, "band of the spreader", math.Hypot(b.Subject.Below, b.Subject.Above), 0, 1e-9)
	if len(b.Nodes) != 1 || b.Nodes[0].Path != "cpu.die" {
		t.Fatalf("the other nodes are %+v", b.Nodes)
	}
	near(t, "rise of the die", b.Nodes[0].Rise.Value, p/g+p*r.Value*share.Value, 1e-9)
	near(t, "die above", b.Nodes[0].Above, p*math.Hypot(share.Value*(r.High-r.Value), r.Value*(share.High-share.Value)), 1e-8)
	near(t, "die below", b.Nodes[0].Below, p*math.Hypot(share.Value*(r.Low-r.Value), r.Value*(share.Low-share.Value)), 1e-8)
	i := slices.IndexFunc(b.Terms, func(t study.Term) bool { return t.Path == "cpu.die_to_plate" })
	if i < 0 {
		t.Fatal("no term of cpu.die_to_plate")
	}
	near(t, "change of the die", b.Terms[i].Nodes[0].AtHigh.Value, p*share.Value*(r.High-r.Value), 1e-8)
}

// What is derived from an assumed figure follows it: a longer radiator has more
// fans' worth of conductance, though that is assumed as well.
func TestDerivedFollows(t *testing.T) {
	s := &spec.Scenario{
		Chips: []spec.Chip{{Name: "cpu", Power: watts(150)}},
		Loops: []spec.Loop{{Name: "main", Parts: []spec.Part{
			{Kind: "pump", Name: "pump", Pump: &spec.Pump{Flow: spec.Some(4.0 / 6e4)}, Power: watts(6)},
			{Kind: "block", Name: "block", Block: &spec.Block{Cools: "cpu"}},
			{Kind: "radiator", Name: "front", Radiator: &spec.Radiator{}},
		}}},
		Duration: spec.Some(600),
	}
	b := band(t, s, at0)
	i := slices.IndexFunc(b.Terms, func(t study.Term) bool { return t.Path == "front.size" })
	if i < 0 {
		t.Fatal("no term of front.size")
	}
	size := b.Terms[i]
	stated, err := s.With("front.size", spec.NumberValue(size.High))
	if err != nil {
		t.Fatal(err)
	}
	long := band(t, stated, at0).Subject.Level.Value - b.Subject.Level.Value
	near(t, "change with the longest radiator", size.AtHigh.Value, long, 1e-6)
	if long > -1 || size.AtLow.Value < 1 {
		t.Errorf("the changes with the size are %+v", size.Change)
	}
}

// The conductance of a computed radiator reaches as far as the assumed figures move it,
// each by itself, their squares added; the fans' speed is not one of them, since the
// conductance is that at their speed.
func TestBandOfAConductance(t *testing.T) {
	s := (&spec.Scenario{
		Chips: []spec.Chip{{Name: "cpu", Power: watts(150)}},
		Loops: []spec.Loop{{Name: "main", Parts: []spec.Part{
			{Kind: "pump", Name: "pump", Pump: &spec.Pump{Flow: spec.Some(4.0 / 6e4)}, Power: watts(6)},
			{Kind: "block", Name: "block", Block: &spec.Block{Cools: "cpu"}},
			{Kind: "radiator", Name: "front", Radiator: &spec.Radiator{Size: spec.Some(0.36)}},
		}}},
		Duration: spec.Some(600),
	}).Named()
	conductance := func(s *spec.Scenario) float64 {
		l, err := sim.LevelsOf(s, 0)
		if err != nil {
			t.Fatal(err)
		}
		return l.Plan.Air[0].Conductance
	}
	b, base := band(t, s, at0), conductance(s)
	if len(b.Cores) != 1 || b.Cores[0].Radiator != "front" {
		t.Fatalf("the computed radiators are %+v", b.Cores)
	}
	var below, above float64
	speed, moving := false, 0
	for _, term := range b.Terms {
		change := term.Cores[0]
		if term.Path == "front.fans.speed" {
			speed = change.AtHigh.Value > 1
			continue
		}
		low, high := change.AtLow.Value, change.AtHigh.Value
		above, below = math.Hypot(above, max(low, high, 0)), math.Hypot(below, -min(low, high, 0))
		stated, err := s.With(term.Path, spec.NumberValue(term.High))
		if err != nil {
			continue // a figure that no scenario states
		}
		near(t, "W/K with "+term.Path, high, conductance(stated)-base, 1e-6*base)
		if math.Abs(high) > 0.01*base {
			moving++
		}
	}
	core := b.Cores[0]
	near(t, "conductance", core.Value, base, 0)
	near(t, "below", core.Below, below, 1e-9)
	near(t, "above", core.Above, above, 1e-9)
	if !speed || moving < 2 || core.Below < 0.05*base || core.Above < 0.05*base {
		t.Errorf("speed moves it: %v; %d figures move it; %+v", speed, moving, core)
	}
}

// Nothing that is assumed has a say: the band has no width and no share.
func TestNoBand(t *testing.T) {
	s := heatedRoom(100)
	s.Room = nil
	s.Links = []spec.Link{conduct("heater", "ambient", 10)}
	s.Figures = spec.Figures{}
	b := band(t, s, study.Settings{})
	if len(b.Terms) != 0 || b.Subject.Below != 0 || b.Subject.Above != 0 {
		t.Errorf("the band is %+v", b)
	}
	near(t, "rise", b.Subject.Rise.Value, 10, 1e-9)
}

// The level is that of the phase with the largest warming, as a run reports it.
func TestLargestWarming(t *testing.T) {
	s := leaky(300, 20, 30)
	step := func(x float64) spec.Step {
		return spec.Step{For: spec.Some(50_000), Power: spec.Power{Share: spec.Some(x)}}
	}
	s.Lumps[0].Work = "day"
	s.Work = []spec.Work{{Name: "day", Steps: []spec.Step{step(0.3), step(1), step(0.1)}}}
	s.Duration = spec.Some(150_000)
	run, err := sim.New(s.Named(), sim.Settings{})
	if err != nil {
		t.Fatal(err)
	}
	r, err := run.Run(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	b := band(t, s, study.Settings{})
	if b.At != 50_000 || r.Heating != 1 {
		t.Errorf("the band is for %g s, the run's warming is phase %d", b.At, r.Heating)
	}
	near(t, "level", b.Subject.Level.Value, r.Phases[1].Level.Value, 1e-6)
	told := band(t, s, study.Settings{At: spec.Some(70_000)})
	told.At = b.At
	if !reflect.DeepEqual(told, b) {
		t.Error("another time of the same phase makes another band")
	}
	if rest := band(t, s, study.Settings{At: spec.Some(120_000)}); rest.Subject.Above > b.Subject.Above/2 {
		t.Errorf("a tenth of the load has a band of %g K, all of it %g K", rest.Subject.Above, b.Subject.Above)
	}
}

// The band does not depend on how many workers find it, and the scenario is left
// as it was.
func TestWorkers(t *testing.T) {
	s := load(t, "small_desktop")
	before := s.Clone()
	want := band(t, s, study.Settings{Workers: 1})
	if len(want.Terms) < 10 || want.Subject.Above <= 0 || want.Failed != 0 {
		t.Fatalf("%d terms, %g K above, %d failed", len(want.Terms), want.Subject.Above, want.Failed)
	}
	for _, workers := range []int{0, 2, 5, 100} {
		if got := band(t, s, study.Settings{Workers: workers}); !reflect.DeepEqual(got, want) {
			t.Errorf("%d workers find another band", workers)
		}
	}
	if !reflect.DeepEqual(s, before) {
		t.Error("the scenario has changed")
	}
}

// An end of a range that leads to a runaway is a term that says so, and is
// counted; what the other ends do stays in the band.
func TestFailedVariation(t *testing.T) {
	s := &spec.Scenario{
		Ambient: spec.Ambient{Temperature: spec.Some(20 + zeroCelsius)},
		Lumps: []spec.Lump{{Name: "heater", Capacity: spec.Some(400), Power: watts(300),
			Leakage: spec.Leakage{Power: spec.Some(250)}}},
		Links: []spec.Link{conduct("heater", "ambient", 10)},
	}
	b := band(t, s, at0)
	if len(b.Terms) != 2 || b.Failed != 2 {
		t.Fatalf("%d terms, %d failed", len(b.Terms), b.Failed)
	}
	for _, term := range b.Terms {
		failed, fine := term.AtLow, term.AtHigh // of the reference temperature
		if term.Dimension == spec.PerKelvin {
			failed, fine = fine, failed
		}
		if term.OK() || !strings.Contains(failed.Why, "no level") || !fine.OK() || fine.Value >= 0 {
			t.Errorf("the changes of %s are %+v", term.Path, term.Change)
		}
	}
	if b.Subject.Below <= 0 || b.Subject.Above != 0 {
		t.Errorf("the band reaches %g K below, %g K above", b.Subject.Below, b.Subject.Above)
	}
}

// pot is a pool of water of p watts with 1 W/K to a closed room.
func pot(p float64) *spec.Scenario {
	s := heatedRoom(1)
	s.Ambient.Temperature = spec.Some(20 + zeroCelsius)
	s.Lumps = []spec.Lump{{Name: "pot", Holds: spec.Some(1e-3), Power: watts(p)}}
	s.Links = []spec.Link{conduct("pot", "room", 1)}
	s.Figures.Of = "pot"
	return s
}

// 72.9 W through 1 W/K and 40 W/K lead to 94.7 degC, through 1 W/K and 30 W/K to
// 95.3 degC, where the model ends.
func TestVariationBeyondTheModel(t *testing.T) {
	b := band(t, pot(72.9), at0)
	const want = "pot would settle at 95.3 degC, above 95.0 degC, the end of the coolant's valid range"
	if b.Failed != 1 || len(b.Terms) != 1 || b.Terms[0].AtLow.Why != want {
		t.Errorf("the band is %+v", b)
	}
	near(t, "below", b.Subject.Below, 72.9/40-72.9/80, 1e-6)
}

// Where there is no level the error says why.
func TestNoLevel(t *testing.T) {
	loose := pot(10)
	loose.Links = []spec.Link{conduct("pot", "room", 0)}
	runaway := heatedRoom(300)
	runaway.Lumps[0].Leakage = spec.Leakage{Power: spec.Some(2000), Growth: spec.Some(0.1)}
	for _, c := range []struct {
		name string
		s    *spec.Scenario
		set  study.Settings
		want string
	}{
		{"no load", heatedRoom(0), study.Settings{}, "nothing warms in this run"},
		{"beyond the model", pot(80), at0, "pot would settle at 102.0 degC, above 95.0 degC"},
		{"loose, found", loose, study.Settings{}, "the phase from 0 s has no level: pot is tied to nothing"},
		{"loose, told", loose, at0, "pot has no level to be sure of: pot is tied to nothing"},
		{"runaway", runaway, at0, "equilibrium: no level"},
		{"no time", heatedRoom(1), study.Settings{At: spec.Some(-1)}, "no run comes to -1 s"},
		{"nothing there", &spec.Scenario{}, study.Settings{}, "nothing here stores heat"},
	} {
		b, err := study.BandOf(context.Background(), c.s.Named(), c.set)
		if b != nil || err == nil || !strings.HasPrefix(err.Error(), "study: ") || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: got %v and %v, want an error with %q", c.name, b, err, c.want)
		}
	}
	if _, err := study.BandOf(context.Background(), heatedRoom(0).Named(), study.Settings{}); !errors.Is(err, study.ErrNoWarming) {
		t.Errorf("got %v", err)
	}
}

// patience is a context that is done when it has been asked some times.
type patience struct {
	context.Context
	left int
}

func (p *patience) Err() error {
	if p.left--; p.left < 0 {
		return context.Canceled
	}
	return nil
}

// Whenever the context is done, the run before, the variations and their end
// included, BandOf gives up.
func TestCancelled(t *testing.T) {
	s := load(t, "small_desktop")
	for _, set := range []study.Settings{{Workers: 1}, {Workers: 1, At: spec.Some(0)}} {
		for _, times := range []int{0, 1, 2, 7} {
			ctx := &patience{Context: context.Background(), left: times}
			if b, err := study.BandOf(ctx, s, set); b != nil || !errors.Is(err, context.Canceled) {
				t.Errorf("after %d looks: %v, %v", times, b, err)
			}
			if ctx.left < -2 {
				t.Errorf("after %d looks it looked %d times more", times, -ctx.left)
			}
		}
	}
}
