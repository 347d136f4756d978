package output

import (
	"bytes"
	"errors"
	"fmt"
	"log"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"soakledger/sim/record"
)

func TestOpenRefuses(t *testing.T) {
	tests := []struct {
		name   string
		damage func(dir string) error
		want   []string
	}{
		{"no folder", os.RemoveAll, []string{"manifest.json"}},
		{"no manifest", func(dir string) error { return os.Remove(filepath.Join(dir, "manifest.json")) }, []string{"its manifest is gone", "move the folder away and run the scenario again"}},
		{"missing part", func(dir string) error { return os.Remove(filepath.Join(dir, "runs/part-00001.parquet")) }, []string{"a part is missing", "part-00001", "soakledger run FILE --replace --out "}},
		{"short part", func(dir string) error { return os.Truncate(filepath.Join(dir, "runs/part-00001.parquet"), 7) }, []string{"runs/part-00001.parquet has 7 bytes"}},
		{"half a manifest", func(dir string) error { return os.Truncate(filepath.Join(dir, "manifest.json"), 200) }, []string{"its manifest is damaged", "manifest.json", "unexpected end", "move the folder away"}},
		{"later format", func(dir string) error {
			return edit(filepath.Join(dir, "manifest.json"), "dataset 1", "dataset 2")
		}, []string{`its format is that of another version: "soakledger dataset 2", not`}},
		{"renamed part", func(dir string) error {
			return edit(filepath.Join(dir, "manifest.json"), "runs/part-00001", "runs/part-00002")
		}, []string{`called "runs/part-00002.parquet", not "runs/part-00001.parquet"`}},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "set")
			mustWrite(t, dir, Settings{}, 2)
			if err := test.damage(dir); err != nil {
				t.Fatal(err)
			}
			_, err := Open(dir)
			wantError(t, err, append(test.want, dir)...)
		})
	}
}

func edit(name, old, new string) error {
	content, err := os.ReadFile(name)
	if err != nil {
		return err
	}
	return os.WriteFile(name, bytes.Replace(content, []byte(old), []byte(new), 1), 0o666)
}

func TestVerifyFindsEveryChangedPart(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 3)
	for _, name := range []string{"runs/part-00000.parquet", "traces/part-00002.parquet"} {
		content, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		content[len(content)/2] ^= 1
		put(t, dir, name, string(content))
	}
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	err = d.Verify()
	wantError(t, err, dir, "runs/part-00000.parquet", "traces/part-00002.parquet", "SHA-256")
	if strings.Contains(err.Error(), "part-00001") {
		t.Errorf("a part that is as it was is named: %v", err)
	}
}

func TestReadRefuses(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 1)
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	_, err = d.Read("events")
	wantError(t, err, dir, `no table "events"`)
	_, err = d.Read("runs", "peak")
	wantError(t, err, `no column "peak"`, "run_id")
	if d.Files("events") != nil || len(d.Files("runs")) != 1 {
		t.Errorf("files %v", d.Files("runs"))
	}
	if d.Dir() != dir {
		t.Errorf("folder %s", d.Dir())
	}
}

func TestEachReadsRowGroups(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 2)
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	groups, rows := 0, 0
	err = d.Each("traces", []string{"time_s"}, func(f *record.Frame) error {
		groups, rows = groups+1, rows+f.Rows()
		return nil
	})
	if err != nil || groups != 4 || rows != 480 {
		t.Errorf("%d groups, %d rows, %v", groups, rows, err)
	}
	stop := errors.New("stop")
	if err := d.Each("traces", nil, func(*record.Frame) error { return stop }); !errors.Is(err, stop) {
		t.Errorf("got %v", err)
	}
}

func TestTablesAreCopies(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "set")
	mustWrite(t, dir, Settings{}, 1)
	d, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	tables := d.Tables()
	if len(tables) != 2 || !tables[0].Equal(runsTable()) || !tables[1].Equal(tracesTable()) {
		t.Fatalf("tables %v", tables)
	}
	tables[0].Columns[0].Name = "changed"
	d.Meta().Notes["seed"] = "changed"
	if !d.Tables()[0].Equal(runsTable()) || d.Meta().Notes["seed"] != "7" {
		t.Error("what a caller changes is changed in the dataset")
	}
}

func TestPartNumber(t *testing.T) {
	for name, want := range map[string]int{
		"part-00000.parquet": 0, "part-00042.parquet": 42, "part-99999.parquet": 99_999,
		"part-0042.parquet": -1, "part-100000.parquet": -1, "part--0001.parquet": -1, "part-00001.parquet.x": -1,
		"part-00001.csv": -1, "_part-00001.parquet": -1, "part-+0001.parquet": -1, "part- 0001.parquet": -1, "": -1,
	} {
		if got := partNumber(name); got != want {
			t.Errorf("%q: %d, want %d", name, got, want)
		}
	}
}

// FuzzManifest: any text is an error or a manifest that is written and read
// again as it is, and whose parts lie inside the folder.
func FuzzManifest(f *testing.F) {
	golden, err := os.ReadFile(filepath.Join("testdata", "manifest.json"))
	if err != nil {
		f.Fatal(err)
	}
	f.Add(golden)
	f.Add([]byte(`{"format": "soakledger dataset 1"}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := parseManifest(text)
		if err != nil {
			return
		}
		for _, table := range m.Tables {
			for _, p := range table.Parts {
				if !filepath.IsLocal(p.File) {
					t.Fatalf("part %q", p.File)
				}
			}
		}
		first, err := m.encode()
		if err != nil {
			t.Fatal(err)
		}
		back, err := parseManifest(first)
		if err != nil {
			t.Fatalf("its own text is refused: %v", err)
		}
		if second, err := back.encode(); err != nil || !bytes.Equal(first, second) {
			t.Fatalf("written again it differs: %v", err)
		}
	})
}

func Example() {
	root, err := os.MkdirTemp("", "example")
	if err != nil {
		log.Fatal(err)
	}
	defer func() {
		if err := os.RemoveAll(root); err != nil {
			log.Print(err)
		}
	}()
	traces := record.Table{Name: "traces", Columns: []record.Column{
		{Name: "run_id", Kind: record.Int, Meaning: "number of the run"},
		{Name: "time_s", Unit: "s", Meaning: "time from start"},
		{Name: "coolant_c", Unit: "degC", Meaning: "coolant at the reservoir", Grid: 0x1p-10},
	}}
	w, err := Create(filepath.Join(root, "study"), Meta{SchemaVersion: 1, EngineVersion: "0.1.0", ScenarioHash: "5eed"}, []record.Table{traces}, Settings{})
	if err != nil {
		log.Fatal(err)
	}
	rows := record.NewFrame(traces)
	rows.AppendRepeated(0, 0, 3)
	rows.AppendFloats(1, []float64{0, 60, 120})
	rows.AppendFloats(2, []float64{22, 27.5, 30.25})
	if err := w.WritePart("traces", 0, rows); err != nil {
		log.Fatal(errors.Join(err, w.Abort()))
	}
	if err := w.Finish(); err != nil {
		log.Fatal(errors.Join(err, w.Abort()))
	}
	d, err := Open(filepath.Join(root, "study"))
	if err != nil {
		log.Fatal(err)
	}
	coolant, err := d.Read("traces", "coolant_c")
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(d.Rows("traces"), coolant.Floats(0), d.Verify())
	// Output: 3 [22 27.5 30.25] <nil>
}
