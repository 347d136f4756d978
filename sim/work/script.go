package work

import "math"

// block is how many pieces share one running sum of energy.
const block = 64

// script is one cycle of a pattern. Patterns share it; it is never changed.
type script struct {
	starts []float64 // s from the start of the cycle, ascending from 0
	length float64   // s, of the cycle
	first  []float64 // value at the start of each piece
	final  []float64 // value just before its end; pieces beyond this list hold their first

	sums     []twofold // integral of the value up to every block-th piece
	whole    twofold   // integral over the cycle
	least    float64   // smallest value
	most     float64   // largest value
	shortest float64   // s, length of the shortest piece
}

// measure fills everything that follows from the pieces.
func (s *script) measure() {
	s.least, s.most, s.shortest = math.Inf(1), math.Inf(-1), math.Inf(1)
	s.sums = make([]twofold, 0, len(s.first)/block+1)
	for i, first := range s.first {
		if i%block == 0 {
			s.sums = append(s.sums, s.whole)
		}
		final := s.last(i)
		s.whole = s.whole.plus(s.area(i))
		s.least = min(s.least, first, final)
		s.most = max(s.most, first, final)
		s.shortest = min(s.shortest, s.stop(i)-s.starts[i])
	}
}

// stop returns the end of a piece from the start of the cycle, s.
func (s *script) stop(piece int) float64 {
	if piece+1 < len(s.starts) {
		return s.starts[piece+1]
	}
	return s.length
}

// last returns the value of a piece just before its end.
func (s *script) last(piece int) float64 {
	if piece < len(s.final) {
		return s.final[piece]
	}
	return s.first[piece]
}

// area returns the integral of the value over a piece.
func (s *script) area(piece int) float64 {
	// The conversion keeps the product from being fused into a sum of areas.
	return float64((s.stop(piece) - s.starts[piece]) * (0.5*s.first[piece] + 0.5*s.last(piece)))
}

// upTo returns the integral of the value from the start of the cycle to the
// start of a piece; one past the last piece is the whole cycle.
func (s *script) upTo(piece int) twofold {
	if piece == len(s.first) {
		return s.whole
	}
	sum := s.sums[piece/block]
	for i := piece - piece%block; i < piece; i++ {
		sum = sum.plus(s.area(i))
	}
	return sum
}

// twofold is an unevaluated sum of two numbers, hi the nearest to it: about 32
// digits. A difference of two long sums then is as exact as its own size
// allows. After T. J. Dekker, "A floating-point technique for extending the
// available precision", Numerische Mathematik 18 (1971), with the error of a
// sum after D. E. Knuth, "The Art of Computer Programming", vol. 2, section
// 4.2.2, theorem B.
type twofold struct{ hi, lo float64 }

// plus returns the sum with x added.
func (s twofold) plus(x float64) twofold {
	hi := s.hi + x
	part := hi - s.hi
	lo := s.lo + ((s.hi - (hi - part)) + (x - part))
	sum := hi + lo
	return twofold{sum, lo - (sum - hi)}
}

// minus returns the difference of two sums.
func (s twofold) minus(o twofold) float64 { return (s.hi - o.hi) + (s.lo - o.lo) }
