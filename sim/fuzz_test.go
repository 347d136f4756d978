package sim_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/spec"
)

// FuzzAssemble takes a drawn machine, sets some of its figures to anything in
// their allowed range, and takes parts out of it. What comes of it is a list of
// problems, a result whose ledger closes, or an integration that could not go on
// and says why, with its result.
func FuzzAssemble(f *testing.F) {
	for seed := range uint64(8) { // a machine takes more bytes than the fuzzer begins with
		bytes := make([]byte, 1<<14)
		random := rand.NewPCG(seed, 1)
		for i := range bytes {
			bytes[i] = byte(random.Uint64())
		}
		f.Add(bytes)
	}
	f.Fuzz(rapid.MakeFuzz(anyFigures))
}

// TestAnyFigures is a run of the same that the cache of the fuzzer does not
// steer.
func TestAnyFigures(t *testing.T) { rapid.Check(t, anyFigures) }

func anyFigures(t *rapid.T) {
	s := disturb(t, drawMachine(t))
	if problems := spec.Check(s); problems != nil {
		return // a refused scenario is an answer
	}
	r, err := attempt(s, sim.Settings{})
	var problems assemble.Problems
	switch {
	case errors.As(err, &problems):
		if strings.Contains(err.Error(), "NaN") || problems[0].Path == "" {
			t.Fatal(err)
		}
		return
	case r == nil:
		t.Fatal(err)
	case (err != nil) != (r.Status == sim.Failed):
		t.Fatalf("status %s with the error %v", r.Status, err)
	}
	if !(r.Ledger.Relative() <= r.MostLeft) {
		t.Fatalf("the ledger leaves %g, more than %g", r.Ledger.Relative(), r.MostLeft)
	}
	if _, err := r.Frames(); err != nil {
		t.Fatal(err)
	}
	for i, n := range r.Plan.Nodes {
		if !(r.Lowest[i] <= r.Highest[i]) {
			t.Fatalf("%s passes %g to %g K", n.Path, r.Lowest[i], r.Highest[i])
		}
	}
}

// disturb sets up to four numbers of a scenario to anything that is allowed,
// evenly over the decades, and may drop a part, a link or a lump. Runs stay
// short.
func disturb(t *rapid.T, s *spec.Scenario) *spec.Scenario {
	var fields []spec.Field
	for f, v := range s.All() {
		if v.Type == spec.TypeNumber && !strings.HasPrefix(f.Path, "solver") && !strings.HasPrefix(f.Path, "record") && f.Path != "duration" {
			fields = append(fields, f)
		}
	}
	for range rapid.IntRange(0, 4).Draw(t, "changes") {
		f := rapid.SampledFrom(fields).Draw(t, "field")
		changed, err := s.With(f.Path, spec.NumberValue(anything(t, f)))
		if err == nil {
			s = changed
		}
	}
	s = s.Clone()
	if len(s.Links) > 0 && rapid.Bool().Draw(t, "drop a link") {
		s.Links = s.Links[1:]
	}
	if len(s.Loops) > 0 && rapid.Bool().Draw(t, "drop a part") {
		s.Loops[0].Parts = s.Loops[0].Parts[1:]
	}
	s.Duration = spec.Some(rapid.Float64Range(1e-3, 60).Draw(t, "duration"))
	return s
}

// anything returns a value of a field's range.
func anything(t *rapid.T, f spec.Field) float64 {
	low, high := f.Min, f.Max
	switch {
	case f.Dimension == spec.Count:
		return float64(rapid.IntRange(int(low), int(high)).Draw(t, "count"))
	case low > 0 && high/low > 100:
		return math.Min(math.Max(math.Exp(rapid.Float64Range(math.Log(low), math.Log(high)).Draw(t, "decade")), low), high)
	}
	return rapid.Float64Range(low, high).Draw(t, "value")
}
