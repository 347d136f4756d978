package scenarios

import (
	"maps"
	"slices"
	"strings"

	"soakledger/sim/spec"
)

// Set returns the document with values replaced: each assignment is
// path=value, the value as in a file (front.conductance=18 W/K). The document
// itself does not change, and neither does its source text: the result's
// Scenario says what holds. Logs of which anything changes are read again, from
// the files that the document was read with. The error, if any, is of type Errors, in the order
// of the assignments.
func (doc *Document) Set(assignments ...string) (*Document, error) {
	var errs Errors
	s := doc.Scenario
	for _, assignment := range assignments {
		next, _, err := setOne(s, assignment)
		if err != nil {
			errs = append(errs, err)
			continue
		}
		s = next
	}
	if len(errs) > 0 {
		return nil, errs
	}
	changed := *doc
	changed.Scenario, changed.logs = s.Clone(), maps.Clone(doc.logs)
	notes, faults := changed.logs.readLogs(changed.Scenario, doc.files, func(string) bool { return false })
	var unread []string
	for _, f := range faults {
		errs = append(errs, &Error{File: setFile, Path: f.path, Text: f.text})
		unread = append(unread, f.path)
	}
	for _, p := range spec.Check(changed.Scenario) {
		if path := spec.Canonical(doc.names, p.Path); !related(path, unread) {
			errs = append(errs, &Error{File: setFile, Path: path, Text: describe(p, "")})
		}
	}
	if len(errs) > 0 {
		return nil, errs
	}
	changed.ReadAs = slices.Concat(doc.shortForms, notes)
	return &changed, nil
}

// setFile stands for the file in errors of overrides.
const setFile = "--set"

// setOne carries out one assignment and returns the path it set.
func setOne(s *spec.Scenario, assignment string) (*spec.Scenario, string, *Error) {
	path, text, found := strings.Cut(assignment, "=")
	path, text = strings.TrimSpace(path), strings.TrimSpace(text)
	fail := func(text string) (*spec.Scenario, string, *Error) {
		return nil, path, &Error{File: setFile, Path: shortened(path), Text: text}
	}
	if !found {
		return fail("write PATH=VALUE, for example --set ambient.temperature=\"24 degC\"")
	}
	f, err := s.FieldAt(path)
	if err != nil {
		return fail(withoutPath(err, path))
	}
	if next, err := s.With(path, spec.TextValue(text)); f.Section != nil && err == nil {
		return next, path, nil // the name of a variant
	}
	if f.Section != nil && f.Short == "" && s.HasVariants(path) {
		all := s.ChosenVariants(&spec.Axis{Path: path, Variants: []string{spec.AllVariants}})
		return fail("of its variants " + spec.Field{One: all}.NotOne(text) + "; or name one of its keys, for example " + firstKey(path, f))
	}
	if f.Type == spec.TypeSection && f.Short != "" {
		f, _ = f.Section.Field(f.Short)
		path += "." + f.Key
		f.Path = path
	}
	if f.Section != nil {
		return fail("it has keys of its own: name one of them, for example " + firstKey(path, f))
	}
	v, err := ParseValue(f, text)
	if err != nil {
		return fail(err.Error())
	}
	next, err := s.With(path, v)
	if err != nil {
		return fail(settingError(err, path, text))
	}
	return next, path, nil
}

// firstKey is the path of a key within a section, or within the first element
// of a list of sections.
func firstKey(path string, f spec.Field) string {
	if f.Type == spec.TypeSections {
		path += "[0]"
	}
	return path + "." + f.Section.Fields[0].Key
}

// settingError words an error of With in trade units.
func settingError(err error, path, text string) string {
	if p, ok := err.(*spec.Problem); ok {
		return describe(p, text)
	}
	return withoutPath(err, path)
}

// withoutPath drops the path with which an error of spec begins: the message
// already has it.
func withoutPath(err error, path string) string {
	return strings.TrimPrefix(err.Error(), path+": ")
}
