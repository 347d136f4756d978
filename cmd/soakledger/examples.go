package main

import (
	"fmt"

	"github.com/spf13/cobra"

	"soakledger/scenarios"
)

// examplesCommand lists the shipped scenarios or prints one.
func (a *app) examplesCommand() *cobra.Command {
	return &cobra.Command{
		Use:     "examples [NAME]",
		Short:   "List the shipped scenarios, or print one to start from",
		Example: "  soakledger examples\n  soakledger examples office_render > my.yaml",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 1 {
				return usage("examples prints one scenario at a time, %d given", len(args))
			}
			return nil
		},
		RunE: func(_ *cobra.Command, args []string) error {
			if len(args) == 1 {
				return a.printExample(args[0])
			}
			for _, e := range scenarios.Shipped() {
				if _, err := fmt.Fprintf(a.stdout, "%-22s %s\n", e.Name, e.Title); err != nil {
					return err
				}
			}
			return nil
		},
	}
}

// printExample writes the text of a shipped scenario.
func (a *app) printExample(name string) error {
	doc, err := scenarios.Load(name)
	if err != nil {
		return usageError{err}
	}
	_, err = a.stdout.Write(doc.Source)
	return err
}
