package spec

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"hash"
	"math"
	"reflect"
	"slices"
	"strings"
)

// hashVersion changes whenever the canonical form does.
const hashVersion = "soakledger scenario 1"

// Hash returns the SHA-256, in hexadecimal, of what the scenario states. It
// does not depend on the text it was read from: comments, the order of keys
// and the spelling of units do not show. Titles and notes are left out as
// well, because they change no result, and so are study and variants, without
// which the scenario by itself is the same. Names and the order of lists count.
//
// The canonical form is hashVersion, then a line for every list (path,
// length), every room or case that is there (path) and every stated field (path, type, value) in the order of the Go
// types, with structural paths, and behind the fields of a log that was read a
// line for its series (path, Series.Digest); numbers as the 16 hexadecimal digits of their
// IEEE 754 binary64 in SI units (zero without a sign), texts quoted.
// Start temperatures are sorted by node.
func Hash(s *Scenario) string {
	h := sha256.New()
	fmt.Fprintln(h, hashVersion)
	hashSection(h, s.Draft(), "")
	return hex.EncodeToString(h.Sum(nil))
}

func hashSection(h hash.Hash, d Draft, prefix string) {
	for f, member := range d.fields() {
		if f.Key == "title" || f.Key == "note" || prefix == "" && (f.Key == studyKey || f.Key == variantsKey) {
			continue
		}
		d.hashField(h, f, member, prefix+f.Key)
	}
	if l, ok := d.v.Addr().Interface().(*Log); ok && l.Series != nil {
		fmt.Fprintf(h, "%s series %s\n", strings.TrimSuffix(prefix, "."), l.Series.Digest())
	}
}

func (d Draft) hashField(h hash.Hash, f *Field, member reflect.Value, path string) {
	switch f.Type {
	case TypeSection:
		if f.optional && member.IsNil() {
			return
		}
		if f.optional {
			fmt.Fprintf(h, "%s section\n", path)
		}
		hashSection(h, d.open(f.Section, member), path+".")
	case TypeSections:
		hashLength(h, path, member.Len())
		for i := range member.Len() {
			hashSection(h, d.open(f.Section, member.Index(i)), fmt.Sprintf("%s[%d].", path, i))
		}
	case TypeNumbers:
		list := member.Interface().([]Number)
		hashLength(h, path, len(list))
		for i, n := range list {
			hashValue(h, fmt.Sprintf("%s[%d]", path, i), n.value())
		}
	case TypeStart:
		start := member.Interface().(Start)
		hashValue(h, path, TextValue(start.Rule))
		nodes := slices.Clone(start.Nodes)
		slices.SortStableFunc(nodes, func(a, b StartNode) int { return strings.Compare(a.Node, b.Node) })
		for _, n := range nodes {
			hashValue(h, path+"."+n.Node, NumberValue(n.Temperature))
		}
	default:
		hashValue(h, path, read(member))
	}
}

// hashLength writes nothing for an empty list, so that a list added to the
// types later leaves old hashes alone.
func hashLength(h hash.Hash, path string, n int) {
	if n > 0 {
		fmt.Fprintf(h, "%s list %d\n", path, n)
	}
}

func hashValue(h hash.Hash, path string, v Value) {
	switch v.Type {
	case TypeNumber:
		fmt.Fprintf(h, "%s number %s\n", path, bits(v.Number))
	case TypeText:
		fmt.Fprintf(h, "%s text %q\n", path, v.Text)
	case TypePower:
		if v.Power.Watts.Set {
			fmt.Fprintf(h, "%s watts %s\n", path, bits(v.Power.Watts.Value))
		}
		if v.Power.Share.Set {
			fmt.Fprintf(h, "%s share %s of %q\n", path, bits(v.Power.Share.Value), v.Power.Of)
		}
	case TypeRepeat:
		fmt.Fprintf(h, "%s repeat %d %t\n", path, v.Repeat.Count, v.Repeat.Forever)
	case TypeSpeed:
		if v.Speed.Rate.Set {
			fmt.Fprintf(h, "%s rate %s\n", path, bits(v.Speed.Rate.Value))
		}
		if v.Speed.Share.Set {
			fmt.Fprintf(h, "%s share %s\n", path, bits(v.Speed.Share.Value))
		}
		if v.Speed.Level.Set {
			fmt.Fprintf(h, "%s level %s\n", path, bits(v.Speed.Level.Value))
		}
	}
}

func bits(x float64) string {
	if x == 0 {
		x = 0 // drops the sign of a negative zero
	}
	return fmt.Sprintf("%016x", math.Float64bits(x))
}
