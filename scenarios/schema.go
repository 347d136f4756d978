package scenarios

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// object is a JSON object; its keys are written in alphabetical order, so that
// the schema is the same every time.
type object = map[string]any

// Schema returns the JSON Schema (draft 2020-12) of scenario files, for editors
// and for checks by other programs. It is made from the same tags as the
// reader. Structure, words and units are in it; ranges of quantities are only
// described, and references are not checked.
func Schema() []byte {
	w := &schemaWriter{defs: object{}}
	body := w.section(spec.Root(), nil)
	properties := body["properties"].(object)
	loops, _ := spec.Root().Field("loops")
	parts, _ := loops.Section.Field("parts")
	properties["loop"] = object{
		"description": "short for one entry of loops: its parts in flow order",
		"anyOf":       []any{w.list(parts), w.ref(loops.Section)},
	}
	body["dependentSchemas"] = object{"loop": object{"properties": object{"loops": false}}}
	body["$schema"] = "https://json-schema.org/draft/2020-12/schema"
	body["title"] = "soakledger scenario"
	body["$defs"] = w.defs
	var b bytes.Buffer
	encoder := json.NewEncoder(&b)
	encoder.SetEscapeHTML(false)
	encoder.SetIndent("", "  ")
	if err := encoder.Encode(body); err != nil {
		panic("scenarios: schema: " + err.Error()) // maps, lists and texts always encode
	}
	return b.Bytes()
}

// schemaWriter collects the definitions of sections.
type schemaWriter struct{ defs object }

// ref defines a section once and refers to it.
func (w *schemaWriter) ref(s *spec.Section) object {
	if w.defs[s.Name] == nil {
		w.defs[s.Name] = object{} // keeps its place while it is being made
		if len(s.Kinds) > 0 {
			w.defs[s.Name] = w.kinds(s)
		} else {
			w.defs[s.Name] = w.section(s, nil)
		}
	}
	return object{"$ref": "#/$defs/" + s.Name}
}

// kinds is a choice of sections by the key that says what they are.
func (w *schemaWriter) kinds(s *spec.Section) object {
	var choices []any
	for _, k := range s.Kinds {
		name := s.Name + "_" + k.Name
		w.defs[name] = w.section(s, &k)
		choices = append(choices, object{"$ref": "#/$defs/" + name})
	}
	if s.Branches != nil {
		name := s.Name + "_" + s.Branches.Key
		w.defs[name] = w.parallel(*s.Branches)
		choices = append(choices, object{"$ref": "#/$defs/" + name})
	}
	return object{"oneOf": choices}
}

// parallel is an object with branches, each a bare list of parts, and no other
// key.
func (w *schemaWriter) parallel(f spec.Field) object {
	parts, _ := f.Section.Field("parts")
	branch := w.list(parts)
	branch["minItems"] = 1
	return object{
		"type": "object", "additionalProperties": false, "required": []string{f.Key},
		"properties": object{f.Key: object{"description": f.Doc, "type": "array", "minItems": 2, "items": branch}},
	}
}

// section is an object with the keys of s and, if given, of one kind.
func (w *schemaWriter) section(s *spec.Section, kind *spec.Kind) object {
	properties := object{}
	for _, f := range s.Fields {
		properties[f.Key] = w.field(f)
	}
	body := object{"type": "object", "properties": properties, "additionalProperties": false}
	if kind == nil {
		return body
	}
	for _, f := range kind.Section.Fields {
		properties[f.Key] = w.field(f)
	}
	properties[spec.KindKey] = object{"const": kind.Name}
	body["required"] = []string{spec.KindKey}
	return body
}

// field is the value of one key, with its meaning, range and an example.
func (w *schemaWriter) field(f spec.Field) object {
	body := w.value(f)
	body["description"] = description(f)
	if f.Example != "" && f.Section == nil {
		body["examples"] = []any{example(f)}
	}
	return body
}

func (w *schemaWriter) value(f spec.Field) object {
	switch f.Type {
	case spec.TypeSection:
		if f.Short == "" {
			return w.ref(f.Section)
		}
		short, _ := f.Section.Field(f.Short)
		return object{"anyOf": []any{w.ref(f.Section), w.value(short)}}
	case spec.TypeSections:
		if f.Pair {
			return w.points(f)
		}
		return w.list(f)
	case spec.TypeNumbers:
		one := quantitySchema(f)
		return object{"anyOf": []any{object{"type": "array", "items": one}, one}}
	case spec.TypeValues, spec.TypeTexts, spec.TypeComparisons:
		one := singleSchema(f.Element(0))
		return object{"anyOf": []any{object{"type": "array", "items": one}, one}}
	case spec.TypeVariants:
		return w.variants()
	case spec.TypeStart:
		node := quantitySchema(spec.Field{Dimension: spec.Temperature})
		return object{"anyOf": []any{object{"enum": f.One}, object{"type": "object", "additionalProperties": node}}}
	}
	return singleSchema(f)
}

