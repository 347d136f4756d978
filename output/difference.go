package output

import (
	"fmt"
	"slices"
	"strings"
)

// mostShown lines of a difference are shown for each of its subjects.
const mostShown = 20

// mostCompared bounds the work of comparing two texts line by line: the product
// of their numbers of lines, without what is equal at both ends.
const mostCompared = 4 << 20

// difference says in lines what of two studies differs: what was stored begins
// with -, what is asked for now with +. Equal hashes give an empty text.
func difference(stored, now manifest) string {
	var out strings.Builder
	for _, subject := range []struct{ name, stored, now string }{
		{"engine", stored.EngineVersion, now.EngineVersion},
		{"build", stored.Study.Build, now.Study.Build},
		{"schema version", fmt.Sprint(stored.SchemaVersion), fmt.Sprint(now.SchemaVersion)},
		{"scenario", stored.Study.Base, now.Study.Base},
		{"plan", stored.Study.Plan, now.Study.Plan},
		{"number of runs", fmt.Sprint(stored.Study.Runs), fmt.Sprint(now.Study.Runs)},
		{"runs in a part", fmt.Sprint(stored.Study.PartRuns), fmt.Sprint(now.Study.PartRuns)},
		{"solver", stored.Study.Solver, now.Study.Solver},
		{"traces", stored.Study.Traces, now.Study.Traces},
		{"columns", strings.Join(columnLines(stored), "\n"), strings.Join(columnLines(now), "\n")},
	} {
		if subject.stored == subject.now {
			continue
		}
		lines := differingLines(strings.Split(subject.stored, "\n"), strings.Split(subject.now, "\n"))
		fmt.Fprintf(&out, "%s:\n", subject.name)
		for _, line := range lines[:min(len(lines), mostShown)] {
			fmt.Fprintf(&out, "  %s\n", line)
		}
		if more := len(lines) - mostShown; more > 0 {
			fmt.Fprintf(&out, "  (%d more lines differ)\n", more)
		}
	}
	return strings.TrimSuffix(out.String(), "\n")
}

// differingLines returns the lines of a that are not in b, with "- " before
// them, and those of b that are not in a, with "+ ", in the order of the texts:
// what is left of the longest common subsequence of lines.
func differingLines(a, b []string) []string {
	for len(a) > 0 && len(b) > 0 && a[0] == b[0] {
		a, b = a[1:], b[1:]
	}
	for len(a) > 0 && len(b) > 0 && a[len(a)-1] == b[len(b)-1] {
		a, b = a[:len(a)-1], b[:len(b)-1]
	}
	if len(a)*len(b) > mostCompared {
		return append(marked("- ", a), marked("+ ", b)...)
	}
	common := commonLengths(a, b)
	var out []string
	i, k := 0, 0
	for i < len(a) && k < len(b) {
		switch {
		case a[i] == b[k]:
			i, k = i+1, k+1
		case common[i+1][k] >= common[i][k+1]:
			out = append(out, "- "+a[i])
			i++
		default:
			out = append(out, "+ "+b[k])
			k++
		}
	}
	return slices.Concat(out, marked("- ", a[i:]), marked("+ ", b[k:]))
}

// commonLengths returns the length of the longest common subsequence of a[i:]
// and b[k:] at [i][k].
func commonLengths(a, b []string) [][]int32 {
	common := make([][]int32, len(a)+1)
	common[len(a)] = make([]int32, len(b)+1)
	for i := len(a) - 1; i >= 0; i-- {
		common[i] = make([]int32, len(b)+1)
		for k := len(b) - 1; k >= 0; k-- {
			if a[i] == b[k] {
				common[i][k] = common[i+1][k+1] + 1
			} else {
				common[i][k] = max(common[i+1][k], common[i][k+1])
			}
		}
	}
	return common
}

func marked(mark string, lines []string) []string {
	out := make([]string, len(lines))
	for i, line := range lines {
		out[i] = mark + line
	}
	return out
}
