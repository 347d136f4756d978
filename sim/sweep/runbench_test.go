package sweep

import (
	"context"
	"os"
	"slices"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim/record"
)

// nowhere is a sink that keeps nothing of parts of some runs each.
type nowhere struct{ size int }

func (n nowhere) Missing(parts ...int) ([]int, error) { return parts, nil }
func (n nowhere) Part(k int) (lost, error)            { return lost{k * n.size, (k + 1) * n.size}, nil }

type lost struct{ from, to int }

func (l lost) Slice() (from, to int)         { return l.from, l.to }
func (lost) Add(int, ...*record.Frame) error { return nil }
func (lost) Skip(int) error                  { return nil }
func (lost) Commit() error                   { return nil }
func (lost) Abort() error                    { return nil }

// BenchmarkSweep runs two-hour designs, one an iteration, on one and on two workers, of
// which it keeps nothing.
func BenchmarkSweep(b *testing.B) {
	text, err := os.ReadFile("../../testdata/studies/sustained.yaml")
	if err != nil {
		b.Fatal(err)
	}
	doc, err := scenarios.Read("sustained.yaml", text)
	if err != nil {
		b.Fatal(err)
	}
	p, err := New(doc.Scenario)
	if err != nil {
		b.Fatal(err)
	}
	t, err := p.Tables(record.TraceChoice{})
	if err != nil {
		b.Fatal(err)
	}
	for name, workers := range map[string]int{"1": 1, "2": 2} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			parts := make([]int, b.N)
			for i := range parts {
				parts[i] = i
			}
			b.ResetTimer()
			if err := Run(context.Background(), p, t, nowhere{1}, Settings{Workers: workers, Parts: slices.Clone(parts)}); err != nil {
				b.Fatal(err)
			}
			b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "runs/s")
		})
	}
}
