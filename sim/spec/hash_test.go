package spec

import (
	"math"
	"strings"
	"testing"
)

// TestHashGolden pins the canonical form: a change of it changes the identity
// of every dataset written before, so it needs a new hashVersion. The value
// of the empty scenario is sha256sum of the version line; the others were
// produced by this program.
func TestHashGolden(t *testing.T) {
	// The first pin was made when a lump could be called case. New keys and
	// sections leave it alone as long as they are not stated.
	first := workstation().Named()
	first.Lumps[0].Name, first.Links[0].From, first.Links[1].To, first.Start.Nodes[1].Node = "case", "case", "case", "case"
	for name, c := range map[string]struct {
		s    *Scenario
		want string
	}{
		"empty":       {&Scenario{}, "e2a6bd3031799213d7b538bc27e46c907d984e5f5f7132d997c1445e2f915c97"},
		"workstation": {first, "d52612ec1496f084b92eeb78ce2b52f0dfe9e57e5227d4c61a6e0d7e153c8b2e"},
		"rig":         {rig().Named(), "42eaf7b54b0b9f99653ab55dbb621510e1af96d70fce402eccc3b49e340f5bf6"},
		"plant":       {plant().Named(), "8dae3ae65354808447a794c36357bb04af5f5e12dcd8b97ab91361ebac8689de"},
		"tower":       {tower().Named(), "1c06d64a2ad17582f951de04f427a8fd5331f562bb358fa1bc4ff7e152f51d0b"},
	} {
		if got := Hash(c.s); got != c.want {
			t.Errorf("%s: hash is %s, want %s", name, got, c.want)
		}
	}
}

// TestHashSeesEverything: changing any field changes the hash, titles and
// notes aside.
func TestHashSeesEverything(t *testing.T) {
	for _, s := range []*Scenario{workstation().Named(), rig().Named(), tower().Named(), plant().Named()} {
		hashSeesEverything(t, s)
	}
}

func hashSeesEverything(t *testing.T, s *Scenario) {
	seen := map[string]string{Hash(s): "the original"}
	for f, v := range s.All() {
		if f.Key == "name" || f.Key == KindKey || f.Path == "start" {
			continue
		}
		c, err := s.With(f.Path, other(f, v))
		if err != nil {
			t.Fatalf("%s: %v", f.Path, err)
		}
		h := Hash(c)
		if unhashed(f) {
			if h != Hash(s) {
				t.Errorf("%s shows in the hash", f.Path)
			}
			continue
		}
		if earlier, ok := seen[h]; ok {
			t.Errorf("changing %s gives the hash of %s", f.Path, earlier)
		}
		seen[h] = f.Path
	}
}

// unhashed reports whether a field changes no result and so no hash: titles,
// notes, and what makes designs of a scenario.
func unhashed(f Field) bool {
	return f.Key == "title" || f.Key == "note" || strings.HasPrefix(f.Path, "study.") || strings.HasPrefix(f.Path, "variants.")
}

// other returns an allowed value that differs from v.
func other(f Field, v Value) Value {
	switch f.Type {
	case TypeNumber:
		if v.IsSet() && v.Number == f.Min {
			return NumberValue(f.Max)
		}
		return NumberValue(f.Min)
	case TypePower:
		return PowerValue(Power{Watts: Some(77)})
	case TypeSpeed:
		return SpeedValue(Speed{Share: Some(0.77)})
	case TypeRepeat:
		return RepeatValue(Repeat{Count: 99})
	}
	for _, word := range f.One {
		if word != v.Text {
			return TextValue(word)
		}
	}
	return TextValue("something else")
}

// TestHashStructure: what is not a field shows as well.
func TestHashStructure(t *testing.T) {
	base := Hash(workstation().Named())
	for name, change := range map[string]func(s *Scenario){
		"name of a part":   func(s *Scenario) { s.Loops[0].Parts[3].Name = "rear" },
		"order of parts":   func(s *Scenario) { p := s.Loops[0].Parts; p[1], p[4] = p[4], p[1] },
		"another loop":     func(s *Scenario) { s.Loops = append(s.Loops, Loop{}) },
		"rule of start":    func(s *Scenario) { s.Start = Start{Rule: "level"} },
		"a node less":      func(s *Scenario) { s.Start.Nodes = s.Start.Nodes[:1] },
		"share reference":  func(s *Scenario) { s.Loops[0].Parts[2].Power.Of = "chip_2" },
		"share of its own": func(s *Scenario) { s.Work[0].Steps[1].Power = Power{Watts: Some(0.8)} },
		"an empty room":    func(s *Scenario) { s.Room = &Room{} },
		"a parallel part": func(s *Scenario) {
			p := s.Loops[0].Parts
			s.Loops[0].Parts = append(p[:3:3], Part{Branches: []Branch{{Parts: p[3:4]}, {Parts: p[4:]}}})
		},
		"forever": func(s *Scenario) { s.Work[0].Repeat = Repeat{Forever: true} },
	} {
		s := workstation().Named()
		change(s)
		if Hash(s) == base {
			t.Errorf("%s does not show in the hash", name)
		}
	}
}

// TestHashIgnores: the order of start temperatures and the sign of zero do not
// show.
func TestHashIgnores(t *testing.T) {
	base := Hash(workstation().Named())
	s := workstation().Named()
	n := s.Start.Nodes
	n[0], n[1] = n[1], n[0]
	if Hash(s) != base {
		t.Error("the order of start temperatures shows in the hash")
	}
	a, b := &Scenario{Duration: Some(0)}, &Scenario{Duration: Some(math.Copysign(0, -1))}
	if Hash(a) != Hash(b) {
		t.Error("the sign of zero shows in the hash")
	}
}
