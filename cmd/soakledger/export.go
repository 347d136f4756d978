package main

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"soakledger/output"
	"soakledger/sim/record"
)

// exportFlags are the settings of the export command.
type exportFlags struct {
	table, out string
	columns    []string
	replace    bool
}

// exportCommand writes a table of a dataset for spreadsheets.
func (a *app) exportCommand() *cobra.Command {
	var f exportFlags
	cmd := &cobra.Command{
		Use:   "export DIR",
		Short: "Write a table of a dataset as csv, for spreadsheets",
		Long: "export writes one table of a finished dataset as csv (RFC 4180: commas, quotes where\nneeded, lines that end in CR LF), one header line, in the order in which the rows are\n" +
			"stored. A figure without a value is an empty field. Numbers have all digits that tell\nthem apart. It prints to the standard output unless --out names a file.",
		Example: "  soakledger export my-1a2b3c4d > runs.csv\n  soakledger export my-1a2b3c4d --table traces --columns run_id,time_s,'*_die_c' --out dies.csv",
		Args:    oneArg("dataset folder", "my-1a2b3c4d"),
		RunE:    func(_ *cobra.Command, args []string) error { return a.export(args[0], f) },
	}
	flags := cmd.Flags()
	flags.StringVar(&f.table, "table", "runs", "which table: runs, phases, traces or events")
	flags.StringSliceVar(&f.columns, "columns", nil, "columns in their order, with * for any letters (default: all)")
	flags.StringVar(&f.out, "out", "", "file to write (default: the standard output)")
	flags.BoolVar(&f.replace, "replace", false, "replace a file that is already there")
	flags.Lookup("out").Annotations = map[string][]string{unlayered: nil} // it names a file, not a dataset
	return cmd
}

// export is the command's body.
func (a *app) export(dir string, f exportFlags) error {
	d, err := openDataset(dir)
	if err != nil {
		return err
	}
	columns, err := exported(d, f)
	if err != nil {
		return err
	}
	if f.out == "" {
		return exportRows(a.stdout, d, f.table, columns)
	}
	return exportFile(f, func(w io.Writer) error { return exportRows(w, d, f.table, columns) })
}

// exported returns the names of the columns that are asked for.
func exported(d *output.Dataset, f exportFlags) ([]string, error) {
	table := tableOf(d, f.table)
	if len(table.Columns) == 0 {
		var names []string
		for _, t := range d.Tables() {
			names = append(names, t.Name)
		}
		return nil, usage("%s has no table %q: it has %s", d.Dir(), f.table, strings.Join(names, ", "))
	}
	var all, picked []string
	for _, c := range table.Columns {
		all = append(all, c.Name)
	}
	if len(f.columns) == 0 {
		return all, nil
	}
	seen := map[string]bool{}
	for _, pattern := range f.columns {
		pattern, found := strings.TrimSpace(pattern), false
		for _, name := range all {
			ok, err := path.Match(pattern, name)
			if err != nil {
				return nil, usage("--columns %q: %w", pattern, err)
			}
			if found = found || ok; ok && !seen[name] {
				picked, seen[name] = append(picked, name), true
			}
		}
		if !found {
			return nil, usage("table %s of %s has no column %q: it has %s", f.table, d.Dir(), pattern, strings.Join(all, ", "))
		}
	}
	return picked, nil
}

// exportFile writes a file whole or not at all.
func exportFile(f exportFlags, write func(io.Writer) error) (err error) {
	if info, err := os.Stat(f.out); err == nil && info.IsDir() {
		return usage("%s is a folder: name a file with --out", f.out)
	} else if err == nil && !f.replace {
		return usage("%s is already there (--replace, or another --out)", f.out)
	}
	file, err := os.CreateTemp(filepath.Dir(f.out), ".export-*.csv")
	if err != nil {
		return fmt.Errorf("exporting: %w", err)
	}
	defer func() {
		if err != nil {
			err = errors.Join(fmt.Errorf("exporting to %s: %w", f.out, err), os.Remove(file.Name()))
		}
	}()
	err = errors.Join(write(file), file.Chmod(0o644), file.Close())
	if err != nil {
		return err
	}
	return os.Rename(file.Name(), f.out)
}

// exportRows writes columns of a table.
func exportRows(out io.Writer, d *output.Dataset, table string, columns []string) error {
	w := csv.NewWriter(out)
	w.UseCRLF = true
	if err := w.Write(columns); err != nil {
		return err
	}
	fields := make([]string, len(columns))
	err := d.Each(table, columns, func(f *record.Frame) error {
		for row := range f.Rows() {
			for col := range columns {
				fields[col] = field(f, col, row)
			}
			if err := w.Write(fields); err != nil {
				return err
			}
		}
		return nil
	})
	w.Flush()
	return errors.Join(err, w.Error())
}

// field writes a value for a spreadsheet: a null is empty.
func field(f *record.Frame, col, row int) string {
	switch {
	case f.IsNull(col, row):
		return ""
	case f.Table().Columns[col].Kind == record.Int:
		return strconv.FormatInt(f.Ints(col)[row], 10)
	case f.Table().Columns[col].Kind == record.Text:
		return f.Texts(col)[row]
	case f.Table().Columns[col].Kind == record.Flag:
		return strconv.FormatBool(f.Flags(col)[row])
	}
	return strconv.FormatFloat(f.Floats(col)[row], 'g', -1, 64)
}
