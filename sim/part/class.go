package part

import (
	"fmt"
	"strings"

	"soakledger/sim/spec"
)

// named returns the element of list whose name is word. The error lists the
// words there are, and names what may have been meant.
func named[T any](kind, word string, list []T, name func(T) string) (T, error) {
	words := make([]string, len(list))
	for i, item := range list {
		words[i] = name(item)
		if strings.EqualFold(words[i], strings.TrimSpace(word)) {
			return item, nil
		}
	}
	var none T
	return none, unknownWord(kind, word, words)
}

// unknownWord tells that word is none of words.
func unknownWord(kind, word string, words []string) error {
	hint := ""
	if near := spec.Nearest(strings.ToLower(word), words); near != "" {
		hint = fmt.Sprintf("; %q may be meant", near)
	}
	return fmt.Errorf("part: unknown %s %q; known are %s%s", kind, word, strings.Join(words, ", "), hint)
}
