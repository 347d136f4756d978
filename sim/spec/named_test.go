package spec

import (
	"reflect"
	"testing"
)

func TestNamed(t *testing.T) {
	s := workstation()
	named := s.Named()
	want := map[string]string{
		"chips[0]": "cpu", "chips[1]": "chip_2", "loops[0]": "loop_1",
		"loops[0].parts[0]": "pump_1", "loops[0].parts[1]": "tube_1", "loops[0].parts[2]": "block_1",
		"loops[0].parts[3]": "front", "loops[0].parts[4]": "tube_2",
		"lumps[0]": "board", "lumps[1]": "wall", "links[0]": "link_1", "links[1]": "link_2",
		"work[0]": "render", "work[1]": "work_2",
	}
	if got := named.Names(); !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if !reflect.DeepEqual(s, workstation()) {
		t.Error("the original was named")
	}
	if again := named.Named(); !reflect.DeepEqual(again, named) {
		t.Error("naming a named scenario changes it")
	}
}

// TestNamedAvoidsCollisions: made names give way to stated ones, wherever
// those stand, and never repeat.
func TestNamedAvoidsCollisions(t *testing.T) {
	tube := func(name string) Part { return Part{Kind: "tube", Name: name, Tube: &Tube{}} }
	s := &Scenario{
		Loops: []Loop{{Parts: []Part{tube(""), tube("tube_2"), tube("")}}, {Parts: []Part{tube(""), {}}}},
		Lumps: []Lump{{Name: "tube_1", HeldAt: Some(300)}},
	}
	got := s.Named().Names()
	want := map[string]string{
		"loops[0]": "loop_1", "loops[1]": "loop_2", "lumps[0]": "tube_1",
		"loops[0].parts[0]": "tube_3", "loops[0].parts[1]": "tube_2", "loops[0].parts[2]": "tube_4",
		"loops[1].parts[0]": "tube_5", "loops[1].parts[1]": "part_1",
	}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// TestNamesAreStable: naming one tube leaves the others' made names.
func TestNamesAreStable(t *testing.T) {
	s := workstation()
	s.Loops[0].Parts[1].Name = "return_line"
	if got := s.Named().Loops[0].Parts[4].Name; got != "tube_2" {
		t.Errorf("the second tube is now called %s", got)
	}
}

func TestNearest(t *testing.T) {
	keys := []string{"conductance", "test_flow", "cells", "per", "name"}
	for word, want := range map[string]string{
		"conductanse": "conductance", "cnoductance": "conductance", "Conductance": "conductance", "testflow": "test_flow",
		"cell": "cells", "pre": "per", "nmae": "name", "colour": "", "x": "", "": "", "volume": "",
	} {
		if got := Nearest(word, keys); got != want {
			t.Errorf("%q is nearest to %q, want %q", word, got, want)
		}
	}
}

// TestDistance checks values that follow from the definition by hand.
func TestDistance(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want int
	}{{"", "", 0}, {"", "abc", 3}, {"abc", "abc", 0}, {"kitten", "sitting", 3}, {"ab", "ba", 1}, {"ca", "abc", 3}, {"größe", "grösse", 2}} {
		if got := distance(c.a, c.b); got != c.want || distance(c.b, c.a) != c.want {
			t.Errorf("%q to %q: %d, want %d", c.a, c.b, got, c.want)
		}
	}
}
