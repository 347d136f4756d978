package sweep

import (
	"strings"
	"testing"
)

// BenchmarkDesign makes designs of studies with five axes, check included.
func BenchmarkDesign(b *testing.B) {
	axes := "\nvary:\n- " + strings.Join(someAxes[:5], "\n- ")
	for name, head := range map[string]string{
		"grid": "combine: grid", "latin": "combine: latin hypercube\nruns: 1000000", "halton": "combine: halton\nruns: 1000000\nseed: 1", "random": "combine: random\nruns: 1000000",
	} {
		p := planned(b, head+axes)
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for i := 0; b.Loop(); i++ {
				if _, err := p.Design(i % p.Count()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkDropped decides on designs that a condition drops.
func BenchmarkDropped(b *testing.B) {
	p := planned(b, "combine: latin hypercube\nruns: 100000000\nkeep: [ambient < 30 degC, hose.length > 950 mm]\nvary: [{path: ambient, from: 20 degC, to: 25 degC}, {path: hose.length, values: [900 mm, 1000 mm]}]")
	for i := 0; b.Loop(); i++ {
		if _, err := p.fails(p.valuesAt(i)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPermutation(b *testing.B) {
	p := newPermutation(1_000_000, 1)
	for i := 0; b.Loop(); i++ {
		p.at(uint64(i) % 1_000_000)
	}
}
