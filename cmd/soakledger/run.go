package main

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"soakledger/output"
	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/spec"
)

// schemaVersion of the dataset's tables.
const schemaVersion = 1

// runCommand simulates one scenario.
func (a *app) runCommand() *cobra.Command {
	cmd := &cobra.Command{
		Use:     "run FILE",
		Short:   "Simulate one scenario: trace, soak figures, ledger",
		Long:    "run simulates one scenario, prints its card and writes a dataset folder with\nthe run, its phases, its trace and its events as Parquet.",
		Example: "  soakledger run example:office_render\n  soakledger run my.yaml --set ambient.temperature=\"30 degC\" --out hot",
		Args:    oneArg("scenario file", "my.yaml"),
		RunE:    a.runScenario,
	}
	flags := cmd.Flags()
	flags.StringArray("set", nil, "change one value: PATH=VALUE, repeatable")
	flags.String("out", "", "dataset folder (default NAME-HASH)")
	flags.Bool("replace", false, "replace a dataset that is already there")
	flags.Bool("quiet", false, "print nothing but errors")
	flags.Bool("json", false, "print the card as JSON")
	return cmd
}

// runScenario is the whole path: file, scenario, simulation, dataset, card.
func (a *app) runScenario(cmd *cobra.Command, args []string) error {
	set, err := cmd.Flags().GetStringArray("set")
	if err != nil {
		return fmt.Errorf("reading the flags: %w", err)
	}
	doc, err := load(args[0], set)
	if err != nil {
		return err
	}
	s, err := sim.New(doc.Scenario, sim.Settings{})
	if err != nil {
		return placed(doc, err)
	}
	r, err := s.Run(cmd.Context())
	if err != nil {
		return err
	}
	c := newCard(r)
	hash := datasetHash(doc.Scenario)
	dir := a.settings.GetString("out")
	if dir == "" {
		dir = baseName(args[0]) + "-" + hash[:8]
	}
	if err := a.write(dir, meta(doc, hash, set, c), r); err != nil {
		return a.alreadyThere(err)
	}
	if err := a.print(c, dir); err != nil {
		return err
	}
	return c.ended()
}

// meta describes the dataset of one run.
func meta(doc *scenarios.Document, hash string, set []string, c *card) output.Meta {
	m := output.Meta{
		SchemaVersion: schemaVersion, EngineVersion: version, Title: doc.Scenario.Title,
		ScenarioHash: hash, ScenarioText: string(doc.Source), Notes: map[string]string{cardNote: c.encode()},
	}
	if len(set) > 0 {
		m.Notes["set"] = strings.Join(set, "\n")
	}
	return m
}

// write writes the dataset of one run, whole or not at all.
func (a *app) write(dir string, m output.Meta, r *sim.Result) (err error) {
	frames, err := r.Frames()
	if err != nil {
		return err
	}
	parts := map[string]int{}
	for _, f := range frames {
		parts[f.Table().Name] = 1
	}
	w, err := output.Create(dir, m, sim.Tables(r.Plan), output.Settings{Replace: a.settings.GetBool("replace"), Parts: parts})
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, w.Abort())
		}
	}()
	for _, f := range frames {
		if err := w.WritePart(f.Table().Name, 0, f); err != nil {
			return err
		}
	}
	return w.Finish()
}

// alreadyThere prints the card of a finished dataset of the same scenario; any
// other reason for not writing is reported.
func (a *app) alreadyThere(err error) error {
	var exists *output.ExistsError
	switch {
	case errors.Is(err, output.ErrForeign):
		return usageError{err}
	case !errors.As(err, &exists):
		return err
	case !exists.SameHash || !exists.Complete:
		return usage("%w (--replace, or --out FOLDER)", exists)
	}
	if !a.settings.GetBool("quiet") {
		fmt.Fprintf(a.stderr, "%s already holds this very run; shown from there (--replace computes it again)\n", exists.Dir)
	}
	return a.show(exists.Dir)
}

// datasetHash covers all that decides a run's bytes.
func datasetHash(s *spec.Scenario) string {
	h := sha256.New()
	fmt.Fprintf(h, "run\n%s\nengine %s\nschema %d\n", spec.Hash(s), version, schemaVersion)
	return hex.EncodeToString(h.Sum(nil))
}
