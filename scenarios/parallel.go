package scenarios

import (
	"slices"
	"strings"

	"go.yaml.in/yaml/v4"

	"soakledger/sim/spec"
)

// parallel finds out whether an element of a ring is a set of branches. Its
// other keys are then reported one by one as they are read. Where part stands
// beside the branches the part counts.
func (d *decoder) parallel(draft spec.Draft, entries []entry, path string, part bool) (spec.Draft, bool) {
	i := slices.IndexFunc(entries, func(e entry) bool { return e.key.Value == spec.BranchesKey })
	switch {
	case i < 0:
		return draft, false
	case part:
		d.fail(entries[i].key, join(path, spec.BranchesKey), "an element is either a part or parallel branches: give each an element of its own in the ring")
		return draft, false
	}
	element, err := draft.SetParallel()
	if err != nil {
		d.fail(entries[i].key, path, "%v", err)
		return draft, false
	}
	return element, true
}

// noKind reports an element that is no part of a known kind: part is missing,
// or its word is none.
func (d *decoder) noKind(draft spec.Draft, node *yaml.Node, entries []entry, path string) {
	f, _ := draft.Section.Field(spec.KindKey)
	i := slices.IndexFunc(entries, func(e entry) bool { return e.key.Value == spec.KindKey })
	if i >= 0 {
		value := follow(entries[i].value)
		text := notOneOf(value, f)
		if value.Value == spec.BranchesKey {
			text = "branches are no part: write " + spec.BranchesKey + ": " + draft.Section.Branches.Example + " in place of part"
		}
		d.fail(entries[i].value, join(path, f.Key), "%s", text)
		return
	}
	for _, e := range entries {
		if spec.Nearest(e.key.Value, []string{spec.KindKey, spec.BranchesKey}) == spec.BranchesKey {
			d.fail(e.key, join(path, shortened(e.key.Value)), "there is no such key; did you mean %s?", spec.BranchesKey)
			return
		}
	}
	d.fail(node, path, "part is missing: write what it is, one of %s, for example %s", strings.Join(f.One, ", "), sample(f))
}
