package parquet

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	pq "github.com/parquet-go/parquet-go"
	"pgregory.net/rapid"

	"soakledger/sim/record"
)

func TestRoundTrip(t *testing.T) {
	frames := map[string]*record.Frame{
		"every kind":            mixedFrame(t, 5000),
		"one row":               mixedFrame(t, 1),
		"traces":                tracesFrame(16, 0x1p-10, 0, 3, 3600),
		"a row group of traces": tracesFrame(2, 0, 0, 34, 3600),
	}
	for name, f := range frames {
		t.Run(name, func(t *testing.T) {
			r := mustRead(t, mustEncode(t, f))
			if r.Metadata() != testMetadata {
				t.Errorf("metadata %+v", r.Metadata())
			}
			if r.Rows() != int64(f.Rows()) || r.Groups() != 1 {
				t.Errorf("%d rows in %d groups", r.Rows(), r.Groups())
			}
			got, err := r.Read()
			if err != nil {
				t.Fatal(err)
			}
			sameFrame(t, got, f)
		})
	}
}

// TestRoundTripOfAnyFrame draws tables and values of every kind.
func TestRoundTripOfAnyFrame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table := record.Table{Name: "events", Columns: []record.Column{}}
		for i := range rapid.IntRange(1, 6).Draw(t, "columns") {
			c := record.Column{
				Name: fmt.Sprintf("c%d", (i*7)%11), Meaning: rapid.StringMatching(`[ -~äµ°]{0,8}`).Draw(t, "meaning"),
				Kind: record.Kind(rapid.IntRange(0, 3).Draw(t, "kind")), Nullable: rapid.Bool().Draw(t, "nullable"),
			}
			if c.Kind == record.Float {
				c.Grid = rapid.SampledFrom([]float64{0, 0x1p-14, 4}).Draw(t, "grid")
			}
			table.Columns = append(table.Columns, c)
		}
		f := record.NewFrame(table)
		for range rapid.IntRange(0, 40).Draw(t, "rows") {
			drawRow(t, f)
		}
		data, err := Encode(testMetadata, f)
		if err != nil {
			t.Fatal(err)
		}
		r, err := NewReader("part", bytes.NewReader(data), int64(len(data)))
		if err != nil {
			t.Fatal(err)
		}
		got, err := r.Read()
		if err != nil {
			t.Fatal(err)
		}
		sameFrame(t, got, f)
	})
}

func drawRow(t *rapid.T, f *record.Frame) {
	r := f.Begin()
	for i, c := range f.Table().Columns {
		switch {
		case c.Nullable && rapid.Bool().Draw(t, "null"):
			r.SetNullAt(i)
		case c.Kind == record.Float:
			r.SetFloatAt(i, rapid.Float64Range(-1e9, 1e9).Draw(t, "float"))
		case c.Kind == record.Int:
			r.SetIntAt(i, rapid.Int64().Draw(t, "int"))
		case c.Kind == record.Text:
			r.SetTextAt(i, rapid.String().Draw(t, "text"))
		default:
			r.SetFlagAt(i, rapid.Bool().Draw(t, "flag"))
		}
	}
	if err := r.End(); err != nil {
		t.Fatal(err)
	}
}

func TestAllNulls(t *testing.T) {
	f := record.NewFrame(record.Table{Name: "runs", Columns: []record.Column{{Name: "a", Nullable: true}, {Name: "b", Kind: record.Text, Nullable: true}}})
	f.AppendNulls(0, 7)
	f.AppendNulls(1, 7)
	got, err := mustRead(t, mustEncode(t, f)).Read()
	if err != nil {
		t.Fatal(err)
	}
	sameFrame(t, got, f)
}

func TestEmptyFile(t *testing.T) {
	f := record.NewFrame(mixed())
	r := mustRead(t, mustEncode(t, f))
	if r.Groups() != 0 || r.Rows() != 0 || !r.Table().Equal(mixed()) {
		t.Errorf("%d groups, %d rows, %v", r.Groups(), r.Rows(), r.Table())
	}
	if got, err := r.Read("status"); err != nil || got.Rows() != 0 || len(got.Table().Columns) != 1 {
		t.Errorf("got %v, %v", got, err)
	}
}

func TestReadSelectedColumns(t *testing.T) {
	f := mixedFrame(t, 50)
	got, err := mustRead(t, mustEncode(t, f)).Read("status", "peak_c")
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Table().Columns) != 2 || !slices.Equal(got.Texts(0), f.Texts(f.Col("status"))) || !slices.Equal(got.Nulls(1), f.Nulls(f.Col("peak_c"))) {
		t.Errorf("got %v %v", got.Texts(0), got.Nulls(1))
	}
}

