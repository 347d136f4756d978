package main

import (
	"encoding/json"
	"fmt"

	"github.com/spf13/cobra"
)

// showCommand prints the card of an old run.
func (a *app) showCommand() *cobra.Command {
	var f runFlags
	cmd := &cobra.Command{
		Use:     "show DIR",
		Short:   "Print the card of a finished run, or the summary of a sweep",
		Example: "  soakledger show office_render-1a2b3c4d",
		Args:    oneArg("dataset folder", "office_render-1a2b3c4d"),
		RunE: func(_ *cobra.Command, args []string) error {
			if isStudy(args[0]) && f.json {
				return usage("--json is for single runs; soakledger export %s writes what a sweep has found", args[0])
			} else if isStudy(args[0]) {
				s, err := summaryOf(args[0])
				if err == nil {
					s.write(a.stdout)
				}
				return err
			}
			c, err := savedCard(args[0])
			if err != nil {
				return err
			}
			return a.print(c, args[0], f)
		},
	}
	cmd.Flags().BoolVar(&f.json, "json", false, "print the card as JSON")
	return cmd
}

// isStudy reports whether a folder holds the finished dataset of a study.
func isStudy(dir string) bool {
	d, err := openDataset(dir)
	if err != nil {
		return false
	}
	_, study := d.Study()
	return study
}

// savedCard reads the card that a dataset keeps.
func savedCard(dir string) (*card, error) {
	d, err := openDataset(dir)
	if err != nil {
		return nil, err
	}
	var c card
	if err := json.Unmarshal([]byte(d.Meta().Notes[cardNote]), &c); err != nil {
		return nil, fmt.Errorf("reading the card of %s: %w", dir, err)
	}
	return &c, nil
}
