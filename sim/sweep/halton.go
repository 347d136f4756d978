package sweep

import "strconv"

// halton takes the points of a Halton sequence, one prime number a group: the
// radical inverses of 1, 2, 3 ... After J. H. Halton, "On the efficiency of
// certain quasi-random sequences of points in evaluating multi-dimensional
// integrals", Numerische Mathematik 2 (1960) 84-90. The first point, which is
// zero everywhere, is left out. With a seed the digits are permuted at random,
// after A. B. Owen, "A randomized Halton algorithm in R", arXiv:1706.02808
// (2017): without it neighbouring large primes give points along lines.
type halton struct {
	primes []int
	digits [][][]int // of each group and place behind the point, what each digit becomes; nil for plain
}

func newHalton(groups int) halton { return halton{primes: firstPrimes(groups)} }

func newScrambledHalton(seed uint64, groups int) halton {
	h := newHalton(groups)
	for _, b := range h.primes {
		key := haltonStream(seed, b)
		var places [][]int
		for weight := 1.0; 1-weight/float64(b) < 1; weight /= float64(b) {
			order := newPermutation(b, stream(key.at(uint64(len(places)))))
			place := make([]int, b)
			for d := range place {
				place[d] = int(order.at(uint64(d)))
			}
			places = append(places, place)
		}
		h.digits = append(h.digits, places)
	}
	return h
}

// haltonStream returns the sequence that permutes the digits of one base.
func haltonStream(seed uint64, base int) stream {
	return newStream(seed, strconv.Itoa(base), "halton")
}

func (h halton) at(i, group int) position {
	if h.digits == nil {
		return drawn(radicalInverse(i+1, h.primes[group]))
	}
	return drawn(permutedInverse(i+1, h.primes[group], h.digits[group]))
}

// radicalInverse mirrors the digits of n > 0 in base b at the point. It is the
// nearest float64 to the exact value but for one rounding: the digits make a
// whole number first.
func radicalInverse(n, b int) float64 {
	mirrored, power := 0, 1
	for ; n > 0; n /= b {
		mirrored, power = mirrored*b+n%b, power*b
	}
	return float64(mirrored) / float64(power)
}

// permutedInverse mirrors n with every digit permuted, those behind its last,
// which are zero, too.
func permutedInverse(n, b int, places [][]int) float64 {
	sum, weight := 0.0, 1.0
	for _, digits := range places {
		weight /= float64(b)
		sum += float64(digits[n%b]) * weight
		n /= b
	}
	return sum
}

// firstPrimes returns the first n prime numbers.
func firstPrimes(n int) []int {
	var primes []int
	for candidate := 2; len(primes) < n; candidate++ {
		prime := true
		for _, p := range primes {
			if p*p > candidate {
				break
			}
			if candidate%p == 0 {
				prime = false
				break
			}
		}
		if prime {
			primes = append(primes, candidate)
		}
	}
	return primes
}
