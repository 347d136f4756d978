package sweep

import (
	"context"
	"slices"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim/record"
)

// sustained is a study of two-hour designs at fixed speeds on a machine of 16 lumps, of
// whose runs nothing but the tables is kept.
const sustained = `
title: two hours of render
chips: [{name: cpu, power: 200 W}]
loop:
  - {part: pump, class: small}
  - {part: tube, length: 800 mm, bore: 10 mm}
  - {part: block, name: block}
  - {part: radiator, name: front, size: 240 mm, thickness: 30 mm, fins_per_inch: 16, fans: 1000 rpm, cells: 3}
  - {part: reservoir, name: reservoir}
work: {on: 2 h}
study:
  combine: latin hypercube
  runs: 100000
  vary:
    - {path: front.thickness, from: 20 mm, to: 60 mm}
    - {path: front.fans.speed, from: 500 rpm, to: 1600 rpm}
    - {path: reservoir.volume, from: 100 mL, to: 500 mL}
    - {path: cpu.power, from: 100 W, to: 250 W}
`

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

// BenchmarkSweep runs two-hour designs, one an iteration, on one and on two workers.
func BenchmarkSweep(b *testing.B) {
	doc, err := scenarios.Read("study.yaml", []byte(sustained))
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
