package spec

import (
	"errors"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// TestBranchNames: made names count through branches in file order, and a
// parallel element itself has none.
func TestBranchNames(t *testing.T) {
	want := map[string]string{
		"chips[0]": "cpu", "chips[1]": "gpu", "loops[0]": "main", "loops[0].parts[0]": "driver", "loops[0].parts[1]": "tube_1",
		"loops[0].parts[2].parallel[0].parts[0]":                      "tube_2",
		"loops[0].parts[2].parallel[0].parts[1].parallel[0].parts[0]": "block_1",
		"loops[0].parts[2].parallel[0].parts[1].parallel[1].parts[0]": "tube_3",
		"loops[0].parts[2].parallel[0].parts[2]":                      "fitting_1",
		"loops[0].parts[2].parallel[1].parts[0]":                      "block_2",
		"loops[0].parts[2].parallel[1].parts[1]":                      "rear",
		"loops[0].parts[3]":                                           "front",
		"loops[0].parts[4]":                                           "tube_4",
		"loops[0].parts[5]":                                           "reservoir_1",
		"links[0]":                                                    "link_1", "links[1]": "link_2",
	}
	s := rig()
	if got := s.Named().Names(); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if !reflect.DeepEqual(s, rig()) {
		t.Error("the original was named")
	}
}

// TestParts: the walk meets every part once, in file order, and no parallel
// element; it stops when it is told to.
func TestParts(t *testing.T) {
	s := rig().Named()
	var names []string
	for p := range s.Parts() {
		names = append(names, p.Name)
	}
	want := strings.Fields("driver tube_1 tube_2 block_1 tube_3 fitting_1 block_2 rear front tube_4 reservoir_1")
	if !slices.Equal(names, want) {
		t.Errorf("got %v, want %v", names, want)
	}
	for n := range want {
		met := 0
		for p := range s.Parts() {
			if p.Name != want[met] {
				t.Errorf("%s at %d", p.Name, met)
			}
			if met++; met > n {
				break
			}
		}
		if met != n+1 {
			t.Errorf("%d parts met after a break at %d", met, n+1)
		}
	}
}

func TestGetInBranches(t *testing.T) {
	s := rig().Named()
	for path, want := range map[string]Value{
		"driver.curve[1].head":  NumberValue(25000),
		"driver.speed":          SpeedValue(Speed{Share: Some(0.6)}),
		"driver.price":          NumberValue(90),
		"front.points[0].speed": NumberValue(12.5),
		"front.fans.count":      NumberValue(2),
		"block_1.cools":         TextValue("cpu"),
		"block_1.drop[1].drop":  NumberValue(12000),
		"rear.conductance":      NumberValue(12),
		"fitting_1.loss":        NumberValue(1.5),
		"tube_3.bends":          NumberValue(2),
		"case.other_heat":       PowerValue(Power{Share: Some(0.12), Of: "cpu"}),
		"case.conductance":      {},
		"room.capacity":         {},
		"start.room":            NumberValue(294.15),
		"main.parts[2].parallel[1].parts[1].empty":                         NumberValue(0.78),
		"loops[0].parts[2].parallel[0].parts[1].parallel[0].parts[0].part": TextValue("block"),
	} {
		if got, err := s.Get(path); err != nil || got != want {
			t.Errorf("%s: got %v, %v; want %v", path, got, err, want)
		}
	}
}

func TestBranchPathErrors(t *testing.T) {
	s := rig().Named()
	for path, says := range map[string]string{
		"driver.curve.head":                       "curve is a list: write curve[0]",
		"driver.curve[3].head":                    "curve has 3 elements",
		"driver.curve[0]":                         "it has keys or elements of its own",
		"driver.curve[0].drop":                    "it has no key drop",
		"main.parts[2].holds":                     "a parallel element has no holds: state it on the parts in its branches",
		"main.parts[2].bore":                      "a parallel element has no bore",
		"main.parts[2].colour":                    "it has no key colour",
		"main.parts[1].parallel[0].parts[0].bore": "it has no key parallel",
		"main.parts[2].parallel[2].parts[0].bore": "parallel has 2 elements",
		"main.parts[2].parallel":                  "it has keys or elements of its own",
		"rear.bore":                               "a radiator has no bore (a tube or a fitting has)",
		"block_3.cools":                           "nothing is called block_3; did you mean block_1.cools?",
		"room":                                    "it has keys or elements of its own",
	} {
		_, err := s.Get(path)
		var pathErr *PathError
		if !errors.As(err, &pathErr) || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: got %v, want %q", path, err, says)
		}
	}
	_, err := new(Scenario).Get("room.capacitty")
	if err == nil || !strings.Contains(err.Error(), "did you mean room.capacity?") {
		t.Errorf("before a room is stated: %v", err)
	}
}

