package output

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"unicode/utf8"

	"soakledger/sim/record"
)

// runsName is the table with one row a run. Its part comes last and makes a
// part of a study complete.
const (
	runsName = "runs"
	runID    = "run_id"
)

// Recipe is all that decides the rows of a study beside the versions in Meta.
// The texts are canonical: equal meaning, equal text. They are kept in the
// manifest, so that a resumed study can say what has changed: base, plan and
// solver are lines KEY = VALUE, a number perhaps followed by its exact value in
// parentheses. The value of the key scenario is a hash of the rest.
type Recipe struct {
	Base     string `json:"base"`      // the scenario that is varied
	Plan     string `json:"plan"`      // what varies and how it is combined, with seed
	Solver   string `json:"solver"`    // settings of the integration
	Traces   string `json:"traces"`    // which traces are kept (record.TraceChoice)
	Build    string `json:"build"`     // of the engine: source, compiler, architecture
	Runs     int    `json:"runs"`      // numbers of the plan: designs kept and dropped
	PartRuns int    `json:"part_runs"` // numbers in each part but the last
}

// StudyManifest says what the dataset of a study is. Meta.ScenarioHash is left
// empty: it becomes the hash of all that decides the rows. Title, Notes and
// ScenarioText are for people; a resumed study keeps those that it was begun
// with.
type StudyManifest struct {
	Meta
	Recipe
}

// Parts returns the number of parts of each table.
func (r Recipe) Parts() int { return (r.Runs + r.PartRuns - 1) / r.PartRuns }

// Slice returns the run numbers of a part: from <= run_id < to. It depends on
// the plan alone.
func (r Recipe) Slice(part int) (from, to int) {
	return part * r.PartRuns, min((part+1)*r.PartRuns, r.Runs)
}

func (r Recipe) validate() error {
	switch {
	case r.Runs < 1:
		return fmt.Errorf("a study of %d runs: want 1 or more", r.Runs)
	case r.PartRuns < 1:
		return fmt.Errorf("parts of %d runs: want 1 or more", r.PartRuns)
	case r.Runs > 1<<31-1:
		return fmt.Errorf("a study of %d runs: run numbers have 32 bits", r.Runs)
	case r.Parts() > maxPart+1:
		return fmt.Errorf("%d runs in parts of %d are %d parts: want at most %d, so larger ones", r.Runs, r.PartRuns, r.Parts(), maxPart+1)
	}
	for _, text := range []string{r.Base, r.Plan, r.Solver, r.Traces, r.Build} {
		if !utf8.ValidString(text) {
			return errors.New("a text of the recipe is not valid UTF-8")
		}
	}
	return nil
}

// manifest returns the manifest of the study without parts.
func (m StudyManifest) manifest(tables []record.Table) (manifest, error) {
	if m.ScenarioHash != "" {
		return manifest{}, errors.New("the hash of a study is computed: leave it empty")
	}
	out := newManifest(m.Meta, tables)
	out.Study = &m.Recipe
	if err := validateStudy(out); err != nil {
		return manifest{}, err
	}
	hash, err := studyHash(out)
	out.ScenarioHash = hash
	return out, err
}

func validateStudy(m manifest) error {
	if err := m.Study.validate(); err != nil {
		return err
	}
	if m.table(runsName) < 0 {
		return fmt.Errorf("a study has a table %s: it makes a part complete", runsName)
	}
	for _, t := range m.Tables {
		if i := t.Index(runID); i < 0 || t.Columns[i].Kind != record.Int || t.Columns[i].Nullable {
			return fmt.Errorf("table %s has no int column %s without nulls", t.Name, runID)
		}
	}
	return nil
}

// studyHash returns the hash of all that decides the bytes of the rows: recipe,
// tables with their units and grids, versions and the layout of the folder.
func studyHash(m manifest) (string, error) {
	tables := make([]record.Table, len(m.Tables))
	for i, t := range m.Tables {
		tables[i] = t.Table
	}
	text, err := json.Marshal(struct {
		Format        string
		SchemaVersion int
		EngineVersion string
		Recipe        *Recipe
		Tables        []record.Table
	}{m.Format, m.SchemaVersion, m.EngineVersion, m.Study, tables})
	if err != nil {
		return "", fmt.Errorf("hashing the study: %w", err)
	}
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), nil
}

// checkHash refuses the manifest of a study that states another hash than that
// of what it says.
func checkHash(m manifest) error {
	if m.Study == nil {
		return nil
	}
	if hash, err := studyHash(m); err != nil || hash == m.ScenarioHash {
		return err
	}
	return errors.New("its hash is not that of what it says")
}