// list is a list of sections, with the short forms of loops and work.
func (w *schemaWriter) list(f spec.Field) object {
	item := w.ref(f.Section)
	if f.Key == "loops" {
		parts, _ := f.Section.Field("parts")
		item = object{"anyOf": []any{item, w.list(parts)}}
	}
	list := object{"type": "array", "items": item}
	if f.Key == "work" {
		return object{"anyOf": []any{list, item}}
	}
	return list
}

// variants is a map of names to lists of what may stand in their place: any keys
// of the thing, of which the name is that of the variant.
func (w *schemaWriter) variants() object {
	var choices []any
	for _, s := range spec.Varieties() {
		kinds := []*spec.Kind{nil}
		if len(s.Kinds) > 0 {
			kinds = nil
		}
		for i := range s.Kinds {
			kinds = append(kinds, &s.Kinds[i])
		}
		for _, kind := range kinds {
			name := "Variant_" + s.Name
			if kind != nil {
				name = "Variant_" + kind.Name
			}
			body := w.section(s, kind)
			body["required"] = []string{"name"}
			properties := body["properties"].(object)
			properties["name"] = w.field(spec.Field{Key: "name", Type: spec.TypeText, Doc: "name of the variant", Example: "slim"})
			w.defs[name] = body
			choices = append(choices, object{"type": "array", "items": object{"$ref": "#/$defs/" + name}})
		}
	}
	return object{"type": "object", "additionalProperties": object{"anyOf": choices}}
}

// points is a list of pairs, or a single one without the brackets around it.
func (w *schemaWriter) points(f spec.Field) object {
	x, y := f.Section.Fields[0], f.Section.Fields[1]
	pair := object{
		"type": "array", "prefixItems": []any{singleSchema(x), singleSchema(y)},
		"minItems": 2, "maxItems": 2, "items": false,
	}
	long := w.ref(f.Section)
	w.defs[f.Section.Name].(object)["required"] = []string{x.Key, y.Key}
	list := object{"type": "array", "items": object{"anyOf": []any{pair, long}}}
	return object{"anyOf": []any{list, pair}}
}

func singleSchema(f spec.Field) object {
	switch {
	case f.Type == spec.TypeNumber:
		return quantitySchema(f)
	case f.Type == spec.TypePower:
		return object{"type": "string", "pattern": powerPattern(f)}
	case f.Type == spec.TypeSpeed:
		return object{"type": "string", "pattern": speedPattern(f)}
	case f.Type == spec.TypeRepeat:
		return object{"anyOf": []any{wholeNumber(f), object{"const": "forever"}}}
	case f.One != nil:
		return object{"enum": f.One}
	case f.Key == "name":
		return object{"type": "string", "pattern": "^[a-z][a-z0-9_]*$"}
	}
	return object{"type": []string{"string", "number"}}
}

func quantitySchema(f spec.Field) object {
	if f.Dimension == spec.Count {
		return wholeNumber(f)
	}
	if len(quantity.Units(f.Dimension)) == 0 {
		return object{"type": "number", "minimum": f.Min, "maximum": f.Max}
	}
	return object{"type": "string", "pattern": anchored(quantity.Pattern(f.Dimension))}
}

func wholeNumber(f spec.Field) object {
	return object{"type": "integer", "minimum": f.Min, "maximum": f.Max}
}

func anchored(pattern string) string { return "^(?:" + pattern + ")$" }

func powerPattern(f spec.Field) string {
	share := quantity.Pattern(spec.Ratio)
	pattern := quantity.Pattern(spec.PowerFlow) + "|" + share + " of [a-z][a-z0-9_]*"
	if f.OwnShare {
		pattern += "|" + share
	}
	return anchored(pattern)
}

func speedPattern(f spec.Field) string {
	pattern := quantity.Pattern(spec.Ratio) + "|" + quantity.Pattern(spec.RotationSpeed)
	if f.ByLevel {
		pattern += `|(?:\s*at\s)?` + quantity.Pattern(spec.SoundLevel)
	}
	return anchored(pattern)
}

func description(f spec.Field) string {
	text := f.Doc
	if (f.Type == spec.TypeNumber || f.Type == spec.TypeSpeed) && !math.IsInf(f.Min, 0) && !math.IsInf(f.Max, 0) {
		text += fmt.Sprintf(" (%s to %s)", quantity.Format(f.Min, f.Dimension), quantity.Format(f.Max, f.Dimension))
	}
	return text
}

// example gives the example of a field as JSON would hold it.
func example(f spec.Field) any {
	if several := strings.Split(f.Example, ", "); (f.Type == spec.TypeNumbers || f.Type == spec.TypeValues) && len(several) > 1 {
		return several
	}
	if f.Type == spec.TypeRepeat || f.Type == spec.TypeNumber && len(quantity.Units(f.Dimension)) == 0 {
		return json.Number(f.Example)
	}
	return f.Example
}
