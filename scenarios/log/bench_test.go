package log

import (
	"bytes"
	"fmt"
	"testing"
	"testing/fstest"

	pq "github.com/parquet-go/parquet-go"

	"soakledger/sim/spec"
)

// BenchmarkReadHour reads an hour at 250 Hz: 900,000 rows of stamps and three
// quantities.
func BenchmarkReadHour(b *testing.B) {
	var numbers, clocks bytes.Buffer
	numbers.WriteString("Time [ms];Board power [W];Coolant [degC];Inlet [degC]\n")
	clocks.WriteString("Clock,Board power [W],Coolant [degC],Inlet [degC]\n")
	for i := range 900_000 {
		power, coolant, inlet := 300+i%7, float64(i%900)/100, float64(i%50)/100
		fmt.Fprintf(&numbers, "%d;%d,5;%.3f;%.2f\n", 4*i, power, 25+coolant, 22+inlet)
		ms := 4 * i
		fmt.Fprintf(&clocks, "2025-03-28T14:%02d:%02d.%03d,%d.5,%.3f,%.2f\n", ms/60000%60, ms/1000%60, ms%1000, power, 25+coolant, 22+inlet)
	}
	points := bytes.ReplaceAll(bytes.ReplaceAll(numbers.Bytes(), []byte(","), []byte(".")), []byte(";"), []byte(","))
	commas := bytes.ReplaceAll(numbers.Bytes(), []byte("."), []byte(","))
	want := Request{Time: Time{Column: "#1"}, Columns: []Column{
		{Heading: "Board power", Dimension: spec.PowerFlow}, {Heading: "Coolant", Dimension: spec.Temperature}, {Heading: "Inlet", Dimension: spec.Temperature},
	}}
	for name, data := range map[string][]byte{"points": points, "commas": commas, "dates": clocks.Bytes()} {
		b.Run(name, func(b *testing.B) {
			fsys := fstest.MapFS{"hour.csv": {Data: data}}
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				l, err := Read(fsys, "hour.csv", want)
				if err != nil || l.Counts.Stamps != 900_000 || l.Findings != nil {
					b.Fatal(l.Counts, l.Findings, err)
				}
			}
		})
	}
}

// BenchmarkReadHourParquet reads the like of it from Parquet, in row groups of
// 100,000 rows.
func BenchmarkReadHourParquet(b *testing.B) {
	type row struct {
		At      int64   `parquet:"at,timestamp(millisecond)"`
		Power   float64 `parquet:"power [W]"`
		Coolant float64 `parquet:"coolant [degC]"`
	}
	var data bytes.Buffer
	w := pq.NewGenericWriter[row](&data, pq.MaxRowsPerRowGroup(100_000))
	for i := range 900_000 {
		if _, err := w.Write([]row{{int64(4 * i), float64(300 + i%7), 25 + float64(i%900)/100}}); err != nil {
			b.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		b.Fatal(err)
	}
	want := Request{Time: Time{Column: "at"}, Columns: []Column{
		{Heading: "power", Dimension: spec.PowerFlow}, {Heading: "coolant", Dimension: spec.Temperature},
	}}
	fsys := fstest.MapFS{"hour.parquet": {Data: data.Bytes()}}
	b.ReportAllocs()
	for b.Loop() {
		l, err := Read(fsys, "hour.parquet", want)
		if err != nil || l.Counts.Stamps != 900_000 || l.Findings != nil {
			b.Fatal(l.Counts, l.Findings, err)
		}
	}
}

// BenchmarkMergeHour merges an hour of power at 250 Hz into seconds.
func BenchmarkMergeHour(b *testing.B) {
	s := &spec.Series{Times: make([]float64, 900_000), Values: make([]float64, 900_000)}
	for i := range s.Times {
		s.Times[i], s.Values[i] = float64(i)/250, float64(300+i%7)
	}
	b.ReportAllocs()
	for b.Loop() {
		if _, _, err := Merge(s, 1); err != nil {
			b.Fatal(err)
		}
	}
}
