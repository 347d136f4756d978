package main

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/spf13/cobra"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/spec"
	"soakledger/sim/study"
)

// checkFlags are the settings of the check command.
type checkFlags struct {
	set             []string
	schema, network bool
	quick           bool
}

// checkCommand validates a scenario without running it.
func (a *app) checkCommand() *cobra.Command {
	var f checkFlags
	cmd := &cobra.Command{
		Use:     "check FILE",
		Short:   "Validate a scenario and list what would be assumed",
		Long:    "check reads a scenario, reports every mistake with its place, prints the loop in\nflow order and lists every figure that would be filled in, with its usual range. Of a study\nit says how many designs would run, how long that takes and how much it writes.",
		Example: "  soakledger check my.yaml\n  soakledger check --schema > soakledger.schema.json",
		RunE:    func(cmd *cobra.Command, args []string) error { return a.check(cmd, args, f) },
	}
	flags := cmd.Flags()
	flags.StringArrayVar(&f.set, "set", nil, "change one value: PATH=VALUE, repeatable")
	flags.BoolVar(&f.schema, "schema", false, "print the JSON Schema of scenario files and stop")
	flags.BoolVar(&f.quick, "quick", false, "leave out which assumed figures matter most, which takes a run and more")
	flags.BoolVar(&f.network, "network", false, "print the assembled network as JSON, for another integrator")
	return cmd
}

// check is the command's body.
func (a *app) check(cmd *cobra.Command, args []string, f checkFlags) error {
	if f.schema {
		_, err := a.stdout.Write(scenarios.Schema())
		return err
	}
	if err := oneArg("scenario file", "my.yaml")(cmd, args); err != nil {
		return err
	}
	doc, err := load(args[0], f.set)
	if err != nil {
		return err
	}
	s, err := sim.New(doc.Scenario, sim.Settings{NoTrace: true})
	if err != nil {
		return placed(doc, err)
	}
	if f.network {
		e := json.NewEncoder(a.stdout)
		e.SetIndent("", " ")
		return e.Encode(s.Export())
	}
	a.printCheck(doc, s)
	if err := a.previewStudy(cmd.Context(), doc, args[0], f); err != nil {
		return err
	}
	if f.quick {
		return nil
	}
	return a.printMatters(cmd.Context(), doc.Scenario)
}

// printCheck writes what was understood.
func (a *app) printCheck(doc *scenarios.Document, s *sim.Simulation) {
	p := s.Plan
	w := a.stdout
	fmt.Fprintf(w, "%s: no mistakes found\n", doc.Name)
	if p.Scenario.Title != "" {
		fmt.Fprintf(w, "%s\n", p.Scenario.Title)
	}
	fmt.Fprintln(w)
	for _, l := range p.Loops {
		name := "loop"
		if len(p.Loops) > 1 {
			name = l.Name
		}
		fmt.Fprintf(w, "%s: %s, and round again; %.1f L/min cold\n", name, l.OneLine(p.Scenario), l.Flow*6e4)
	}
	c := new(card)
	c.air(p)
	c.writeAir(func(label, format string, args ...any) {
		fmt.Fprintf(w, "%s: %s\n", label, fmt.Sprintf(format, args...))
	})
	coolant, metal := p.HeatCapacity()
	fmt.Fprintf(w, "%d lumps, %s in all", len(p.Nodes), capacity(coolant+metal))
	if p.Coolant != nil {
		fmt.Fprintf(w, "; %.0f mL of %s", p.CoolantVolume*1e6, p.Coolant.Name())
	}
	fmt.Fprintf(w, "\nwould run %s of model time\n", minutes(s.Duration()))
	for _, note := range doc.ReadAs {
		fmt.Fprintf(w, "read as: %s\n", note)
	}
	if findings := p.Findings(); len(findings) > 0 {
		fmt.Fprintln(w, "\nfindings:")
		for _, f := range findings {
			fmt.Fprintf(w, "  %s: %s\n", f.Path, f.Text)
		}
	}
	for _, warning := range p.Warnings {
		fmt.Fprintf(w, "\nnote: %s\n", warning)
	}
	if len(p.Assumed) == 0 {
		fmt.Fprintln(w, "\nnothing is assumed")
		return
	}
	fmt.Fprintln(w, "\nassumed, because not stated:")
	width := 0
	for _, one := range p.Assumed {
		width = max(width, len(one.Path))
	}
	for _, one := range assumedList(p) {
		fmt.Fprintf(w, "  %-*s %-22s %-24s %s\n", width, one.Path, one.Value, one.Range, one.Source)
	}
}

// printMatters says which of the assumed figures matter most for the level.
func (a *app) printMatters(ctx context.Context, s *spec.Scenario) error {
	band, err := study.BandOf(ctx, s, study.Settings{})
	switch {
	case ctx.Err() != nil:
		return fmt.Errorf("looking for the figures that matter: %w", err)
	case err != nil:
		fmt.Fprintf(a.stdout, "\nwhich of them matter most is not known: %v\n", err)
		return nil
	}
	const most = 5
	b := newBand(band, 0)
	b.Terms = b.Terms[:min(most, len(b.Terms))]
	if len(b.Terms) == 0 {
		return nil
	}
	fmt.Fprintf(a.stdout, "\nthe level, %.1f K over the room, may lie %s K lower or %s K higher by what is assumed; what matters most, and what either end of its range does:\n",
		band.Subject.Rise.Value, kelvin(band.Subject.Below), kelvin(band.Subject.Above))
	for _, text := range b.lines() {
		fmt.Fprintln(a.stdout, text)
	}
	return nil
}
