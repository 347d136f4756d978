package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"flag"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"soakledger/sim"
	"soakledger/sim/network"
	"soakledger/sim/record"
)

var dump = flag.String("dump", "", "folder to which TestDumpTraces writes traces as csv")

// dumped are the scenarios that testdata/consumers/network integrates again.
var dumped = []string{"office_render", "two_chips"}

// TestDumpTraces writes, with -dump, the traces of two runs as csv, for readers
// without Parquet. In any case it checks that a trace fits the network that
// check --network prints: the same lumps, the same requested powers, the times
// of the grid, and in every row as much energy stored in the lumps'
// temperatures as has come in and not gone out.
func TestDumpTraces(t *testing.T) {
	for _, name := range dumped {
		t.Run(name, func(t *testing.T) {
			trace := rowsOf(t, mustRun(t, "example:"+name), "traces")
			code, network, stderr := invoke(t, "check", "--network", "example:"+name)
			if code != exitDone {
				t.Fatalf("exit code %d, %s", code, stderr)
			}
			var export sim.Export
			if err := json.Unmarshal([]byte(network), &export); err != nil {
				t.Fatal(err)
			}
			var table bytes.Buffer
			if err := writeCSV(&table, trace); err != nil {
				t.Fatal(err)
			}
			if *dump != "" {
				if err := os.WriteFile(filepath.Join(*dump, name+".csv"), table.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			readBack(t, &table, trace)
			checkTimes(t, trace, export)
			checkPowers(t, trace, export)
			checkStored(t, trace, export)
		})
	}
}

// writeCSV writes the numbers of a frame with all their digits.
func writeCSV(to io.Writer, f *record.Frame) error {
	w := csv.NewWriter(to)
	var numbers []int
	var row []string
	for i, c := range f.Table().Columns {
		if c.Kind == record.Float {
			numbers, row = append(numbers, i), append(row, c.Name)
		}
	}
	if err := w.Write(row); err != nil {
		return err
	}
	for k := range f.Rows() {
		for j, i := range numbers {
			row[j] = strconv.FormatFloat(f.Floats(i)[k], 'g', -1, 64)
		}
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// readBack compares the csv with the frame it was written from.
func readBack(t *testing.T, from io.Reader, trace *record.Frame) {
	t.Helper()
	rows, err := csv.NewReader(from).ReadAll()
	if err != nil || len(rows) != trace.Rows()+1 {
		t.Fatalf("the csv has %d rows and a header (%v), want %d", len(rows)-1, err, trace.Rows())
	}
	for j, name := range rows[0] {
		want := floats(t, trace, name)
		for k, row := range rows[1:] {
			if got, err := strconv.ParseFloat(row[j], 64); err != nil || got != want[k] {
				t.Fatalf("%s in row %d is written as %s, want %v (%v)", name, k+1, row[j], want[k], err)
			}
		}
	}
}

// checkTimes compares the rows' times with the export's grid.
func checkTimes(t *testing.T, trace *record.Frame, e sim.Export) {
	t.Helper()
	time := floats(t, trace, "time_s")
	if want := int(e.Duration/e.Every) + 1; len(time) != want {
		t.Fatalf("%d rows, want %d", len(time), want)
	}
	for i, at := range time {
		if want := float64(i) * e.Every; at != want {
			t.Fatalf("row %d is at %v s, want %v", i+1, at, want)
		}
	}
}

// checkPowers compares the requested powers of every row with the phase that
// holds there, the one that begins at a jump.
func checkPowers(t *testing.T, trace *record.Frame, e sim.Export) {
	t.Helper()
	time := floats(t, trace, "time_s")
	if len(e.Phases) < 2 || e.Phases[0].From != 0 || e.Phases[len(e.Phases)-1].To != e.Duration {
		t.Fatalf("%d phases do not cover the run", len(e.Phases))
	}
	for k, source := range e.Network.Sources {
		column := floats(t, trace, source.Name+"_power_w")
		p := 0
		for i, at := range time {
			for p < len(e.Phases)-1 && at >= e.Phases[p].To {
				p++
				if e.Phases[p].From != e.Phases[p-1].To {
					t.Fatalf("phase %d begins at %g s, the one before ends at %g s", p+1, e.Phases[p].From, e.Phases[p-1].To)
				}
			}
			if column[i] != e.Phases[p].Power[k] {
				t.Fatalf("%s at %g s asks for %g W, in the export for %g W", source.Name, at, column[i], e.Phases[p].Power[k])
			}
		}
	}
}

// enthalpy reads the export's coolant table between its rows by the cubic
// through values and slopes, J/kg.
func enthalpy(c *network.CoolantTable, temperature float64) float64 {
	i, _ := slices.BinarySearch(c.Temperature, temperature)
	i = min(max(i, 1), len(c.Temperature)-1)
	low, h := c.Temperature[i-1], c.Temperature[i]-c.Temperature[i-1]
	x := (temperature - low) / h
	a, b := c.Enthalpy[i-1], c.Enthalpy[i]
	da, db := h*c.SpecificHeat[i-1], h*c.SpecificHeat[i]
	return a + x*(da+x*(3*(b-a)-2*da-db+x*(2*(a-b)+da+db)))
}

// checkStored compares the energy in the lumps of every row with what came in
// and went out. Half a step of the stored grid in every lump, all in one
// direction, is what they may differ by.
func checkStored(t *testing.T, trace *record.Frame, e sim.Export) {
	t.Helper()
	in, out := floats(t, trace, "energy_in_j"), floats(t, trace, "heat_out_j")
	stored := make([]float64, trace.Rows())
	allowed := 1e-7 * in[len(in)-1] // of the energy that moved: the ledger's own limit
	for k, l := range e.Network.Lumps {
		name := strings.NewReplacer(".", "_", "[", "_", "]", "").Replace(l.Name) + "_c"
		temperature := floats(t, trace, name)
		grid := trace.Table().Columns[trace.Col(name)].Grid
		store := func(k float64) float64 { return l.Capacity * k }
		if l.Mass > 0 {
			store = func(k float64) float64 { return l.Mass * enthalpy(e.Network.Coolant, k) }
		}
		begin := store(e.Start[k])
		allowed += grid / 2 * (store(301) - store(300))
		for i := range stored {
			stored[i] += store(temperature[i]+zeroCelsius) - begin
		}
	}
	worst := 0.0
	for i := range stored {
		worst = math.Max(worst, math.Abs(in[i]-out[i]-stored[i]))
	}
	t.Logf("of %.4g J at most %.3g J are not in the lumps, allowed %.3g J", in[len(in)-1], worst, allowed)
	if !(worst <= allowed) {
		t.Errorf("up to %.4g J are in none of the lumps, more than %.4g J", worst, allowed)
	}
}
