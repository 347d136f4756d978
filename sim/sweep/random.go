package sweep

import "hash/fnv"

// stream is a sequence of random numbers: SplitMix64, after G. L. Steele, D. Lea,
// C. H. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014,
// with the constants of its variant 13. Its value is the generator's seed.
type stream uint64

const golden = 0x9e3779b97f4a7c15

// newStream returns the sequence of an axis, or of a group of axes by its first,
// for one purpose.
func newStream(seed uint64, path, purpose string) stream {
	h := fnv.New64a()
	h.Write([]byte(purpose + "\x00" + path)) // never fails
	return stream(scramble(scramble(seed+golden) ^ h.Sum64()))
}

// at returns number i of the sequence, counted from 0.
func (s stream) at(i uint64) uint64 { return scramble(uint64(s) + (i+1)*golden) }

// share returns number i as one of (0, 1), an odd multiple of 2^-53.
func (s stream) share(i uint64) float64 { return (float64(s.at(i)>>12) + 0.5) * 0x1p-52 }

// scramble spreads every bit of x over all: the finaliser of SplitMix64.
func scramble(x uint64) uint64 {
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// random draws the values of every group independently.
type random struct{ streams []stream }

func newRandom(seed uint64, groups []string) random {
	r := random{streams: make([]stream, len(groups))}
	for g, path := range groups {
		r.streams[g] = newStream(seed, path, "random")
	}
	return r
}

func (r random) at(i, group int) position { return drawn(r.streams[group].share(uint64(i))) }
