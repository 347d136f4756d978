package parquet

import (
	"io"
	"testing"
)

// countingWriter throws the bytes away and counts them.
type countingWriter struct{ n int64 }

func (c *countingWriter) Write(b []byte) (int, error) {
	c.n += int64(len(b))
	return len(b), nil
}

// BenchmarkWriteTraces writes row groups of 34 hours at 1 Hz: 18 columns on a
// grid of 1 mK.
func BenchmarkWriteTraces(b *testing.B) {
	f := tracesFrame(16, 0x1p-10, 0, 34, 3600)
	var out countingWriter
	w, err := NewWriter(&out, f.Table(), testMetadata)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		w.Reset(&out)
		if err := w.WriteFrame(f); err != nil {
			b.Fatal(err)
		}
		if err := w.Close(); err != nil {
			b.Fatal(err)
		}
	}
	rows := float64(b.N) * float64(f.Rows())
	b.ReportMetric(rows/b.Elapsed().Seconds()/1e6, "Mrow/s")
	b.ReportMetric(float64(out.n)/rows, "B/row")
}

// BenchmarkWriteRuns writes 10,000 rows of the other kinds of columns, half of
// them nullable.
func BenchmarkWriteRuns(b *testing.B) {
	f := mixedFrame(b, 10_000)
	w, err := NewWriter(io.Discard, f.Table(), testMetadata)
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		w.Reset(io.Discard)
		if err := w.WriteFrame(f); err != nil {
			b.Fatal(err)
		}
		if err := w.Close(); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)*float64(f.Rows())/b.Elapsed().Seconds()/1e6, "Mrow/s")
}
