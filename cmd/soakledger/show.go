package main

import (
	"encoding/json"
	"fmt"

	"github.com/spf13/cobra"

	"soakledger/output"
)

// showCommand prints the card of an old run.
func (a *app) showCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:     "show DIR",
		Short:   "Print the card of a finished run",
		Example: "  soakledger show office_render-1a2b3c4d",
		Args:    oneArg("dataset folder", "office_render-1a2b3c4d"),
		RunE:    func(_ *cobra.Command, args []string) error { return a.show(args[0]) },
	}
	cmd.Flags().Bool("json", false, "print the card as JSON")
	return cmd
}

// show prints the card that a dataset keeps.
func (a *app) show(dir string) error {
	d, err := output.Open(dir)
	if err != nil {
		return usageError{err}
	}
	var c card
	if err := json.Unmarshal([]byte(d.Meta().Notes[cardNote]), &c); err != nil {
		return fmt.Errorf("reading the card of %s: %w", dir, err)
	}
	return a.print(&c, dir)
}
