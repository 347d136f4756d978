package spec

// Nearest returns the candidate that differs from word by the fewest inserted,
// removed, replaced or swapped letters, or "" where none is close enough to be
// what was meant: at most a third of the letters, and never all of them.
// Words longer than any name are like nothing.
func Nearest(word string, candidates []string) string {
	if len(word) > 2*longestName {
		return ""
	}
	best, least := "", max(1, len([]rune(word))/3)+1
	for _, c := range candidates {
		if d := distance(word, c); d < least && d < len([]rune(word)) {
			best, least = c, d
		}
	}
	return best
}

// distance is the optimal string alignment distance (Damerau 1964, Levenshtein
// 1966; adjacent swaps count one).
func distance(a, b string) int {
	x, y := []rune(a), []rune(b)
	rows := make([][]int, len(x)+1)
	for i := range rows {
		rows[i] = make([]int, len(y)+1)
		rows[i][0] = i
	}
	for j := range rows[0] {
		rows[0][j] = j
	}
	for i := 1; i <= len(x); i++ {
		for j := 1; j <= len(y); j++ {
			cost := 1
			if x[i-1] == y[j-1] {
				cost = 0
			}
			rows[i][j] = min(rows[i-1][j]+1, rows[i][j-1]+1, rows[i-1][j-1]+cost)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				rows[i][j] = min(rows[i][j], rows[i-2][j-2]+1)
			}
		}
	}
	return rows[len(x)][len(y)]
}
