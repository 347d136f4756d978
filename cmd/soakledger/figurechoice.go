package main

import (
	"fmt"
	"strconv"
	"strings"
)

// span is a run that is asked for, or those from one to another.
type span struct{ from, to int64 }

func (s span) holds(run int64) bool { return s.from <= run && run <= s.to }

func (s span) String() string {
	if s.from == s.to {
		return fmt.Sprintf("run %d", s.from)
	}
	return fmt.Sprintf("runs %d to %d", s.from, s.to)
}

// parseRuns reads what --runs asks for, each time it is given: 0,3,5 or 0-3,7.
func parseRuns(asked []string) ([]span, error) {
	var all []span
	for _, text := range asked {
		for part := range strings.SplitSeq(text, ",") {
			s, why := parseSpan(strings.TrimSpace(part))
			if why != "" {
				return nil, usage("--runs %q: %s: write numbers (run_id) of runs and ranges of them, with commas between, for example --runs 0,3,5 or --runs 0-7", text, why)
			}
			all = append(all, s)
		}
	}
	return all, nil
}

// parseSpan reads 3 or 0-7, or says what is wrong with it.
func parseSpan(text string) (s span, why string) {
	first, last, isRange := strings.Cut(text, "-")
	if !isRange {
		last = first
	}
	for _, end := range []struct {
		text string
		to   *int64
	}{{first, &s.from}, {last, &s.to}} {
		n, err := strconv.ParseUint(strings.TrimSpace(end.text), 10, 63)
		switch {
		case err != nil && text == "":
			return s, "a number is missing"
		case err != nil:
			return s, fmt.Sprintf("%q is no number and no range of runs", text)
		}
		*end.to = int64(n)
	}
	if s.from > s.to {
		return s, fmt.Sprintf("the range %q ends before it begins", text)
	}
	return s, ""
}
