package main

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"soakledger/scenarios/quantity"
	"soakledger/sim"
	"soakledger/sim/spec"
)

// partsCommand prints what is taken for figures that a scenario leaves out.
func (a *app) partsCommand() *cobra.Command {
	asJSON := false
	cmd := &cobra.Command{
		Use:     "parts [NAME]",
		Short:   "List the defaults of every part, with their ranges and sources",
		Long:    "parts prints what is taken for a figure that a scenario does not state: by part and\nclass, with the range in which the true figure usually lies and where it comes from.\nState any of them in a scenario, and it leaves the list of assumed values.",
		Example: "  soakledger parts\n  soakledger parts pump\n  soakledger parts --json",
		RunE: func(_ *cobra.Command, args []string) error {
			all, err := defaultsOf(strings.Join(args, " "))
			if err != nil {
				return err
			}
			if asJSON {
				return a.partsJSON(all)
			}
			return a.partsTable(all)
		},
	}
	cmd.Flags().BoolVar(&asJSON, "json", false, "print the list as JSON, with the values in SI units as well")
	return cmd
}

// defaultsOf returns the defaults of one part, or all without a name.
func defaultsOf(name string) ([]sim.DefaultEntry, error) {
	var of []sim.DefaultEntry
	var names []string
	for _, e := range sim.Defaults() {
		if !slices.Contains(names, e.Part) {
			names = append(names, e.Part)
		}
		if name == "" || strings.EqualFold(e.Part, name) {
			of = append(of, e)
		}
	}
	if len(of) > 0 {
		return of, nil
	}
	if near := spec.Nearest(strings.ToLower(name), names); near != "" {
		return nil, usage("there are no defaults of %q; did you mean %s?", name, near)
	}
	return nil, usage("there are no defaults of %q: there are those of %s", name, strings.Join(names, ", "))
}

// partsTable writes a block of lines a part, all in the same columns.
func (a *app) partsTable(all []sim.DefaultEntry) error {
	var table strings.Builder
	w := tabwriter.NewWriter(&table, 0, 0, 2, ' ', 0)
	part := ""
	for _, e := range all {
		if e.Part != part {
			if part != "" {
				fmt.Fprintln(w, "\t\t\t\t")
			}
			part = e.Part
			fmt.Fprintf(w, "%s\tfigure\tusual\trange\tsource\n", strings.ToUpper(part))
		}
		class := e.Class
		if class == "" {
			class = "any"
		}
		fmt.Fprintf(w, "%s\t%s\t%s\t%s\t%s\n", class, e.Figure, quantity.Brief(e.Value, e.Dimension), briefRange(e.Low, e.High, e.Dimension), e.Source)
	}
	if err := w.Flush(); err != nil {
		return fmt.Errorf("laying out the table: %w", err)
	}
	for line := range strings.Lines(table.String()) {
		if _, err := fmt.Fprintln(a.stdout, strings.TrimRight(line, " \n")); err != nil {
			return err
		}
	}
	return nil
}

// briefRange writes a range, its unit once where both ends have the same.
func briefRange(low, high float64, dim spec.Dimension) string {
	from, to := quantity.Brief(low, dim), quantity.Brief(high, dim)
	number, unit, _ := strings.Cut(from, " ")
	if _, same, _ := strings.Cut(to, " "); same == unit {
		from = number
	}
	return from + " to " + to
}

// partEntry is a default as other programs read it.
type partEntry struct {
	Part      string  `json:"part"`
	Class     string  `json:"class,omitempty"`
	Figure    string  `json:"figure"`
	Usual     string  `json:"usual"`
	Range     string  `json:"range"`
	Dimension string  `json:"dimension"`
	Value     float64 `json:"si_value"`
	Low       float64 `json:"si_low"`
	High      float64 `json:"si_high"`
	Source    string  `json:"source"`
}

// partsJSON writes the list as one object.
func (a *app) partsJSON(all []sim.DefaultEntry) error {
	entries := make([]partEntry, len(all))
	for i, e := range all {
		entries[i] = partEntry{
			Part: e.Part, Class: e.Class, Figure: e.Figure,
			Usual: quantity.Brief(e.Value, e.Dimension), Range: briefRange(e.Low, e.High, e.Dimension),
			Dimension: string(e.Dimension), Value: e.Value, Low: e.Low, High: e.High, Source: e.Source,
		}
	}
	encoder := json.NewEncoder(a.stdout)
	encoder.SetIndent("", " ")
	return encoder.Encode(map[string][]partEntry{"defaults": entries})
}
