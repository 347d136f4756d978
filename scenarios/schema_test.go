package scenarios

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"soakledger/sim/spec"
)

// TestSchema compares with the file that other programs' checks use.
func TestSchema(t *testing.T) {
	golden(t, "testdata/schema.json", string(Schema()))
	if !bytes.Equal(Schema(), Schema()) {
		t.Error("two schemas differ")
	}
}

// TestSchemaIsComplete: it is JSON, every reference is defined, every pattern
// is a regular expression, and every key of every section has a meaning.
func TestSchemaIsComplete(t *testing.T) {
	var schema map[string]any
	if err := json.Unmarshal(Schema(), &schema); err != nil {
		t.Fatal(err)
	}
	defs := schema["$defs"].(map[string]any)
	patterns, references := 0, 0
	var visit func(at string, v any)
	visit = func(at string, v any) {
		switch v := v.(type) {
		case []any:
			for _, e := range v {
				visit(at, e)
			}
		case map[string]any:
			for key, e := range v {
				visit(at+"."+key, e)
			}
			if p, ok := v["pattern"].(string); ok {
				patterns++
				if _, err := regexp.Compile(p); err != nil {
					t.Errorf("%s: %v", at, err)
				}
			}
			if ref, ok := v["$ref"].(string); ok {
				references++
				if defs[strings.TrimPrefix(ref, "#/$defs/")] == nil {
					t.Errorf("%s: %s is not defined", at, ref)
				}
			}
			if properties, ok := v["properties"].(map[string]any); ok {
				for key, p := range properties {
					if m, ok := p.(map[string]any); ok && m["description"] == nil && m["const"] == nil {
						t.Errorf("%s.%s has no description", at, key)
					}
				}
			}
		}
	}
	visit("", schema)
	if patterns < 90 || references < 30 {
		t.Errorf("only %d patterns and %d references", patterns, references)
	}
}

// TestSchemaExamples: the example of every field matches its own pattern and
// is read by the reader.
func TestSchemaExamples(t *testing.T) {
	for _, path := range []string{"testdata/good/full.yaml", "testdata/good/parts.yaml", "testdata/good/air.yaml", "testdata/good/control.yaml"} {
		checkExamples(t, load(t, path).Scenario)
	}
}

func checkExamples(t *testing.T, s *spec.Scenario) {
	for f := range s.All() {
		if strings.HasPrefix(f.Path, "start.") {
			continue
		}
		if _, err := ParseValue(f, f.Example); err != nil {
			t.Errorf("%s: its example is refused: %v", f.Path, err)
		}
		schema := singleSchema(f)
		if f.Type == spec.TypeStart {
			continue
		}
		if p, ok := schema["pattern"].(string); ok && !regexp.MustCompile(p).MatchString(f.Example) {
			t.Errorf("%s: its example %q does not match %s", f.Path, f.Example, p)
		}
		if x, err := strconv.ParseFloat(f.Example, 64); schema["type"] == "number" && (err != nil || x < f.Min || x > f.Max) {
			t.Errorf("%s: its example %q is no number in its range", f.Path, f.Example)
		}
	}
}

func TestShipped(t *testing.T) {
	names := map[string]bool{}
	for _, e := range Shipped() {
		names[e.Name] = true
		doc, err := Load(e.Name)
		if err != nil {
			t.Errorf("%s: %v", e.Name, err)
			continue
		}
		if e.Title == "" || e.Title != doc.Scenario.Title {
			t.Errorf("%s has the title %q", e.Name, e.Title)
		}
	}
	if !names["first"] {
		t.Error("first is not shipped")
	}
	for name, says := range map[string]string{"frist": "did you mean first?", "../first": "no shipped scenario", "zzzzzzzzzzzz": "there are"} {
		if _, err := Load(name); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%s: got %v, want %q", name, err, says)
		}
	}
}

// TestSchemaSpeeds: the pattern of a speed takes what the reader takes; a level
// belongs to fans alone.
func TestSchemaSpeeds(t *testing.T) {
	s := load(t, "testdata/good/air.yaml").Scenario
	for path, level := range map[string]bool{"front.fans.speed": true, "back.speed": true, "pump_1.speed": false} {
		f, err := s.FieldAt(path)
		if err != nil {
			t.Fatal(err)
		}
		pattern := regexp.MustCompile(singleSchema(f)["pattern"].(string))
		for text, want := range map[string]bool{
			"1050 rpm": true, "60 %": true, "at 30 dBA": level, "30 dBA": level, "  at  30.5 dB(A)": level, "at 30": false, "30 dB": false,
			"at 60 %": false, "at 1050 rpm": false, "at30 dBA": false, "30": false, "x at 30 dBA": false, "at 30 dBA x": false,
		} {
			v, err := ParseValue(f, text)
			if err == nil {
				_, err = s.With(path, v)
			}
			if got := pattern.MatchString(text); got != want || (err == nil) != want {
				t.Errorf("%s %q: pattern says %t, the reader %v, want %t", path, text, got, err, want)
			}
		}
	}
}

// TestSamples: what messages propose for a section is taken as it stands.
func TestSamples(t *testing.T) {
	surround := func(within []string, text string) string {
		for i := len(within) - 1; i >= 0; i-- {
			text = within[i] + ": {" + text + "}"
		}
		return text
	}
	files := fstest.MapFS{"room.csv": {Data: []byte("t [s],Room [degC]\n0,21\n60,22\n")}}
	tried := 0
	var visit func(s *spec.Section, within []string, begin, end string)
	visit = func(s *spec.Section, within []string, begin, end string) {
		for _, f := range s.Fields {
			if f.Section == nil || f.Type == spec.TypeSections && f.Example == "" {
				continue
			}
			text, short, both := strings.Cut(sample(f), ", or shortly ")
			texts := []string{text}
			if both {
				texts = append(texts, short)
			}
			for _, text := range texts {
				tried++
				if f.Key == "sensor" { // a controller needs a curve as well
					text += ", period: 2 s, points: [[30 degC, 600 rpm], [42 degC, 1500 rpm]]"
				}
				src := begin + surround(within, text) + end
				if _, err := ReadFS(files, "sample.yaml", []byte(src)); err != nil {
					t.Errorf("%s is refused: %v", src, err)
				}
			}
			if f.Type == spec.TypeSection {
				visit(f.Section, append(within[:len(within):len(within)], f.Key), begin, end)
			}
		}
	}
	visit(spec.Root(), nil, "{", "}")
	loops, _ := spec.Root().Field("loops")
	parts, _ := loops.Section.Field("parts")
	for _, kind := range parts.Section.Kinds {
		visit(kind.Section, nil, "{case: {}, loop: [{part: "+kind.Name+", ", "}]}")
	}
	if tried < 25 {
		t.Errorf("only %d samples tried", tried)
	}
}
