package sweep

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distmv"
	"gonum.org/v1/gonum/stat/samplemv"
	"pgregory.net/rapid"
)

// TestSplitMix compares with the first numbers of the generator for the seeds 0
// and 1234567 (values from memory, not checked against the source; the second
// list is that of common test vectors for SplitMix64).
func TestSplitMix(t *testing.T) {
	for seed, want := range map[stream][]uint64{
		0:       {0xe220a8397b1dcdaf, 0x6e789e6aa1b965f4, 0x06c45d188009454f},
		1234567: {6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821},
	} {
		for i, x := range want {
			if got := seed.at(uint64(i)); got != x {
				t.Errorf("seed %d: number %d is %d, want %d", seed, i, got, x)
			}
		}
	}
}

// TestStreamsDiffer: seed, path and purpose each give numbers of their own.
func TestStreamsDiffer(t *testing.T) {
	seen := map[stream]string{}
	for seed := range uint64(50) {
		for _, path := range []string{"a", "b", "front.core.thickness", ""} {
			for _, purpose := range []string{"random", "strata", "within"} {
				key := newStream(seed, path, purpose)
				if earlier, ok := seen[key]; ok {
					t.Errorf("%d %s %s is %s", seed, path, purpose, earlier)
				}
				seen[key] = fmt.Sprint(seed, path, purpose)
			}
		}
	}
	for seed := range uint64(50) {
		for _, base := range firstPrimes(10) {
			key := haltonStream(seed, base)
			if earlier, ok := seen[key]; ok {
				t.Errorf("%d in base %d is %s", seed, base, earlier)
			}
			seen[key] = fmt.Sprint(seed, " in base ", base)
		}
	}
	if newStream(1, "ab", "c") == newStream(1, "b", "ca") {
		t.Error("purpose and path run together")
	}
}

// TestPermutationIsOne: every number below n is reached once.
func TestPermutationIsOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.OneOf(rapid.IntRange(1, 40), rapid.IntRange(1, 3000), rapid.SampledFrom([]int{1 << 12, 1<<12 - 1, 1<<12 + 1, 10000})).Draw(t, "n")
		p := newPermutation(n, stream(rapid.Uint64().Draw(t, "key")))
		hit := make([]bool, n)
		for x := range n {
			y := p.at(uint64(x))
			if y >= uint64(n) || hit[y] {
				t.Fatalf("%d of %d goes to %d, which is outside or taken", x, n, y)
			}
			hit[y] = true
		}
	})
}

// TestLargePermutation: a hundred thousand numbers of the largest plan go to as
// many places.
func TestLargePermutation(t *testing.T) {
	const n = 99_999_989
	p := newPermutation(n, 5)
	seen := map[uint64]bool{}
	for j := range uint64(100_000) {
		y := p.at(n - 1 - j*997)
		if y >= n || seen[y] {
			t.Fatalf("%d is outside or taken", y)
		}
		seen[y] = true
	}
}

// chiSquare returns the sum of (count - mean)^2/mean in deviations from its own
// mean, by the normal approximation of the chi-square distribution with k-1
// degrees of freedom (mean k-1, variance 2 (k-1)).
func chiSquare(counts []int) float64 {
	total := 0
	for _, c := range counts {
		total += c
	}
	mean := float64(total) / float64(len(counts))
	sum := 0.0
	for _, c := range counts {
		sum += (float64(c) - mean) * (float64(c) - mean) / mean
	}
	k := float64(len(counts) - 1)
	return (sum - k) / math.Sqrt(2*k)
}

// TestPermutationIsUnbiased: over many keys all orders of four are as likely,
// and of more, all pairs of places that two neighbours go to. The bound of five
// deviations is passed once in a million by chance; keys are fixed.
func TestPermutationIsUnbiased(t *testing.T) {
	orders := map[[4]uint64]int{}
	for key := range stream(48_000) {
		p := newPermutation(4, stream(key.at(0)))
		orders[[4]uint64{p.at(0), p.at(1), p.at(2), p.at(3)}]++
	}
	var counts []int
	for _, n := range orders {
		counts = append(counts, n)
	}
	if x := chiSquare(counts); len(counts) != 24 || math.Abs(x) > 5 {
		t.Errorf("%d orders of 24, %g deviations", len(counts), x)
	}
	for _, n := range []int{7, 10, 33} {
		pairs := make([]int, n*n)
		for key := range stream(40_000) {
			p := newPermutation(n, stream(key.at(uint64(n))))
			pairs[p.at(2)*uint64(n)+p.at(3)]++
		}
		pairs = slices.DeleteFunc(pairs, func(c int) bool { return c == 0 }) // both to one place: never
		if x := chiSquare(pairs); len(pairs) != n*(n-1) || math.Abs(x) > 5 {
			t.Errorf("n = %d: %d pairs of places, %g deviations", n, len(pairs), x)
		}
	}
}

