package parquet

import (
	"bytes"
	"errors"
	"io"
	"math"
	"os"
	"strings"
	"syscall"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/record"
)

func TestSameBytesTwice(t *testing.T) {
	f := mixedFrame(t, 3000)
	first := mustEncode(t, f, f)
	for range 20 { // the metadata come from a map: its order must not show
		if !bytes.Equal(first, mustEncode(t, f, f)) {
			t.Fatal("equal frames give different bytes")
		}
	}
	host, err := os.Hostname()
	if err != nil {
		t.Fatal(err)
	}
	if len(host) > 3 && bytes.Contains(first, []byte(host)) {
		t.Errorf("the host's name %q is stored", host)
	}
}

func TestResetWriterGivesTheSameBytes(t *testing.T) {
	frames := []*record.Frame{tracesFrame(3, 0.25, 0, 2, 500), tracesFrame(3, 0.25, 2, 1, 70)}
	want := mustEncode(t, frames...)
	var out bytes.Buffer
	w, err := NewWriter(io.Discard, frames[0].Table(), testMetadata)
	if err != nil {
		t.Fatal(err)
	}
	for round := range 3 {
		out.Reset()
		w.Reset(&out)
		for _, f := range frames {
			if err := w.WriteFrame(f); err != nil {
				t.Fatal(err)
			}
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		if w.Rows() != 1070 {
			t.Errorf("%d rows are counted", w.Rows())
		}
		if !bytes.Equal(out.Bytes(), want) {
			t.Errorf("round %d: %d bytes that differ from the %d of a new writer", round, out.Len(), len(want))
		}
	}
}

func TestResetAfterAnError(t *testing.T) {
	f := tracesFrame(1, 0, 0, 1, 400)
	w, err := NewWriter(&fullDisk{room: 10}, f.Table(), testMetadata)
	if err != nil {
		t.Fatal(err)
	}
	if err := errors.Join(w.WriteFrame(f), w.Close()); !errors.Is(err, syscall.ENOSPC) {
		t.Fatalf("got %v", err)
	}
	var out bytes.Buffer
	w.Reset(&out)
	if err := errors.Join(w.WriteFrame(f), w.Close()); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(out.Bytes(), mustEncode(t, f)) {
		t.Error("the file after a failed one differs from that of a new writer")
	}
}

func TestWriterLeavesTheFrameAlone(t *testing.T) {
	f := record.NewFrame(traces(1, 0.5))
	f.AppendInts(0, []int64{0})
	f.AppendFloats(1, []float64{0})
	f.AppendFloats(2, []float64{30.3})
	r := mustRead(t, mustEncode(t, f))
	if f.Floats(2)[0] != 30.3 {
		t.Errorf("the frame now holds %g", f.Floats(2)[0])
	}
	if g, err := r.Read(); err != nil || g.Floats(2)[0] != 30.5 {
		t.Errorf("stored %v, %v", g.Floats(2), err)
	}
}

func TestWriteFrameRefuses(t *testing.T) {
	good := func() *record.Frame { return tracesFrame(2, 0, 0, 1, 10) }
	tests := []struct {
		name  string
		frame func() *record.Frame
		want  string
	}{
		{"ragged columns", func() *record.Frame {
			f := good()
			f.AppendFloats(2, []float64{1})
			return f
		}, "z00_c has 11 values, not 10"},
		{"NaN", func() *record.Frame {
			f := good()
			f.Floats(3)[4] = math.NaN()
			return f
		}, "column y01_c, row 4: NaN cannot be stored"},
		{"infinity", func() *record.Frame {
			f := good()
			f.Floats(3)[4] = math.Inf(1)
			return f
		}, "+Inf cannot be stored"},
		{"other columns", func() *record.Frame { return tracesFrame(3, 0, 0, 1, 10) }, "other columns"},
		{"other grid", func() *record.Frame { return tracesFrame(2, 0.5, 0, 1, 10) }, "other columns"},
		{"other table", func() *record.Frame { return mixedFrame(t, 3) }, "table runs"},
		{"run number of 33 bits", func() *record.Frame {
			f := good()
			f.Ints(0)[9] = 1 << 32
			return f
		}, "does not fit 32 bits"},
		{"runs fall", func() *record.Frame {
			f := good()
			f.Ints(0)[9] = -1
			return f
		}, "row 9: run -1 comes after run 0"},
		{"time stands still", func() *record.Frame {
			f := good()
			f.Floats(1)[5] = 4
			return f
		}, "row 5: time 4 s of run 0 comes after 4 s"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			w, err := NewWriter(io.Discard, good().Table(), testMetadata)
			if err != nil {
				t.Fatal(err)
			}
			err = w.WriteFrame(test.frame())
			if err == nil || !strings.Contains(err.Error(), test.want) {
				t.Fatalf("got %v, want %q", err, test.want)
			}
			// After the first error the writer answers nothing else.
			if again := w.WriteFrame(good()); again != err {
				t.Errorf("a frame after the error: %v", again)
			}
			if closing := w.Close(); closing != err {
				t.Errorf("closing after the error: %v", closing)
			}
		})
	}
}

