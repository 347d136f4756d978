package sweep

import "math/bits"

// permutation puts the numbers below n in an order that its key gives, without
// a table of them: the swap-or-not shuffle of V. T. Hoang, B. Morris, P. Rogaway,
// "An enciphering scheme based on a card shuffle", CRYPTO 2012, section 3. In
// each round the numbers are paired by a random sum modulo n, and every pair is
// swapped or not by a random bit.
type permutation struct {
	n    uint64
	sums []uint64 // a round
	bits []stream // a round
}

// newPermutation makes a permutation of the numbers below n >= 1. Six rounds for
// each binary digit of n are what the paper's bound (theorem 2) needs for orders
// that nobody can tell from random ones; the rest is for a small n.
func newPermutation(n int, key stream) permutation {
	rounds := 6*bits.Len64(uint64(n)) + 24
	p := permutation{n: uint64(n), sums: make([]uint64, rounds), bits: make([]stream, rounds)}
	for r := range rounds {
		p.sums[r], _ = bits.Mul64(key.at(2*uint64(r)), p.n) // the upper word: evenly below n
		p.bits[r] = stream(key.at(2*uint64(r) + 1))
	}
	return p
}

// at returns where x, below n, goes.
func (p permutation) at(x uint64) uint64 {
	for r, sum := range p.sums {
		partner := sum + p.n - x
		if partner >= p.n {
			partner -= p.n
		}
		if p.bits[r].at(max(x, partner))&1 == 1 {
			x = partner
		}
	}
	return x
}
