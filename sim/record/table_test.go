package record

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// traceTable has every column of a trace required.
func traceTable() Table {
	return Table{Name: "traces", Columns: []Column{
		{Name: "run_id", Meaning: "number of the run", Kind: Int},
		{Name: "time_s", Unit: "s", Meaning: "time from start"},
		{Name: "coolant_c", Unit: "degC", Meaning: "coolant at the reservoir", Grid: 1.0 / 16384},
	}}
}

// mixedTable has a required and a nullable column of every kind.
func mixedTable() Table {
	return Table{Name: "runs", Columns: []Column{
		{Name: "level_c", Unit: "degC", Kind: Float},
		{Name: "peak_c", Unit: "degC", Kind: Float, Nullable: true},
		{Name: "run_id", Kind: Int},
		{Name: "steps", Unit: "1", Kind: Int, Nullable: true},
		{Name: "status", Kind: Text},
		{Name: "reason", Kind: Text, Nullable: true},
		{Name: "settled", Kind: Flag},
		{Name: "throttled", Kind: Flag, Nullable: true},
	}}
}

func TestValidateAccepts(t *testing.T) {
	for _, table := range []Table{traceTable(), mixedTable()} {
		if err := table.Validate(); err != nil {
			t.Errorf("%s: %v", table.Name, err)
		}
	}
}

func TestValidateRefuses(t *testing.T) {
	one := func(c Column) Table { return Table{Name: "runs", Columns: []Column{c}} }
	tests := []struct {
		name  string
		table Table
		want  string
	}{
		{"table name with capital", Table{Name: "Runs", Columns: []Column{{Name: "a"}}}, `table name "Runs"`},
		{"table name that climbs", Table{Name: "../runs", Columns: []Column{{Name: "a"}}}, "snake case"},
		{"no table name", Table{Columns: []Column{{Name: "a"}}}, "snake case"},
		{"no columns", Table{Name: "runs"}, "no columns"},
		{"capital", one(Column{Name: "Coolant"}), "snake case"},
		{"digit first", one(Column{Name: "1st"}), "snake case"},
		{"underscore first", one(Column{Name: "_a"}), "snake case"},
		{"dot", one(Column{Name: "a.b"}), "snake case"},
		{"space", one(Column{Name: "a b"}), "snake case"},
		{"not ASCII", one(Column{Name: "größe"}), "snake case"},
		{"empty", one(Column{}), "snake case"},
		{"twice", Table{Name: "runs", Columns: []Column{{Name: "a"}, {Name: "a"}}}, "twice"},
		{"twice ignoring case", Table{Name: "runs", Columns: []Column{{Name: "a_c"}, {Name: "a_C"}}}, "ignoring case"},
		{"decimal grid", one(Column{Name: "a", Grid: 0.001}), "power of two"},
		{"negative grid", one(Column{Name: "a", Grid: -0.5}), "power of two"},
		{"grid is NaN", one(Column{Name: "a", Grid: math.NaN()}), "power of two"},
		{"grid is infinite", one(Column{Name: "a", Grid: math.Inf(1)}), "power of two"},
		{"grid without finite inverse", one(Column{Name: "a", Grid: 0x1p-1074}), "power of two"},
		{"grid on a text", one(Column{Name: "a", Kind: Text, Grid: 0.5}), "only float"},
		{"unit on a flag", one(Column{Name: "a", Kind: Flag, Unit: "s"}), "only numbers"},
		{"line break", one(Column{Name: "a", Meaning: "x\ny"}), "line break"},
		{"broken UTF-8", one(Column{Name: "a", Unit: "\xff"}), "UTF-8"},
		{"unknown kind", one(Column{Name: "a", Kind: 9}), "kind 9"},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			err := test.table.Validate()
			if err == nil || !strings.Contains(err.Error(), test.want) {
				t.Errorf("got %v, want an error with %q", err, test.want)
			}
		})
	}
}

func TestValidateReportsAll(t *testing.T) {
	err := Table{Name: "runs", Columns: []Column{{Name: "A"}, {Name: "b", Grid: 3}}}.Validate()
	if err == nil || !strings.Contains(err.Error(), `"A"`) || !strings.Contains(err.Error(), "grid 3") {
		t.Errorf("got %v, want both errors", err)
	}
}

func TestEveryPowerOfTwoIsAGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		exponent := rapid.IntRange(-900, 900).Draw(t, "exponent")
		grid := math.Ldexp(1, exponent)
		if !powerOfTwo(grid) {
			t.Fatalf("2^%d is refused", exponent)
		}
		if powerOfTwo(math.Nextafter(grid, math.Inf(1))) || powerOfTwo(-grid) {
			t.Fatalf("a neighbour of 2^%d is accepted", exponent)
		}
	})
}

func TestKindText(t *testing.T) {
	for kind, word := range map[Kind]string{Float: "float", Int: "int", Text: "text", Flag: "flag"} {
		text, err := json.Marshal(kind)
		if err != nil || string(text) != `"`+word+`"` || kind.String() != word {
			t.Errorf("kind %d is written %s (%v)", kind, text, err)
		}
		var back Kind
		if err := json.Unmarshal(text, &back); err != nil || back != kind {
			t.Errorf("%s is read as %v (%v)", text, back, err)
		}
	}
	var k Kind
	if err := k.UnmarshalText([]byte("double")); err == nil || !strings.Contains(err.Error(), "float, int, text, flag") {
		t.Errorf("an unknown word gives %v", err)
	}
	if _, err := Kind(7).MarshalText(); err == nil {
		t.Error("kind 7 is written")
	}
	if got := Kind(7).String(); got != "kind(7)" {
		t.Errorf("kind 7 prints as %s", got)
	}
}

func TestSelect(t *testing.T) {
	table := traceTable()
	got, err := table.Select("coolant_c", "run_id")
	if err != nil || len(got.Columns) != 2 || got.Columns[0] != table.Columns[2] || got.Columns[1] != table.Columns[0] {
		t.Errorf("got %v, %v", got, err)
	}
	if all, err := table.Select(); err != nil || !all.Equal(table) {
		t.Errorf("without names: %v, %v", all, err)
	}
	if _, err := table.Select("coolant"); err == nil || !strings.Contains(err.Error(), "it has run_id, time_s, coolant_c") {
		t.Errorf("unknown column: %v", err)
	}
	if _, err := table.Select("time_s", "time_s"); err == nil || !strings.Contains(err.Error(), "twice") {
		t.Errorf("repeated column: %v", err)
	}
}

func TestEqualSeesEveryDifference(t *testing.T) {
	changes := map[string]func(t *Table){
		"name":     func(t *Table) { t.Name = "events" },
		"order":    func(t *Table) { t.Columns[0], t.Columns[1] = t.Columns[1], t.Columns[0] },
		"unit":     func(t *Table) { t.Columns[2].Unit = "K" },
		"meaning":  func(t *Table) { t.Columns[2].Meaning = "coolant" },
		"grid":     func(t *Table) { t.Columns[2].Grid = 0 },
		"nullable": func(t *Table) { t.Columns[2].Nullable = true },
		"fewer":    func(t *Table) { t.Columns = t.Columns[:2] },
	}
	if !traceTable().Equal(traceTable()) {
		t.Fatal("a table is not equal to itself")
	}
	for name, change := range changes {
		other := traceTable()
		change(&other)
		if other.Equal(traceTable()) {
			t.Errorf("%s: the tables count as equal", name)
		}
	}
}
