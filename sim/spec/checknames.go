package spec

import (
	"slices"
	"strings"
)

// Ambient names the room wherever a node is asked for.
const ambientNode = "ambient"

// longestName keeps columns and messages readable.
const longestName = 64

// names checks the form and uniqueness of all names and remembers them. Paths
// are structural here, because a doubtful name leads nowhere.
func (c *checker) names() {
	c.kinds = map[string]string{}
	taken := reserved()
	for _, it := range c.s.items() {
		name, path := *it.name, it.path+".name"
		if name == "" {
			continue
		}
		p := &Problem{Path: path, Given: TextValue(name)}
		p.Field, _ = it.draft.Field("name")
		p.Field.Path = path
		switch earlier, twice := c.kinds[name]; {
		case twice:
			p.Text = name + " is already the name of a " + earlier + ": every name may be given once, so write for example " + name + "_2"
		case root.isOptional(name):
			p.Text = name + " is a section of its own, " + name + ": {...}: state it there, or write another name here, for example " + name + "_1"
		case slices.Contains(taken, name):
			p.Text = name + " has a meaning of its own in a scenario: write another name, for example " + name + "_1"
		case !validName(name):
			p.Text = "a name is made of small letters, digits and underscores and begins with a letter: write for example " + proposeName(name, it.word)
		}
		if p.Text != "" {
			c.report(p)
		}
		if c.kinds[name] == "" {
			c.kinds[name] = it.word
		}
	}
}

// reserved lists the words that no part may be called by.
func reserved() []string { return append(root.Keys(""), ambientNode, "loop") }

func validName(name string) bool {
	if len(name) > longestName || name[0] < 'a' || name[0] > 'z' {
		return false
	}
	return !strings.ContainsFunc(name, func(r rune) bool { return !isNameRune(r) })
}

func isNameRune(r rune) bool {
	return r >= 'a' && r <= 'z' || r >= '0' && r <= '9' || r == '_'
}

// proposeName makes a valid name that resembles the given one.
func proposeName(name, word string) string {
	mended := strings.Map(func(r rune) rune {
		if isNameRune(r) {
			return r
		}
		return '_'
	}, strings.ToLower(name))
	mended = strings.TrimLeft(mended, "_0123456789")
	if mended = mended[:min(len(mended), longestName)]; mended == "" {
		return madeName(word, 1)
	}
	return mended
}

// isOptional reports whether key is a section that counts as stated when it
// exists. Such a section is a node of its own name.
func (s *Section) isOptional(key string) bool {
	f, ok := s.Field(key)
	return ok && f.optional
}
