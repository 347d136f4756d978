package record

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestTraceChoiceText(t *testing.T) {
	thin := func(kelvin, share float64) *Bound { return &Bound{Kelvin: kelvin, Share: share} }
	tests := []struct {
		text   string
		want   TraceChoice
		output string // as String writes it, if it differs
	}{
		{"none", TraceChoice{}, ""},
		{" none ", TraceChoice{}, "none"},
		{"all", AllTraces(), "every 1"},
		{"every 10", TraceChoice{Every: 10}, ""},
		{"every 10, columns coolant_c *_die_c, interval 5 s, within 0.05 K, share 0.01",
			TraceChoice{Every: 10, Columns: []string{"coolant_c", "*_die_c"}, Interval: 5, Thin: thin(0.05, 0.01)}, ""},
		{"interval 0.5 s,every 3", TraceChoice{Every: 3, Interval: 0.5}, "every 3, interval 0.5 s"},
		{"thinned", TraceChoice{Every: 1, Thin: thin(0.02, 0.001)}, "every 1, within 0.02 K, share 0.001"},
		{"within 0.1 K", TraceChoice{Every: 1, Thin: thin(0.1, 0.001)}, "every 1, within 0.1 K, share 0.001"},
		{"share 0.01", TraceChoice{Every: 1, Thin: thin(0.02, 0.01)}, "every 1, within 0.02 K, share 0.01"},
	}
	for _, test := range tests {
		got, err := ParseTraceChoice(test.text)
		if err != nil || !reflect.DeepEqual(got, test.want) {
			t.Errorf("%q: got %+v, %v, want %+v", test.text, got, err, test.want)
		}
		if test.output == "" {
			test.output = test.text
		}
		if got.String() != test.output {
			t.Errorf("%q is written as %q, want %q", test.text, got, test.output)
		}
	}
}

func TestTraceChoiceTextIsRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                     "a clause is empty",
		"every 10,":            "a clause is empty",
		"every 0":              "whole number from 1",
		"every -3":             "whole number from 1",
		"every 2.5":            "whole number from 1",
		"every 2, every 3":     "every is stated twice",
		"sometimes":            `"sometimes" is none of: none, all, every N`,
		"none, all":            `"none" is none of`,
		"interval 5":           `"interval 5" is none of`,
		"interval 0 s":         "leave it out",
		"interval NaN s":       "interval NaN s",
		"interval 90000 s":     "up to 86400 s",
		"interval x s":         `"x" is no number`,
		"within 0 K":           "bound 0 K",
		"within 0.02 mK":       "is none of",
		"within NaN K":         "bound NaN K",
		"share 1":              "share 1",
		"columns":              "is none of",
		"columns [a":           `column pattern "[a"`,
		"columns a;b":          "column pattern",
		"within 0.02 K, all 3": `"all 3" is none of`,
	} {
		c, err := ParseTraceChoice(text)
		if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), text) {
			t.Errorf("%q: got %+v, %v, want an error with %q", text, c, err, want)
		}
	}
}

func TestTraceChoiceReadsWhatItWrites(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := TraceChoice{
			Every:    rapid.IntRange(0, 1000).Draw(t, "every"),
			Columns:  rapid.SliceOfN(rapid.StringMatching(`[a-z*?][a-z0-9_*?]{0,8}`), 1, 4).Draw(t, "columns"),
			Interval: rapid.Float64Range(0, 86400).Draw(t, "interval"),
		}
		if rapid.Bool().Draw(t, "thin") {
			c.Thin = &Bound{Kelvin: rapid.Float64Range(MinKelvin, 100).Draw(t, "kelvin"), Share: rapid.Float64Range(1e-9, 0.999).Draw(t, "share")}
		}
		if c.Every == 0 {
			c = TraceChoice{}
		}
		back, err := ParseTraceChoice(c.String())
		if err != nil || !reflect.DeepEqual(back, c) {
			t.Fatalf("%q is read as %+v, %v, want %+v", c, back, err, c)
		}
	})
}

func TestTraceChoiceHas(t *testing.T) {
	for _, test := range []struct {
		every int
		run   int64
		want  bool
	}{{0, 0, false}, {1, 0, true}, {1, 7, true}, {10, 20, true}, {10, 21, false}} {
		if got := (TraceChoice{Every: test.every}).Has(test.run); got != test.want {
			t.Errorf("every %d, run %d: %t", test.every, test.run, got)
		}
	}
}

