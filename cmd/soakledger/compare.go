package main

import (
	"context"
	"errors"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"soakledger/scenarios"
	"soakledger/sim/assemble"
	"soakledger/sim/study"
)

// compareFlags are the settings of the compare command.
type compareFlags struct {
	set, with []string
	json      bool
}

// asStated names the design that a file itself describes.
const asStated = "as stated"

// compareCommand lays several designs side by side.
func (a *app) compareCommand() *cobra.Command {
	var f compareFlags
	cmd := &cobra.Command{
		Use:   "compare FILE... | DIR...",
		Short: "Lay designs side by side: how far apart, and whether that can be told",
		Long: "compare runs several designs and prints a row for each: where it settles, how far\n" +
			"that lies from the first, how sure the difference is, times, noise, coolant,\n" +
			"depth and price. Designs are scenario files, or one file as it stands and once more\n" +
			"with each --with: its changes are written PATH=VALUE as for --set, several of them\n" +
			"with a semicolon between. --set changes every design. Nothing is written.\n\n" +
			"A design that cannot be run is a row that says why. If that is the first, the\n" +
			"others are compared with the next one that can.\n\n" +
			"A tie says that two designs cannot be told apart by what is known. A figure that\n" +
			"both leave to its default is off the same way in both, and what it does to both\n" +
			"alike does not count.\n\n" +
			"Folders of finished runs and studies are compared by the scenarios they hold, or,\n" +
			"if those cannot be read again, lead to other figures, or are more than 50, by\n" +
			"the stored figures alone.",
		Example: "  soakledger compare my.yaml --with front.fans.speed=\"1300 rpm\"\n" +
			"  soakledger compare my.yaml --with \"front.thickness=60 mm; front.fins_per_inch=10\" --with front.size=\"480 mm\"\n" +
			"  soakledger compare example:small_case_intake example:small_case_exhaust\n" +
			"  soakledger compare office_render-1a2b3c4d office_render-5e6f7a8b",
		RunE: func(cmd *cobra.Command, args []string) error { return a.compare(cmd.Context(), args, f) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&f.with, "with", nil, "one more design: \"PATH=VALUE; PATH=VALUE\", repeatable")
	flags.StringArrayVar(&f.set, "set", nil, "change one value in every design: PATH=VALUE, repeatable")
	flags.BoolVar(&f.json, "json", false, "print the table as JSON, with what makes each band")
	return cmd
}

// compare is the command's body.
func (a *app) compare(ctx context.Context, args []string, f compareFlags) error {
	folders, err := f.folders(args)
	if err != nil {
		return err
	}
	var c *comparison
	if folders {
		c, err = compareFolders(ctx, args)
	} else {
		c, err = compareFiles(ctx, args, f)
	}
	if err != nil {
		return err
	}
	if err := c.print(a.stdout, f.json); err != nil {
		return err
	}
	return c.ended()
}

// folders reports whether the arguments are folders of finished runs; else they are
// scenario files. It refuses what cannot be compared.
func (f *compareFlags) folders(args []string) (bool, error) {
	if len(args) == 0 {
		return false, usage("compare needs a scenario file and --with PATH=VALUE, or two files or more, or folders of finished runs, e.g. soakledger compare my.yaml --with front.fans.speed=\"1300 rpm\"")
	}
	var files, folders []string
	for _, arg := range args {
		info, err := os.Stat(arg)
		switch example := strings.HasPrefix(arg, examplePrefix); {
		case !example && errors.Is(err, os.ErrNotExist):
			return false, usage("%s: there is no such file or folder; soakledger examples lists scenarios to start from", arg)
		case !example && err == nil && info.IsDir():
			folders = append(folders, arg)
		default:
			files = append(files, arg)
		}
	}
	switch {
	case len(files) > 0 && len(folders) > 0:
		return false, usage("%s is a folder, %s is none: compare files with files, finished runs with finished runs", folders[0], files[0])
	case len(folders) > 0 && len(f.with)+len(f.set) > 0:
		return false, usage("%s is a folder of finished runs: --with and --set change scenario files", folders[0])
	case len(files) == 1 && len(f.with) == 0:
		return false, usage("%s alone has nothing to be compared with: add --with PATH=VALUE, or a second file", files[0])
	case len(files) > 1 && len(f.with) > 0:
		return false, usage("--with makes further designs of one file, %d are given: leave it out, or name one file", len(files))
	}
	return len(folders) > 0, nil
}

// compareFiles compares scenario files, or one of them and its changes.
func compareFiles(ctx context.Context, files []string, f compareFlags) (*comparison, error) {
	var docs []*scenarios.Document
	var names []string
	for i, file := range files {
		doc, err := load(file, f.set)
		if err != nil {
			return nil, err
		}
		docs, names = append(docs, doc), append(names, shortNames(files)[i])
	}
	if len(f.with) > 0 {
		names[0] = asStated
	}
	for _, changes := range f.with {
		doc, name, err := changed(docs[0], changes)
		if err != nil {
			return nil, err
		}
		docs, names = append(docs, doc), append(names, name)
	}
	return compareDocuments(ctx, docs, names)
}

// shortNames returns what files are called: their names without folders and ending,
// unless two have the same.
func shortNames(files []string) []string {
	var names []string
	for _, file := range files {
		names = append(names, baseName(file))
	}
	sorted := slices.Sorted(slices.Values(names))
	if len(slices.Compact(sorted)) < len(files) {
		return files
	}
	return names
}

// changed returns a document with the changes of one --with, and their names.
func changed(doc *scenarios.Document, changes string) (*scenarios.Document, string, error) {
	var all, names []string
	for one := range strings.SplitSeq(changes, ";") {
		one = strings.TrimSpace(one)
		if one == "" {
			return nil, "", usage("--with %q: want PATH=VALUE, several with a semicolon between, for example --with \"front.thickness=60 mm; front.fins_per_inch=10\"", changes)
		}
		path, value, _ := strings.Cut(one, "=")
		all, names = append(all, one), append(names, strings.TrimSpace(path)+"="+strings.TrimSpace(value))
	}
	next, err := doc.Set(all...)
	if err != nil {
		return nil, "", usageError{ofWith(err)}
	}
	return next, strings.Join(names, "; "), nil
}

// ofWith words mistakes of --set as those of --with.
func ofWith(err error) error {
	var errs scenarios.Errors
	if !errors.As(err, &errs) {
		return err
	}
	var all scenarios.Errors
	for _, e := range errs {
		one := *e
		one.File, one.Text = "--with", strings.ReplaceAll(e.Text, "--set ", "--with ")
		all = append(all, &one)
	}
	return all
}

// compareDocuments runs and compares scenarios. Where none of them can be run there is
// nothing to compare, and what is wrong with the first is its author's to mend.
func compareDocuments(ctx context.Context, docs []*scenarios.Document, names []string) (*comparison, error) {
	var designs []study.Design
	title := docs[0].Scenario.Title
	for i, doc := range docs {
		designs = append(designs, study.Design{Name: names[i], Scenario: doc.Scenario})
		if doc.Scenario.Title != title {
			title = "" // there is none of all
		}
	}
	found, err := study.Compare(ctx, designs, study.Settings{})
	if err != nil {
		return nil, err
	}
	var problems assemble.Problems
	none := !slices.ContainsFunc(found.Rows, func(r study.Row) bool { return r.Err == nil })
	if err := found.Rows[0].Err; none && errors.As(err, &problems) {
		return nil, placed(docs[0], err)
	}
	return newComparison(title, found), nil
}
