package parquet

import (
	"bytes"
	"errors"
	"math"
	"testing"

	pq "github.com/parquet-go/parquet-go"

	"soakledger/sim/record"
)

// unchecked writes columns of floats with the library alone, past the checks of
// a Writer: the files that a faulty program would make.
func unchecked(t *testing.T, columns ...[]float64) []byte {
	t.Helper()
	table := record.Table{Name: "runs"}
	for i := range columns {
		table.Columns = append(table.Columns, record.Column{Name: string(rune('a' + i))})
	}
	pairs, err := keyValues(table, testMetadata)
	if err != nil {
		t.Fatal(err)
	}
	buffer := pq.NewBuffer(schemaOf(table))
	for i, column := range buffer.ColumnBuffers() {
		if _, err := column.(pq.DoubleWriter).WriteDoubles(columns[i]); err != nil {
			t.Fatal(err)
		}
	}
	var out bytes.Buffer
	w := pq.NewGenericWriter[any](&out, buffer.Schema(), &pq.WriterConfig{KeyValueMetadata: pairs})
	if _, err := w.WriteRowGroup(buffer); err != nil {
		t.Fatal(err)
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

func TestReaderRefusesNaN(t *testing.T) {
	r := mustRead(t, unchecked(t, []float64{1, 2, 3}, []float64{1, math.NaN(), 3}))
	f := record.NewFrame(r.Table())
	for range 2 { // after the error the frame is as it was
		err := r.ReadGroup(0, f)
		wantError(t, err, "part.parquet", "column b, row 1", "NaN")
		if f.Rows() != 0 || f.Check() != nil {
			t.Errorf("%d rows are left in the frame", f.Rows())
		}
	}
	if got, err := r.Read("a"); err != nil || got.Rows() != 3 {
		t.Errorf("the other column: %v", err)
	}
}

// TestReaderRefusesRaggedColumns: the library writes such a file without an
// error, and other readers then fail or crash.
func TestReaderRefusesRaggedColumns(t *testing.T) {
	for _, columns := range [][][]float64{{{1, 2, 3}, {1, 2}}, {{1, 2}, {1, 2, 3}}} {
		data := unchecked(t, columns...)
		_, err := NewReader("part.parquet", bytes.NewReader(data), int64(len(data)))
		wantError(t, err, "part.parquet", "row group 0 has", "its column 1")
	}
}

func TestReaderNeedsEveryNote(t *testing.T) {
	table := record.Table{Columns: []record.Column{{Name: "a"}, {Name: "b"}}}
	tests := []struct {
		name  string
		pairs map[string]string
		want  string
	}{
		{"nothing", nil, "not written by soakledger"},
		{"no JSON", map[string]string{keyColumns: "{"}, "unexpected end"},
		{"a column short", map[string]string{keyColumns: `{"a": {}}`}, `nothing of column "b"`},
		{"no version", map[string]string{keyColumns: `{"a": {}, "b": {}}`}, `"" is no whole number`},
		{"no table name", map[string]string{keyColumns: `{"a": {}, "b": {}}`, keySchemaVersion: "1"}, "table name"},
		{"decimal grid", map[string]string{keyColumns: `{"a": {"grid": 0.1}, "b": {}}`, keySchemaVersion: "1", keyTable: "runs"}, "power of two"},
	}
	for _, test := range tests {
		_, err := parseMetadata(&table, func(key string) (string, bool) {
			value, ok := test.pairs[key]
			return value, ok
		})
		wantError(t, err, test.want)
	}
}

func TestFooterThatDoesNotFit(t *testing.T) {
	data := mustEncode(t, mixedFrame(t, 3))
	copy(data[len(data)-footerBytes:], []byte{0xff, 0xff, 0xff, 0x7f})
	_, err := NewReader("part.parquet", bytes.NewReader(data), int64(len(data)))
	wantError(t, err, "part.parquet", "a footer of 2147483647 bytes does not fit")
}

func TestPanicsBecomeErrors(t *testing.T) {
	r := &Reader{name: "part.parquet"}
	err := r.guard("reading the footer", func() error { panic("index out of range") })
	wantError(t, err, "reading the footer of part.parquet", "index out of range", "damaged")
	cause := errors.New("cause")
	if err := r.guard("reading", func() error { return cause }); !errors.Is(err, cause) {
		t.Errorf("the cause is lost: %v", err)
	}
	if err := r.guard("reading", func() error { return nil }); err != nil {
		t.Errorf("got %v", err)
	}
}

func TestCheckGroupCountsRows(t *testing.T) {
	f := record.NewFrame(record.Table{Name: "runs", Columns: []record.Column{{Name: "a"}}})
	f.AppendFloats(0, []float64{1, 2, 3})
	if err := checkGroup(f, 1, 2); err != nil {
		t.Error(err)
	}
	wantError(t, checkGroup(f, 1, 3), "2 rows were read instead of 3")
}

func TestPageThatLacksValues(t *testing.T) {
	f := record.NewFrame(record.Table{Name: "runs", Columns: []record.Column{{Name: "a", Nullable: true}}})
	wantError(t, appendPresent(f, 0, []byte{1, 0, 1, 1}, []float64{7, 8}), "lacks 1 values")
	f.Reset()
	if err := appendPresent(f, 0, []byte{1, 0, 0, 1}, []float64{7, 8}); err != nil || f.Floats(0)[3] != 8 || !f.IsNull(0, 2) {
		t.Errorf("got %v, %v, %v", f.Floats(0), f.Nulls(0), err)
	}
}
