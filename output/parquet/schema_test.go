package parquet

import (
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	pq "github.com/parquet-go/parquet-go"
	"github.com/parquet-go/parquet-go/format"

	"soakledger/sim/record"
)

func TestColumnOrderIsKept(t *testing.T) {
	f := raw(t, mustEncode(t, tracesFrame(5, 0, 0, 1, 10)))
	var got []string
	for _, path := range f.Schema().Columns() {
		got = append(got, strings.Join(path, "."))
	}
	if want := []string{"run_id", "time_s", "z00_c", "y01_c", "x02_c", "w03_c", "v04_c"}; !reflect.DeepEqual(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

// TestPhysicalTypes reads the footer: what other programs go by.
func TestPhysicalTypes(t *testing.T) {
	f := raw(t, mustEncode(t, mixedFrame(t, 100)))
	want := map[string]struct {
		kind     format.Type
		encoding format.Encoding
		optional bool
	}{
		"run_id":   {format.Int32, format.DeltaBinaryPacked, false},
		"parent":   {format.Int64, format.DeltaBinaryPacked, true},
		"steps":    {format.Int64, format.DeltaBinaryPacked, false},
		"level_c":  {format.Double, format.ByteStreamSplit, false},
		"peak_c":   {format.Double, format.ByteStreamSplit, true},
		"energy_j": {format.Double, format.ByteStreamSplit, false},
		"status":   {format.ByteArray, format.RLEDictionary, false},
		"reason":   {format.ByteArray, format.RLEDictionary, true},
		"settled":  {format.Boolean, format.Plain, false},
		"hot":      {format.Boolean, format.Plain, true},
	}
	optional := make(map[string]bool)
	for _, field := range f.Schema().Fields() {
		optional[field.Name()] = field.Optional()
	}
	for _, c := range f.Metadata().RowGroups[0].Columns {
		name := c.MetaData.PathInSchema[0]
		w := want[name]
		if c.MetaData.Type != w.kind || optional[name] != w.optional {
			t.Errorf("%s is %v, optional %t", name, c.MetaData.Type, optional[name])
		}
		if !strings.Contains(fmt.Sprint(c.MetaData.Encoding), w.encoding.String()) {
			t.Errorf("%s is encoded %v, want %v", name, c.MetaData.Encoding, w.encoding)
		}
		if c.MetaData.Codec != format.Zstd {
			t.Errorf("%s is compressed with %v", name, c.MetaData.Codec)
		}
	}
	if f.Schema().Fields()[6].Type().LogicalType().Value == nil {
		t.Error("texts are not marked as strings")
	}
}

func TestEverySchemaCanBeBuilt(t *testing.T) {
	for kind := record.Float; kind <= record.Flag; kind++ {
		for _, nullable := range []bool{false, true} {
			for _, name := range []string{"a", "run_id"} {
				table := record.Table{Name: "runs", Columns: []record.Column{{Name: name, Kind: kind, Nullable: nullable}}}
				fields := schemaOf(table).Fields()
				back, err := columnOf(fields[0])
				if err != nil || back != table.Columns[0] {
					t.Errorf("%+v is read back as %+v, %v", table.Columns[0], back, err)
				}
			}
		}
	}
}

func TestFooter(t *testing.T) {
	table := traces(2, 0.5)
	f := raw(t, mustEncode(t, tracesFrame(2, 0.5, 0, 2, 10), tracesFrame(2, 0.5, 2, 1, 10)))
	if got := f.Metadata().CreatedBy; !strings.HasPrefix(got, "soakledger version 1.2.3") {
		t.Errorf("created by %q", got)
	}
	if n := len(f.RowGroups()); n != 2 {
		t.Errorf("%d row groups for two frames", n)
	}
	for g, group := range f.Metadata().RowGroups {
		if fmt.Sprint(group.SortingColumns) != fmt.Sprint([]format.SortingColumn{{ColumnIdx: 0}, {ColumnIdx: 1}}) {
			t.Errorf("row group %d claims the order %v", g, group.SortingColumns)
		}
	}
	want := map[string]string{
		"soakledger:schema_version": "3", "soakledger:engine_version": "1.2.3", "soakledger:scenario": testMetadata.Scenario,
		"soakledger:scenario_hash": "ab12", "soakledger:table": "traces",
	}
	for key, value := range want {
		if got, _ := f.Lookup(key); got != value {
			t.Errorf("%s is %q, want %q", key, got, value)
		}
	}
	var columns map[string]map[string]any
	text, _ := f.Lookup("soakledger:columns")
	if err := json.Unmarshal([]byte(text), &columns); err != nil {
		t.Fatal(err)
	}
	var attrs struct{ Units, Meanings map[string]string }
	text, _ = f.Lookup("PANDAS_ATTRS")
	if err := json.Unmarshal([]byte(text), &attrs); err != nil {
		t.Fatal(err)
	}
	for _, c := range table.Columns {
		if want := (map[string]any{"unit": c.Unit, "meaning": c.Meaning, "grid": c.Grid}); !reflect.DeepEqual(columns[c.Name], want) {
			t.Errorf("%s is described as %v, want %v", c.Name, columns[c.Name], want)
		}
		if attrs.Units[c.Name] != c.Unit || attrs.Meanings[c.Name] != c.Meaning {
			t.Errorf("%s is %q, %q for pandas", c.Name, attrs.Units[c.Name], attrs.Meanings[c.Name])
		}
	}
}

func TestOnlyTracesClaimAnOrder(t *testing.T) {
	f := raw(t, mustEncode(t, mixedFrame(t, 10)))
	if claim := f.Metadata().RowGroups[0].SortingColumns; len(claim) != 0 {
		t.Errorf("runs claim the order %v", claim)
	}
}

// TestPagesOfOneMebibyte: an incompressible column of 122,880 rows, 960 KiB, is
// one page; twice as many rows are not.
func TestPagesOfOneMebibyte(t *testing.T) {
	for rows, want := range map[int]int{RowGroupRows: 1, 2 * RowGroupRows: 2} {
		f := record.NewFrame(record.Table{Name: "curves", Columns: []record.Column{{Name: "x"}}})
		for i, v := range f.ExtendFloats(0, rows) {
			_ = v
			f.Floats(0)[i] = math.Sin(float64(i))
		}
		pages := 0
		reader := raw(t, mustEncode(t, f)).RowGroups()[0].ColumnChunks()[0].Pages()
		for {
			page, err := reader.ReadPage()
			if err != nil {
				break
			}
			pages++
			pq.Release(page)
		}
		if err := reader.Close(); err != nil {
			t.Error(err)
		}
		if pages != want {
			t.Errorf("%d rows are in %d pages, want %d", rows, pages, want)
		}
	}
}

// TestBytesPerRow holds the size of a trace with 18 columns on a 1 mK grid,
// independent of the machine.
func TestBytesPerRow(t *testing.T) {
	f := tracesFrame(16, 0x1p-10, 0, 10, 3600)
	size := float64(len(mustEncode(t, f))) / float64(f.Rows())
	if size > 10 {
		t.Errorf("%.2f bytes a row, want at most 10", size)
	}
	exact := float64(len(mustEncode(t, tracesFrame(16, 0, 0, 10, 3600)))) / float64(f.Rows())
	t.Logf("%.2f bytes a row at 1 mK, %.2f exact", size, exact)
	if exact < 2*size {
		t.Errorf("rounding saves too little: %.2f bytes a row exact, %.2f rounded", exact, size)
	}
}