func TestReadGroupAppends(t *testing.T) {
	first, second := tracesFrame(2, 0, 0, 1, 20), tracesFrame(2, 0, 1, 2, 30)
	r := mustRead(t, mustEncode(t, first, second))
	got := record.NewFrame(r.Table())
	for _, g := range []int{1, 0} {
		if err := r.ReadGroup(g, got); err != nil {
			t.Fatal(err)
		}
	}
	want := record.NewFrame(r.Table())
	for _, f := range []*record.Frame{second, first} {
		if err := want.AppendFrame(f); err != nil {
			t.Fatal(err)
		}
	}
	sameFrame(t, got, want)
	for _, g := range []int{-1, 2} {
		if err := r.ReadGroup(g, got); err == nil || !strings.Contains(err.Error(), "part.parquet") {
			t.Errorf("row group %d: %v", g, err)
		}
	}
}

func TestReadRefusesWhatIsNotThere(t *testing.T) {
	r := mustRead(t, mustEncode(t, mixedFrame(t, 5)))
	if _, err := r.Read("peak"); err == nil || !strings.Contains(err.Error(), `no column "peak"`) {
		t.Errorf("unknown column: %v", err)
	}
	for _, c := range []record.Column{{Name: "status", Kind: record.Float}, {Name: "peak_c"}, {Name: "other"}} {
		f := record.NewFrame(record.Table{Name: "runs", Columns: []record.Column{c}})
		if err := r.ReadGroup(0, f); err == nil || !strings.Contains(err.Error(), c.Name) || f.Rows() != 0 {
			t.Errorf("frame with %+v: %v", c, err)
		}
	}
}

func writeFiles(t *testing.T, contents ...[]byte) []string {
	t.Helper()
	dir := t.TempDir()
	names := make([]string, len(contents))
	for i, content := range contents {
		names[i] = filepath.Join(dir, fmt.Sprintf("part-%05d.parquet", i))
		if err := os.WriteFile(names[i], content, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return names
}

func TestReadParts(t *testing.T) {
	a, b, c := tracesFrame(2, 0, 0, 1, 20), tracesFrame(2, 0, 1, 1, 30), tracesFrame(2, 0, 2, 1, 5)
	names := writeFiles(t, mustEncode(t, a, b), mustEncode(t, c))
	got, err := ReadParts(names)
	if err != nil {
		t.Fatal(err)
	}
	want := record.NewFrame(a.Table())
	for _, f := range []*record.Frame{a, b, c} {
		if err := want.AppendFrame(f); err != nil {
			t.Fatal(err)
		}
	}
	sameFrame(t, got, want)

	var rows []int
	err = Each(names, []string{"time_s"}, func(f *record.Frame) error {
		rows = append(rows, f.Rows())
		return nil
	})
	if err != nil || !slices.Equal(rows, []int{20, 30, 5}) {
		t.Errorf("row groups of %v rows, %v", rows, err)
	}
	stop := errors.New("stop")
	if err := Each(names, nil, func(*record.Frame) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("the caller's error is lost: %v", err)
	}
}

func TestReadPartsRefuses(t *testing.T) {
	good := mustEncode(t, tracesFrame(2, 0, 0, 1, 20))
	names := writeFiles(t, good, mustEncode(t, tracesFrame(3, 0, 0, 1, 20)), good[:len(good)/2])
	tests := []struct {
		name    string
		names   []string
		columns []string
		want    string
	}{
		{"no files", nil, nil, "no files"},
		{"other columns", names[:2], nil, "part-00001.parquet: its columns are not those of"},
		{"half a file", []string{names[0], names[2]}, nil, "part-00002.parquet"},
		{"unknown column", names[:1], []string{"x"}, `no column "x"`},
		{"missing file", []string{names[0] + "x"}, nil, "no such file"},
		{"a folder", []string{filepath.Dir(names[0])}, nil, filepath.Dir(names[0])},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			if _, err := ReadParts(test.names, test.columns...); err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %v, want %q", err, test.want)
			}
		})
	}
	empty := writeFiles(t, mustEncode(t, record.NewFrame(traces(2, 0))))
	if f, err := ReadParts(empty, "time_s"); err != nil || f.Rows() != 0 || f.Col("time_s") != 0 {
		t.Errorf("a part without rows: %v", err)
	}
}

