package spec

import (
	"reflect"
	"strings"
	"testing"
)

// TestDraft fills a scenario the way a reader does.
func TestDraft(t *testing.T) {
	var s Scenario
	must := func(d Draft, err error) Draft {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	put := func(d Draft, key string, v Value) {
		t.Helper()
		if err := d.Put(key, v); err != nil {
			t.Fatal(err)
		}
	}
	root := s.Draft()
	put(must(root.Into("coolant")), "fluid", TextValue("water"))
	loop := must(root.Append("loops"))
	part := must(must(loop.Append("parts")).SetKind("tube"))
	put(part, "bore", NumberValue(0.01))
	put(part, "power", NumberValue(3))
	put(must(root.Into("figures")), "coolant_at", NumberValue(310))
	put(must(root.Into("figures")), "coolant_at", NumberValue(320))
	if err := root.PutStart("board", 300); err != nil {
		t.Fatal(err)
	}
	want := Scenario{
		Coolant: Coolant{Fluid: "water"},
		Loops:   []Loop{{Parts: []Part{{Kind: "tube", Tube: &Tube{Bore: Some(0.01)}, Power: Power{Watts: Some(3)}}}}},
		Figures: Figures{CoolantAt: []Number{Some(310), Some(320)}},
		Start:   Start{Nodes: []StartNode{{Node: "board", Temperature: 300}}},
	}
	if !reflect.DeepEqual(s, want) {
		t.Errorf("got %+v", s)
	}
	if part.Kind() != "tube" || !strings.Contains(strings.Join(part.Keys(), " "), "bore") {
		t.Errorf("kind %q, keys %v", part.Kind(), part.Keys())
	}
}

func TestDraftRefuses(t *testing.T) {
	var s Scenario
	root := s.Draft()
	loop, _ := root.Append("loops")
	part, _ := loop.Append("parts")
	for name, err := range map[string]error{
		"unknown key":       root.Put("colour", NumberValue(1)),
		"wrong type":        root.Put("duration", TextValue("long")),
		"section as value":  root.Put("ambient", NumberValue(1)),
		"list as value":     root.Put("chips", NumberValue(1)),
		"key before kind":   part.Put("bore", NumberValue(1)),
		"start in a part":   part.PutStart("x", 300),
		"into a value":      second(root.Into("duration")),
		"append to a value": second(root.Append("duration")),
		"unknown kind":      second(part.SetKind("hose")),
		"kind of a chip":    second(root.SetKind("tube")),
	} {
		if err == nil {
			t.Errorf("%s is accepted", name)
		}
	}
}

func second(_ Draft, err error) error { return err }

func TestValueStrings(t *testing.T) {
	for want, v := range map[string]Value{
		"unset": {}, "18": NumberValue(18), "level": TextValue("level"), "forever": RepeatValue(Repeat{Forever: true}), "8": RepeatValue(Repeat{Count: 8}),
		"210 W": PowerValue(Power{Watts: Some(210)}), "0.12 of cpu": PowerValue(Power{Share: Some(0.12), Of: "cpu"}), "0.8 of its own": PowerValue(Power{Share: Some(0.8)}),
	} {
		if v.String() != want {
			t.Errorf("got %q, want %q", v.String(), want)
		}
	}
	if TextValue("").IsSet() || PowerValue(Power{}).IsSet() || RepeatValue(Repeat{}).IsSet() {
		t.Error("an empty value counts as stated")
	}
	if (Power{}).String() != "unset" || TypeSections.String() != "list" {
		t.Error("words of types")
	}
	if Some(3).Or(4) != 3 || (Number{}).Or(4) != 4 {
		t.Error("Or")
	}
}
