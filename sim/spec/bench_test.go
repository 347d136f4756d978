package spec

import "testing"

func BenchmarkWith(b *testing.B) {
	s := workstation().Named()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.With("front.conductance", NumberValue(20)); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkHash(b *testing.B) {
	s := workstation().Named()
	b.ReportAllocs()
	for b.Loop() {
		Hash(s)
	}
}