func TestForeignFiles(t *testing.T) {
	type nested struct{ A struct{ B float64 } }
	type plain struct{ Celsius float64 }
	type narrow struct{ Celsius float32 }
	tests := map[string][]byte{
		"was not written by soakledger": foreign(t, plain{1}),
		"nested or repeated":            foreign(t, nested{}),
		"has type FLOAT":                foreign(t, narrow{1}),
		"no footer":                     []byte("time,temperature\n0,21\n1,22\n"),
		"too few":                       nil,
	}
	for want, data := range tests {
		_, err := NewReader("log.parquet", bytes.NewReader(data), int64(len(data)))
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), "log.parquet") {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

func foreign[T any](t *testing.T, row T) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := pq.Write(&out, []T{row}); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestTruncatedAnywhere cuts a file at every length.
func TestTruncatedAnywhere(t *testing.T) {
	data := mustEncode(t, mixedFrame(t, 20))
	for n := range data {
		if _, err := NewReader("cut.parquet", bytes.NewReader(data[:n]), int64(n)); err == nil || !strings.Contains(err.Error(), "cut.parquet") {
			t.Fatalf("cut at %d of %d bytes: %v", n, len(data), err)
		}
	}
}

// TestDamagedAnywhere changes every byte in turn: an error or a frame that can
// be used, never a panic.
func TestDamagedAnywhere(t *testing.T) {
	data := mustEncode(t, mixedFrame(t, 20))
	refused := 0
	for i := range data {
		bad := bytes.Clone(data)
		bad[i] ^= 0xa5
		if readAll(t, bad) != nil {
			refused++
		}
	}
	if refused < len(data)/3 {
		t.Errorf("only %d of %d damaged files are refused", refused, len(data))
	}
}

// readAll reads everything and checks that an error names the file.
func readAll(t *testing.T, data []byte) error {
	t.Helper()
	r, err := NewReader("bad.parquet", bytes.NewReader(data), int64(len(data)))
	if err == nil {
		var f *record.Frame
		if f, err = r.Read(); err == nil {
			err = f.Check()
		}
	}
	if err != nil && !strings.Contains(err.Error(), "bad.parquet") {
		t.Fatalf("the error does not name the file: %v", err)
	}
	return err
}

func FuzzReader(f *testing.F) {
	f.Add(mustEncode(f, mixedFrame(f, 12)))
	f.Add(mustEncode(f, tracesFrame(3, 0.25, 0, 2, 30)))
	f.Add(mustEncode(f, record.NewFrame(mixed())))
	f.Add([]byte("PAR1PAR1"))
	f.Fuzz(func(t *testing.T, data []byte) { _ = readAll(t, data) })
}

// TestNote: a note is in the file it was made for, and not in the next one.
func TestNote(t *testing.T) {
	f := tracesFrame(2, 0, 0, 1, 10)
	var out bytes.Buffer
	w, err := NewWriter(&out, f.Table(), testMetadata)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"first", ""} {
		out.Reset()
		w.Reset(&out)
		if err := w.WriteFrame(f); err != nil {
			t.Fatal(err)
		}
		if want != "" {
			w.Note("part", "replaced")
			w.Note("part", want)
		}
		if err := w.Close(); err != nil {
			t.Fatal(err)
		}
		r, err := NewReader("x", bytes.NewReader(out.Bytes()), int64(out.Len()))
		if err != nil {
			t.Fatal(err)
		}
		if got, ok := r.Note("part"); got != want || ok != (want != "") {
			t.Errorf("the note is %q, %t, want %q", got, ok, want)
		}
		if r.Metadata() != testMetadata {
			t.Errorf("metadata %+v", r.Metadata())
		}
	}
}

func TestCheckEnd(t *testing.T) {
	content, err := Encode(testMetadata, tracesFrame(2, 0, 0, 1, 10))
	if err != nil {
		t.Fatal(err)
	}
	n := len(content)
	name := filepath.Join(t.TempDir(), "a.parquet")
	for want, file := range map[string][]byte{
		"":              content,
		"bytes instead": content[:n-1],
		"no footer":     append(bytes.Clone(content[:n-1]), 'x'),
		"does not fit":  append(bytes.Clone(content[:n-8]), "\xff\xff\xff\x7fPAR1"...),
		"no such file":  nil,
	} {
		if err := os.WriteFile(name, file, 0o666); err != nil {
			t.Fatal(err)
		}
		if file == nil {
			if err := os.Remove(name); err != nil {
				t.Fatal(err)
			}
		}
		err := CheckEnd(name, int64(n))
		if want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), name)) {
			t.Errorf("got %v, want an error with %q", err, want)
		}
	}
}
