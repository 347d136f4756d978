package output

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"unicode/utf8"

	"soakledger/output/parquet"
	"soakledger/sim/record"
)

// Meta says what a dataset is. It is stored in the manifest and, but for Title
// and Notes, in every part.
type Meta struct {
	SchemaVersion int               `json:"schema_version"` // of the tables, 1 or more
	EngineVersion string            `json:"engine_version"` // of the engine that computed the rows
	Title         string            `json:"title"`          // for people
	ScenarioHash  string            `json:"scenario_hash"`  // of all that decides the rows; datasets of one hash have equal bytes
	Notes         map[string]string `json:"notes,omitempty"`
	ScenarioText  string            `json:"scenario"` // the scenario file as read
}

func (m Meta) validate() error {
	if m.SchemaVersion < 1 {
		return fmt.Errorf("schema version %d: want 1 or more", m.SchemaVersion)
	}
	if m.ScenarioHash == "" {
		return errors.New("the scenario hash is empty")
	}
	texts := []string{m.EngineVersion, m.Title, m.ScenarioHash, m.ScenarioText}
	for key, note := range m.Notes {
		texts = append(texts, key, note)
	}
	if !slices.ContainsFunc(texts, func(s string) bool { return !utf8.ValidString(s) }) {
		return nil
	}
	return errors.New("a text of the metadata is not valid UTF-8")
}

func (m Meta) clone() Meta {
	m.Notes = maps.Clone(m.Notes)
	return m
}

func (m Meta) parquet() parquet.Metadata {
	return parquet.Metadata{
		SchemaVersion: m.SchemaVersion,
		EngineVersion: m.EngineVersion,
		Scenario:      m.ScenarioText,
		ScenarioHash:  m.ScenarioHash,
	}
}

// validateTables checks each table and that their names differ.
func validateTables(tables []record.Table) error {
	if len(tables) == 0 {
		return errors.New("no tables are given")
	}
	seen := make(map[string]bool, len(tables))
	for _, t := range tables {
		if err := t.Validate(); err != nil {
			return err
		}
		if seen[t.Name] {
			return fmt.Errorf("table %s is given twice", t.Name)
		}
		seen[t.Name] = true
	}
	return nil
}
