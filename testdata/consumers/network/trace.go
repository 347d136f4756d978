// Command trace writes the trace of a dataset of soakledger run as csv, every
// number with all its digits, for readers without Parquet.
//
//	go run ./testdata/consumers/network DIR > TRACE.csv
package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"strconv"

	"soakledger/output"
	"soakledger/sim/record"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "usage: trace DIR > TRACE.csv")
		os.Exit(2)
	}
	if err := write(os.Stdout, os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "trace:", err)
		os.Exit(1)
	}
}

// write writes the numbers of the dataset's trace.
func write(to io.Writer, dir string) error {
	dataset, err := output.Open(dir)
	if err != nil {
		return err
	}
	trace, err := dataset.Read("traces")
	if err != nil {
		return err
	}
	var names []string
	var numbers [][]float64
	for i, c := range trace.Table().Columns {
		if c.Kind == record.Float {
			names, numbers = append(names, c.Name), append(numbers, trace.Floats(i))
		}
	}
	w := csv.NewWriter(to)
	if err := w.Write(names); err != nil {
		return err
	}
	row := make([]string, len(names))
	for k := range trace.Rows() {
		for i, column := range numbers {
			row[i] = strconv.FormatFloat(column[k], 'g', -1, 64)
		}
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}