// TestRigAgrees: every path of All leads to its value, set or taken back
// nothing else changes, the original never does, and the hash sees it.
func TestRigAgrees(t *testing.T) {
	s, before := rig().Named(), rig().Named()
	var fields []Field
	for f, v := range s.All() {
		if got, err := s.Get(f.Path); err != nil || got != v {
			t.Errorf("%s: All says %v, Get %v, %v", f.Path, v, got, err)
		}
		if f.Key != "name" && f.Key != KindKey && f.Path != "start" {
			fields = append(fields, f)
		}
	}
	if len(fields) < 150 {
		t.Fatalf("only %d fields", len(fields))
	}
	rapid.Check(t, func(t *rapid.T) {
		f := rapid.SampledFrom(fields).Draw(t, "field")
		v := drawValue(t, f)
		c, err := s.With(f.Path, v)
		if err != nil {
			t.Fatalf("%s to %v: %v", f.Path, v, err)
		}
		if got, err := c.Get(f.Path); err != nil || got != v {
			t.Fatalf("%s is %v, %v after it was set to %v", f.Path, got, err, v)
		}
		if !reflect.DeepEqual(s, before) {
			t.Fatalf("setting %s changed the original", f.Path)
		}
		if free := unhashed(f); (Hash(c) == Hash(s)) != (free || v == mustGet(s, f.Path)) {
			t.Fatalf("%s from %v to %v: the hash does not follow", f.Path, mustGet(s, f.Path), v)
		}
		back, err := c.With(f.Path, mustGet(s, f.Path))
		if err != nil || !reflect.DeepEqual(back, s) {
			t.Fatalf("setting %s and taking it back leaves %+v, %v", f.Path, back, err)
		}
	})
}

// TestStatedSections: a room exists when it is written or when one of its keys
// is set, an empty one is not the same as none, and taking back what is not
// stated makes none.
func TestStatedSections(t *testing.T) {
	none, empty := &Scenario{}, &Scenario{Room: &Room{}}
	if Hash(none) == Hash(empty) || Hash(empty) == Hash(&Scenario{Case: &Case{}}) {
		t.Error("an empty section does not show in the hash")
	}
	if f, v := len(slices.Collect(fieldsOf(none))), len(slices.Collect(fieldsOf(empty))); v != f+2 {
		t.Errorf("%d fields without a room, %d with one", f, v)
	}
	c, err := none.With("room.capacity", NumberValue(3e5))
	if err != nil || c.Room == nil || c.Room.Capacity != Some(3e5) || none.Room != nil {
		t.Errorf("set: %+v, %v; original %+v", c, err, none.Room)
	}
	if v, err := none.Get("case.work"); err != nil || v.IsSet() || none.Case != nil {
		t.Errorf("read: %v, %v, %+v", v, err, none.Case)
	}
	if c, err := none.With("case.work", Value{}); err != nil || c.Case != nil {
		t.Errorf("taken back: %+v, %v", c.Case, err)
	}
	if copied := empty.Clone(); copied.Room == empty.Room {
		t.Error("a copy shares the room")
	}
	d, err := none.Clone().Draft().Into("room")
	if err != nil || d.Put("capacity", NumberValue(1)) != nil {
		t.Errorf("filling: %v", err)
	}
}

func fieldsOf(s *Scenario) func(yield func(string) bool) {
	return func(yield func(string) bool) {
		for f := range s.All() {
			if !yield(f.Path) {
				return
			}
		}
	}
}

// TestCloneOfBranches changes what a copy of the rig points to.
func TestCloneOfBranches(t *testing.T) {
	s := rig()
	c := s.Clone()
	c.Loops[0].Parts[0].Pump.Curve[1].Head = Some(1)
	c.Loops[0].Parts[2].Branches[0].Parts[1].Branches[1].Parts[0].Tube.Bore = Some(1)
	c.Loops[0].Parts[2].Branches[1].Parts[0].Block.Drop[0].Drop = Some(1)
	c.Case.Chassis.Capacity = Some(1)
	if !reflect.DeepEqual(s, rig()) {
		t.Error("changing the copy changed the original")
	}
}

// TestDraftOfBranches fills a parallel element and a curve as a reader does.
func TestDraftOfBranches(t *testing.T) {
	var s Scenario
	must := func(d Draft, err error) Draft {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	loop := must(s.Draft().Append("loops"))
	element := must(must(loop.Append("parts")).SetParallel())
	if !element.Parallel() || !slices.Equal(element.Keys(), []string{"parallel"}) || element.Kind() != "" {
		t.Errorf("keys %v of a parallel element", element.Keys())
	}
	branch := must(element.Append("parallel"))
	pump := must(must(branch.Append("parts")).SetKind("pump"))
	point := must(pump.Append("curve"))
	if err := errors.Join(point.Put("flow", NumberValue(0)), point.Put("head", NumberValue(3)), pump.Put("speed", NumberValue(20))); err != nil {
		t.Fatal(err)
	}
	want := Scenario{Loops: []Loop{{Parts: []Part{{Branches: []Branch{{Parts: []Part{{
		Kind: "pump", Pump: &Pump{Curve: []FlowHead{{Some(0), Some(3)}}, Speed: Speed{Rate: Some(20)}},
	}}}}}}}}}
	if !reflect.DeepEqual(s, want) {
		t.Errorf("got %+v", s)
	}
	for name, err := range map[string]error{
		"a key of parts": element.Put("holds", NumberValue(1)),
		"a kind's key":   element.Put("bore", NumberValue(1)),
		"branches":       element.Put("parallel", NumberValue(1)),
		"of a chip":      second(s.Draft().SetParallel()),
		"no parallel":    second(pump.Append("parallel")),
		"a speed's word": pump.Put("speed", TextValue("fast")),
	} {
		if err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
}

func TestSpeedStrings(t *testing.T) {
	for want, s := range map[string]Speed{"unset": {}, "20 1/s": {Rate: Some(20)}, "0.6 of rated": {Share: Some(0.6)}} {
		if got := SpeedValue(s).String(); got != want || s.String() != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	if SpeedValue(Speed{}).IsSet() || fmt.Sprint(TypeSpeed) != "speed" {
		t.Error("an empty speed counts as stated, or its type has no word")
	}
}