// sharesOf collects the shares of one group.
func sharesOf(s sampler, n, group int) []float64 {
	all := make([]float64, n)
	for i := range all {
		all[i] = s.at(i, group).share
	}
	return all
}

var fourPaths = []string{"a", "b", "c", "d"}

// TestLatinStrata: each stratum of each group is hit once.
func TestLatinStrata(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.OneOf(rapid.IntRange(1, 20), rapid.IntRange(1, 2000)).Draw(t, "runs")
		l := newLatin(rapid.Uint64Max(1e9).Draw(t, "seed"), n, fourPaths)
		for g := range fourPaths {
			hit := make([]int, n)
			for _, u := range sharesOf(l, n, g) {
				hit[int(u*float64(n))]++
			}
			if slices.Max(hit) != 1 || slices.Min(hit) != 1 {
				t.Fatalf("group %d of %d runs hits its strata %v times", g, n, hit)
			}
		}
	})
}

// TestLatinKeepsStrata: with as many strata as a plan may have, no rounding
// leads out of one.
func TestLatinKeepsStrata(t *testing.T) {
	const n = 100_000_000
	l := newLatin(1, n, fourPaths)
	for i := range 100_000 {
		if u := l.at(n-1-i, 2).share; int(u*n) != int(l.strata[2].at(uint64(n-1-i))) {
			t.Fatalf("run %d lies in stratum %d at %v", n-1-i, int(u*n), u)
		}
	}
}

// TestSamplersAreEven: the shares of every group have the moments of a uniform
// distribution, and no group follows another or the one before it. Independent
// draws are within five deviations of the mean, the others nearer.
func TestSamplersAreEven(t *testing.T) {
	const n = 20_000
	for name, s := range map[string]sampler{
		"random": newRandom(1, fourPaths), "latin": newLatin(1, n, fourPaths), "halton": newHalton(4), "scrambled": newScrambledHalton(1, 4),
	} {
		var all [][]float64
		for g := range fourPaths {
			u := sharesOf(s, n, g)
			all = append(all, u)
			mean, sd := stat.MeanStdDev(u, nil)
			if math.Abs(mean-0.5) > 5*math.Sqrt(1./12/n) || math.Abs(sd*sd-1./12) > 5*math.Sqrt(1./180/n) {
				t.Errorf("%s: group %d has mean %g and variance %g", name, g, mean, sd*sd)
			}
			for _, v := range all[:g] {
				if r := stat.Correlation(u, v, nil); math.Abs(r) > 5/math.Sqrt(n) {
					t.Errorf("%s: group %d correlates with an earlier one by %g", name, g, r)
				}
			}
			if r := stat.Correlation(u[1:], u[:n-1], nil); (name == "random" || name == "latin") && math.Abs(r) > 5/math.Sqrt(n) {
				t.Errorf("%s: group %d correlates with itself by %g", name, g, r)
			}
		}
	}
}

// TestLatinIsStratifiedInPlace: the mean over a hypercube varies far less than
// that of independent draws, which is what it is for: its deviation is that of
// one draw within its stratum, n^-1 of the range, over the root of n.
func TestLatinIsStratifiedInPlace(t *testing.T) {
	const n, seeds = 50, 400
	var sum float64
	for seed := range uint64(seeds) {
		mean := stat.Mean(sharesOf(newLatin(seed, n, fourPaths), n, 1), nil)
		sum += (mean - 0.5) * (mean - 0.5)
	}
	got, want := math.Sqrt(sum/seeds), math.Sqrt(1./12/n)/n
	if math.Abs(got/want-1) > 0.2 { // five deviations of the root of a mean of 400 squares
		t.Errorf("means deviate by %g, want %g", got, want)
	}
}

