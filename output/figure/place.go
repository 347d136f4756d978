package figure

// place moves boxes apart along one axis. want holds the centres that they should
// have, rising, and size their extents; all together must fit between low and high.
// The centres it returns keep the order, do not overlap, stay inside, and have the
// least sum of squared moves of all that do.
//
// Less the way that the boxes before it take up, each centre must only not fall:
// that is isotonic regression, solved by pooling neighbours that violate it (Ayer,
// Brunk, Ewing, Reid and Silverman, An empirical distribution function for sampling
// with incomplete information, Ann. Math. Statist. 26, 1955; value from memory, not
// checked against the source). Bounds on all of them cut its solution off.
func place(want, size []float64, low, high float64) []float64 {
	n := len(want)
	if n == 0 {
		return nil
	}
	offset := make([]float64, n)
	for i := 1; i < n; i++ {
		offset[i] = offset[i-1] + (size[i-1]+size[i])/2
	}
	first, last := low+size[0]/2, high-size[n-1]/2-offset[n-1]
	type pool struct{ sum, count float64 }
	var pools []pool
	for i := range want {
		p := pool{want[i] - offset[i], 1}
		for k := len(pools) - 1; k >= 0 && pools[k].sum*p.count >= p.sum*pools[k].count; k-- {
			p = pool{p.sum + pools[k].sum, p.count + pools[k].count}
			pools = pools[:k]
		}
		pools = append(pools, p)
	}
	centres := make([]float64, 0, n)
	for _, p := range pools {
		at := max(first, min(last, p.sum/p.count))
		for range int(p.count) {
			centres = append(centres, at+offset[len(centres)])
		}
	}
	return centres
}
