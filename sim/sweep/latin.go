package sweep

// latin draws a Latin hypercube: the range of every group is cut into as many
// strata of equal probability as there are runs, each is hit once, and the
// strata of different groups are paired at random. After M. D. McKay, R. J.
// Beckman, W. J. Conover, "A comparison of three methods for selecting values of
// input variables in the analysis of output from a computer code",
// Technometrics 21 (1979) 239-245.
type latin struct {
	runs   int
	strata []permutation
	within []stream
}

func newLatin(seed uint64, runs int, groups []string) latin {
	l := latin{runs: runs, strata: make([]permutation, len(groups)), within: make([]stream, len(groups))}
	for g, path := range groups {
		l.strata[g] = newPermutation(runs, newStream(seed, path, "strata"))
		l.within[g] = newStream(seed, path, "within")
	}
	return l
}

// at draws a share. Within a stratum it is one of 2^20 places, so few that no
// rounding leads out of a stratum with up to spec.MostRuns of them.
func (l latin) at(i, group int) position {
	stratum := float64(l.strata[group].at(uint64(i)))
	within := (float64(l.within[group].at(uint64(i))>>44) + 0.5) * 0x1p-20
	return drawn((stratum + within) / float64(l.runs))
}
