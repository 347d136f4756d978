package parquet

import (
	"encoding/json"
	"fmt"
	"strconv"

	"soakledger/sim/record"
)

// Keys of the file's key-value metadata. pandas and fastparquet load
// PANDAS_ATTRS into DataFrame.attrs.
const (
	keySchemaVersion = "soakledger:schema_version"
	keyEngineVersion = "soakledger:engine_version"
	keyScenario      = "soakledger:scenario"
	keyScenarioHash  = "soakledger:scenario_hash"
	keyTable         = "soakledger:table"
	keyColumns       = "soakledger:columns"
	keyPandas        = "PANDAS_ATTRS"
	noteKey          = "soakledger:note:" // and the note's own key
)

// Metadata is what a file says about where its rows come from.
type Metadata struct {
	SchemaVersion int    // of the tables, 1 or more
	EngineVersion string // of the engine that computed the rows
	Scenario      string // the scenario's text
	ScenarioHash  string // hash of everything that decides the rows
}

// columnNote is what the schema itself cannot say about a column.
type columnNote struct {
	Unit    string  `json:"unit"`
	Meaning string  `json:"meaning"`
	Grid    float64 `json:"grid"`
}

// pandasNote is the content of PANDAS_ATTRS: df.attrs["units"]["coolant_c"].
type pandasNote struct {
	EngineVersion string            `json:"engine_version"`
	Meanings      map[string]string `json:"meanings"`
	ScenarioHash  string            `json:"scenario_hash"`
	SchemaVersion int               `json:"schema_version"`
	Units         map[string]string `json:"units"`
}

// keyValues returns the metadata of a file of table t. Maps are written by
// encoding/json with sorted keys, so equal input gives equal bytes.
func keyValues(t record.Table, m Metadata) (map[string]string, error) {
	notes := make(map[string]columnNote, len(t.Columns))
	pandas := pandasNote{
		EngineVersion: m.EngineVersion, ScenarioHash: m.ScenarioHash, SchemaVersion: m.SchemaVersion,
		Meanings: make(map[string]string, len(t.Columns)), Units: make(map[string]string, len(t.Columns)),
	}
	for _, c := range t.Columns {
		notes[c.Name] = columnNote{Unit: c.Unit, Meaning: c.Meaning, Grid: c.Grid}
		pandas.Units[c.Name] = c.Unit
		pandas.Meanings[c.Name] = c.Meaning
	}
	columnText, err := json.Marshal(notes)
	if err != nil {
		return nil, fmt.Errorf("describing the columns of table %s: %w", t.Name, err)
	}
	pandasText, err := json.Marshal(pandas)
	if err != nil {
		return nil, fmt.Errorf("describing table %s for pandas: %w", t.Name, err)
	}
	return map[string]string{
		keySchemaVersion: strconv.Itoa(m.SchemaVersion),
		keyEngineVersion: m.EngineVersion,
		keyScenario:      m.Scenario,
		keyScenarioHash:  m.ScenarioHash,
		keyTable:         t.Name,
		keyColumns:       string(columnText),
		keyPandas:        string(pandasText),
	}, nil
}

// parseMetadata is the inverse of keyValues: it fills t's name and the unit,
// meaning and grid of its columns. lookup returns the value of a key.
func parseMetadata(t *record.Table, lookup func(key string) (string, bool)) (Metadata, error) {
	columnText, ok := lookup(keyColumns)
	if !ok {
		return Metadata{}, fmt.Errorf("no metadata %q: the file was not written by soakledger", keyColumns)
	}
	var notes map[string]columnNote
	if err := json.Unmarshal([]byte(columnText), &notes); err != nil {
		return Metadata{}, fmt.Errorf("metadata %q: %w", keyColumns, err)
	}
	for i := range t.Columns {
		c := &t.Columns[i]
		note, ok := notes[c.Name]
		if !ok {
			return Metadata{}, fmt.Errorf("metadata %q says nothing of column %q", keyColumns, c.Name)
		}
		c.Unit, c.Meaning, c.Grid = note.Unit, note.Meaning, note.Grid
	}
	versionText, _ := lookup(keySchemaVersion)
	version, err := strconv.Atoi(versionText)
	if err != nil {
		return Metadata{}, fmt.Errorf("metadata %q: %q is no whole number", keySchemaVersion, versionText)
	}
	m := Metadata{SchemaVersion: version}
	t.Name, _ = lookup(keyTable)
	m.EngineVersion, _ = lookup(keyEngineVersion)
	m.Scenario, _ = lookup(keyScenario)
	m.ScenarioHash, _ = lookup(keyScenarioHash)
	return m, t.Validate()
}