func TestTraceChoiceTable(t *testing.T) {
	for want, columns := range map[string][]string{
		"run_id time_s coolant_c case_c flow_l_min energy_in_j state throttled": nil,
		"run_id time_s coolant_c case_c":                                        {"*_c"},
		"run_id time_s coolant_c flow_l_min":                                    {"flow_l_min", "coolant_?"},
		"run_id time_s energy_in_j":                                             {"time_s", "energy_*", "energy_in_j"},
	} {
		got, err := TraceChoice{Every: 1, Columns: columns}.Table(thinTable())
		if err != nil || strings.ReplaceAll(got.columnNames(), ",", "") != want {
			t.Errorf("%v: got %s, %v, want %s", columns, got.columnNames(), err, want)
		}
	}
	strangeTime := thinTable()
	strangeTime.Columns[1].Nullable = true
	for _, test := range []struct {
		choice TraceChoice
		table  Table
		want   string
	}{
		{TraceChoice{Every: 1, Columns: []string{"coolant_c", "*_die_c"}}, thinTable(), `no column of table traces is like "*_die_c": it has run_id, time_s`},
		{TraceChoice{Every: -1}, thinTable(), "every -1-th run"},
		{TraceChoice{Every: 1}, strangeTime, "no float column time_s without nulls"},
		{TraceChoice{Every: 1, Thin: &Bound{Kelvin: 0x1p-13, Share: 0.1}}, thinTable(), "column coolant_c is rounded to 6.1"},
	} {
		_, err := test.choice.Table(test.table)
		if err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%+v: got %v, want an error with %q", test.choice, err, test.want)
		}
		if _, err := NewTraceFilter(test.choice, test.table); err == nil {
			t.Errorf("%+v: there is a filter", test.choice)
		}
	}
}

func TestTraceFilterSelects(t *testing.T) {
	full := NewFrame(thinTable())
	for i := range 3 {
		r := full.Begin()
		r.SetInt("run_id", 4)
		r.SetFloat("time_s", float64(i))
		r.SetFloat("coolant_c", 30+float64(i*i))
		r.SetNull("case_c")
		r.SetFloat("flow_l_min", float64(10*i))
		r.SetFloat("energy_in_j", 0)
		r.SetText("state", strings.Repeat("x", i))
		r.SetFlag("throttled", i == 1)
		if err := r.End(); err != nil {
			t.Fatal(err)
		}
	}
	filter, err := NewTraceFilter(TraceChoice{Every: 1, Columns: []string{"state", "flow*", "case_c"}}, thinTable())
	if err != nil {
		t.Fatal(err)
	}
	got := NewFrame(filter.Table())
	for range 2 {
		if err := filter.Append(got, full); err != nil {
			t.Fatal(err)
		}
	}
	if got.Rows() != 6 || got.Check() != nil {
		t.Fatalf("%d rows, %v", got.Rows(), got.Check())
	}
	for row := range 6 {
		i := row % 3
		if got.Ints(0)[row] != 4 || got.Floats(1)[row] != float64(i) || !got.IsNull(2, row) || got.Floats(3)[row] != float64(10*i) || got.Texts(4)[row] != strings.Repeat("x", i) {
			t.Errorf("row %d is wrong", row)
		}
	}
	if err := filter.Append(full, full); err == nil {
		t.Error("a frame of other columns is filled")
	}
	if err := filter.Append(got, got); err == nil {
		t.Error("rows of other columns are taken")
	}
}

func TestTraceFilterRefusesBadRows(t *testing.T) {
	b := DefaultBound
	table := Table{Name: "traces", Columns: []Column{{Name: "run_id", Kind: Int}, {Name: "time_s", Unit: "s"}, {Name: "coolant_c", Unit: "degC"}}}
	filter, err := NewTraceFilter(TraceChoice{Every: 1, Thin: &b}, table)
	if err != nil {
		t.Fatal(err)
	}
	for want, rows := range map[string][][]float64{
		"comes after":      {{0, 22}, {1, 23}, {1, 24}},
		"cannot be stored": {{0, 22}, {1, math.NaN()}, {2, 24}},
	} {
		full, thin := NewFrame(table), NewFrame(table)
		full.AppendRepeated(0, 0, len(rows))
		for _, row := range rows {
			full.AppendFloatRow(1, row)
		}
		if err := filter.Append(thin, full); err == nil || !strings.Contains(err.Error(), want) || thin.Rows() != 0 {
			t.Errorf("got %v and %d rows, want an error with %q", err, thin.Rows(), want)
		}
	}
}
