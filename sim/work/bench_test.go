package work

import "testing"

// walk runs a cursor to the end of a timeline, again and again, as runs of a
// sweep do; it reports the time and the allocations of one break.
func walk(b *testing.B, l Timeline) {
	power, slope := make([]float64, len(l.patterns)), make([]float64, len(l.patterns))
	c := NewCursor(l)
	at := 0.0
	b.ReportAllocs()
	for b.Loop() {
		next, ok := c.Next(at)
		if !ok {
			at = 0
			continue
		}
		at = next.At
		c.Load(at, power, slope)
	}
}

// An hour of bursts every few seconds for three chips that share breaks, and a
// constant.
func BenchmarkDenseBursts(b *testing.B) {
	m := must(b)
	bursts := Bursts{Seed: 1, For: 3600, Burst: m(Uniform(1, 2)), Pause: m(Uniform(1, 2)), High: m(Uniform(200, 400)), Low: m(Uniform(20, 40))}
	line := []Pattern{Constant(10)}
	for i := range uint64(3) {
		p, err := FromPieces(mustBursts(b, bursts, Streams{0, i}), 1, 15)
		if err != nil {
			b.Fatal(err)
		}
		line = append(line, p)
	}
	walk(b, NewTimeline(line))
}

func BenchmarkReplayWalk(b *testing.B) {
	p := mustReplay(b, noisy(900_000), 1, 0)
	walk(b, NewTimeline([]Pattern{p, p.Scaled(0.12)}))
}

// BenchmarkReplayBesideSearch is the walk above without a cursor.
func BenchmarkReplayBesideSearch(b *testing.B) {
	p := mustReplay(b, noisy(900_000), 1, 0)
	l := NewTimeline([]Pattern{p, p.Scaled(0.12)})
	power, slope := make([]float64, 2), make([]float64, 2)
	at := 0.0
	b.ReportAllocs()
	for b.Loop() {
		next, ok := l.NextBreak(at)
		if !ok {
			at = 0
			continue
		}
		at = next.At
		l.Load(at, power, slope)
	}
}

func BenchmarkReplayMake(b *testing.B) {
	s := noisy(900_000)
	b.ReportAllocs()
	for b.Loop() {
		mustReplay(b, s, 1, 0)
	}
}

func BenchmarkReplayEnergy(b *testing.B) {
	p := mustReplay(b, noisy(900_000), 1, 0)
	b.ReportAllocs()
	for b.Loop() {
		p.Energy(1234.5, 87654.3)
	}
}

func BenchmarkBurstsMake(b *testing.B) {
	bursts := mixed(b, 3600)
	b.ReportAllocs()
	for b.Loop() {
		mustBursts(b, bursts, Streams{})
	}
}