// TestAnotherAxisLeavesDraws: the draws of a group depend on seed and path, not
// on what else is varied.
func TestAnotherAxisLeavesDraws(t *testing.T) {
	a, b := newRandom(3, []string{"a", "b"}), newRandom(3, []string{"x", "b", "a"})
	c, d := newLatin(3, 99, []string{"a", "b"}), newLatin(3, 99, []string{"x", "b", "a"})
	if !slices.Equal(sharesOf(a, 50, 0), sharesOf(b, 50, 2)) || !slices.Equal(sharesOf(c, 50, 0), sharesOf(d, 50, 2)) {
		t.Error("another axis changes the draws")
	}
	if slices.Equal(sharesOf(a, 50, 0), sharesOf(newRandom(4, []string{"a"}), 50, 0)) {
		t.Error("another seed does not")
	}
}

// identity is a random source from which math/rand/v2 shuffles every list into
// the order that it has: each draw below n is n-1.
type identity struct{}

func (identity) Uint64() uint64 { return math.MaxUint64 }

// TestHaltonAgainstGonum compares with the Halton sequence of gonum, whose
// scrambling is undone by a source that leaves digits where they are. Its first
// point is that of zero, which ours leaves out.
func TestHaltonAgainstGonum(t *testing.T) {
	if order := rand.New(identity{}).Perm(13); !slices.IsSorted(order) {
		t.Fatalf("the source shuffles into %v", order)
	}
	const n, groups = 3000, 12
	batch := mat.NewDense(n+1, groups, nil)
	samplemv.Halton{Kind: samplemv.Owen, Q: distmv.NewUnitUniform(groups, nil), Src: identity{}}.Sample(batch)
	h := newHalton(groups)
	for i := range n {
		for g := range groups {
			if got, want := h.at(i, g).share, batch.At(i+1, g); math.Abs(got-want) > 1e-14 {
				t.Fatalf("point %d in base %d is %v, want %v", i, h.primes[g], got, want)
			}
		}
	}
}

// TestVanDerCorput compares with the sequence as J. G. van der Corput defined
// it, "Verteilungsfunktionen I", Proc. Kon. Ned. Akad. Wet. 38 (1935) 813-821:
// digits mirrored at the point, worked out by hand.
func TestVanDerCorput(t *testing.T) {
	for b, want := range map[int][]float64{
		2: {1. / 2, 1. / 4, 3. / 4, 1. / 8, 5. / 8, 3. / 8, 7. / 8, 1. / 16},
		3: {1. / 3, 2. / 3, 1. / 9, 4. / 9, 7. / 9, 2. / 9, 5. / 9, 8. / 9, 1. / 27},
		5: {1. / 5, 2. / 5, 3. / 5, 4. / 5, 1. / 25, 6. / 25},
	} {
		for i, x := range want {
			if got := radicalInverse(i+1, b); got != x {
				t.Errorf("base %d: element %d is %v, want %v", b, i+1, got, x)
			}
		}
	}
}

// TestHaltonFills: any b^k neighbouring points hit each interval of length b^-k
// once, with digits permuted or not.
func TestHaltonFills(t *testing.T) {
	for name, h := range map[string]halton{"plain": newHalton(4), "scrambled": newScrambledHalton(9, 4)} {
		for g, k := range []int{9, 5, 4, 3} {
			n := int(math.Round(math.Pow(float64(h.primes[g]), float64(k))))
			hit := make([]int, n)
			for i := range n {
				// An end of an interval may be missed by rounding, never by as much.
				hit[int(h.at(i+777, g).share*float64(n)+1e-9)]++
			}
			if slices.Max(hit) != 1 {
				t.Errorf("%s, base %d: an interval is hit %d times", name, h.primes[g], slices.Max(hit))
			}
		}
	}
	if a, b := newScrambledHalton(1, 3), newScrambledHalton(2, 3); slices.Equal(sharesOf(a, 20, 1), sharesOf(b, 20, 1)) {
		t.Error("seeds do not count")
	}
}

func TestPrimes(t *testing.T) {
	primes := firstPrimes(1000)
	if !slices.Equal(primes[:10], []int{2, 3, 5, 7, 11, 13, 17, 19, 23, 29}) || primes[999] != 7919 {
		t.Errorf("primes are %v ... %d", primes[:10], primes[999]) // 7919 is the thousandth
	}
}

// TestSharesStayInside: no sampler returns an end of the interval, where a
// distribution may have none.
func TestSharesStayInside(t *testing.T) {
	for _, u := range []float64{0, 1, -1, 2, 0x1p-60, 1 - 0x1p-53} {
		if p := drawn(u); !(p.share > 0 && p.share < 1) {
			t.Errorf("%g becomes %g", u, p.share)
		}
	}
}
