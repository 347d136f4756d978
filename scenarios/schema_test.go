package scenarios

import (
	"bytes"
	"encoding/json"
	"regexp"
	"strconv"
	"strings"
	"testing"

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
	for _, path := range []string{"testdata/good/full.yaml", "testdata/good/parts.yaml"} {
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
