package ode

import (
	"math"
	"testing"
)

// benchmarkStep reports the time of a step of the given method on a system.
func benchmarkStep(b *testing.B, sys System, m Method, read bool) {
	it, err := New(sys, m, Settings{AbsTol: []float64{1e-4}, MaxStep: 0.5, MaxSteps: math.MaxInt})
	if err != nil {
		b.Fatal(err)
	}
	n, q := sys.Dim()
	y := make([]float64, n+q)
	for i := range y {
		y[i] = 1 + float64(i%7)
	}
	if err := it.Start(0, y); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := it.Step(math.Inf(1)); err != nil {
			b.Fatal(err)
		}
		if read {
			it.Segment().Into(it.Time()-0.1, y)
		}
	}
	b.ReportMetric(float64(it.Stats().Rejected)/float64(it.Stats().Steps), "rejected/step")
}

// The right-hand side of BenchmarkStep16 and its Jacobian cost next to nothing.
func BenchmarkStep16(b *testing.B)        { benchmarkStep(b, cheap{loop16()}, Rodas4{}, false) }
func BenchmarkStep16Read(b *testing.B)    { benchmarkStep(b, cheap{loop16()}, Rodas4{}, true) }
func BenchmarkStep16Rodas5P(b *testing.B) { benchmarkStep(b, cheap{loop16()}, Rodas5P{}, false) }
func BenchmarkChain1000(b *testing.B)     { benchmarkStep(b, chain(1000, false), Rodas4{}, false) }
func BenchmarkRing1000(b *testing.B)      { benchmarkStep(b, chain(1000, true), Rodas4{}, false) }

func BenchmarkNew16(b *testing.B) {
	s := loop16()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := New(s, nil, Settings{AbsTol: []float64{1e-4}}); err != nil {
			b.Fatal(err)
		}
	}
}