func TestRunsAreNotCut(t *testing.T) {
	w, err := NewWriter(io.Discard, traces(1, 0), testMetadata)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.WriteFrame(tracesFrame(1, 0, 4, 2, 10)); err != nil {
		t.Fatal(err)
	}
	next := tracesFrame(1, 0, 5, 1, 10)
	for i := range next.Floats(1) {
		next.Floats(1)[i] += 10
	}
	if err := w.WriteFrame(next); err == nil || !strings.Contains(err.Error(), "run 5 is cut in two") {
		t.Errorf("got %v", err)
	}
	w.Reset(io.Discard)
	if err := w.WriteFrame(tracesFrame(1, 0, 4, 1, 10)); err != nil {
		t.Fatal(err)
	}
	if err := w.WriteFrame(tracesFrame(1, 0, 3, 1, 10)); err == nil || !strings.Contains(err.Error(), "run 3 comes after run 4") {
		t.Errorf("got %v", err)
	}
}

func TestWriterAfterClose(t *testing.T) {
	var out bytes.Buffer
	w, err := NewWriter(&out, traces(1, 0), testMetadata)
	if err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	size := out.Len()
	if err := w.WriteFrame(tracesFrame(1, 0, 0, 1, 10)); err == nil || !strings.Contains(err.Error(), "closed") {
		t.Errorf("writing: %v", err)
	}
	if err := w.Close(); err == nil {
		t.Error("closing twice is accepted")
	}
	if out.Len() != size {
		t.Error("bytes were written after closing")
	}
}

func TestNewWriterRefusesABadTable(t *testing.T) {
	if _, err := NewWriter(io.Discard, record.Table{Name: "runs", Columns: []record.Column{{Name: "A"}}}, testMetadata); err == nil {
		t.Error("a bad column name is accepted")
	}
	if _, err := Encode(testMetadata); err == nil {
		t.Error("no frames are accepted")
	}
}

// fullDisk takes room bytes and then reports that the disk is full.
type fullDisk struct{ room int }

func (d *fullDisk) Write(b []byte) (int, error) {
	n := min(len(b), d.room)
	d.room -= n
	if n < len(b) {
		return n, syscall.ENOSPC
	}
	return n, nil
}

// TestFullDiskIsReported lets the disk fill up at every byte of a small file
// and at some of a larger one: the error must come out of WriteFrame or Close.
func TestFullDiskIsReported(t *testing.T) {
	small, large := tracesFrame(2, 0, 0, 1, 5), tracesFrame(8, 0, 0, 2, 9000)
	for _, test := range []struct {
		frame *record.Frame
		step  int
	}{{small, 1}, {large, 19_997}} {
		size := len(mustEncode(t, test.frame))
		for room := 0; room < size; room += test.step {
			w, err := NewWriter(&fullDisk{room: room}, test.frame.Table(), testMetadata)
			if err != nil {
				t.Fatal(err)
			}
			err = w.WriteFrame(test.frame)
			if closing := w.Close(); err == nil {
				err = closing
			}
			if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "table traces") {
				t.Fatalf("full after %d of %d bytes: %v", room, size, err)
			}
		}
	}
}

func TestDevFull(t *testing.T) {
	f, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Logf("no such device here, the error is simulated in TestFullDiskIsReported: %v", err)
		return
	}
	w, err := NewWriter(f, traces(2, 0), testMetadata)
	if err != nil {
		t.Fatal(err)
	}
	err = w.WriteFrame(tracesFrame(2, 0, 0, 1, 5))
	if closing := w.Close(); !errors.Is(errors.Join(err, closing), syscall.ENOSPC) {
		t.Errorf("writing to /dev/full: %v, closing: %v", err, closing)
	}
	if err := f.Close(); err != nil {
		t.Error(err)
	}
}

func TestRound(t *testing.T) {
	tests := []struct{ value, grid, want float64 }{
		{30.3, 0.25, 30.25},
		{0.375, 0.25, 0.5}, // halves to even: 1.5 steps
		{0.625, 0.25, 0.5}, // 2.5 steps
		{-0.375, 0.25, -0.5},
		{100, 64, 128},
		{5e15 + 1, 0x1p-14, 5e15 + 1},
		{math.MaxFloat64, 0x1p-14, math.MaxFloat64}, // would overflow when scaled
		{-math.MaxFloat64, 0x1p-14, -math.MaxFloat64},
		{0, 0.5, 0},
	}
	for _, test := range tests {
		if got := round(test.value, test.grid, 1/test.grid); got != test.want {
			t.Errorf("%g to multiples of %g: %g, want %g", test.value, test.grid, got, test.want)
		}
	}
	if got := round(-0.1, 0.5, 2); math.Signbit(got) {
		t.Error("-0.1 becomes -0")
	}
}

func TestRoundIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		grid := math.Ldexp(1, rapid.IntRange(-20, 3).Draw(t, "exponent"))
		v := rapid.Float64Range(-1e7, 1e7).Draw(t, "value")
		got := round(v, grid, 1/grid)
		if steps := got / grid; steps != math.Trunc(steps) {
			t.Fatalf("%g is no multiple of %g", got, grid)
		}
		if math.Abs(got-v) > grid/2 {
			t.Fatalf("%g is rounded to %g, more than half of %g away", v, got, grid)
		}
		if again := round(got, grid, 1/grid); again != got {
			t.Fatalf("%g is rounded again to %g", got, again)
		}
	})
}
