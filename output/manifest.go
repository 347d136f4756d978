package output

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"soakledger/sim/record"
)

// Names inside a dataset folder.
const (
	manifestName = "manifest.json"
	tempFolder   = ".tmp"
	markerName   = "begun.json" // in tempFolder, while the dataset is not complete
)

// manifestFormat names the layout of the folder and of the manifest.
const manifestFormat = "soakledger dataset 1"

// errOtherFormat says that a manifest is another program's or version's.
var errOtherFormat = errors.New("is that of another version")

// maxPart keeps part numbers within five digits, so that names sort as numbers.
const maxPart = 99_999

// manifest is the content of manifest.json, and without parts of begun.json.
type manifest struct {
	Format string `json:"format"`
	Meta
	Study  *Recipe         `json:"study,omitempty"` // nil for a single run
	Tables []manifestTable `json:"tables"`
}

type manifestTable struct {
	record.Table
	Parts []manifestPart `json:"parts"`
}

// manifestPart describes a complete part. File is relative to the dataset
// folder, with slashes.
type manifestPart struct {
	File   string `json:"file"`
	Rows   int64  `json:"rows"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// newManifest returns a manifest without parts, tables by name.
func newManifest(m Meta, tables []record.Table) manifest {
	out := manifest{Format: manifestFormat, Meta: m.clone()}
	for _, t := range tables {
		t.Columns = slices.Clone(t.Columns)
		out.Tables = append(out.Tables, manifestTable{Table: t, Parts: []manifestPart{}})
	}
	slices.SortFunc(out.Tables, func(a, b manifestTable) int { return strings.Compare(a.Name, b.Name) })
	return out
}

// table returns the position of the named table, or -1.
func (m *manifest) table(name string) int {
	return slices.IndexFunc(m.Tables, func(t manifestTable) bool { return t.Name == name })
}

// encode returns the manifest's bytes, equal for equal manifests.
func (m *manifest) encode() ([]byte, error) {
	var out bytes.Buffer
	e := json.NewEncoder(&out)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(m); err != nil {
		return nil, fmt.Errorf("encoding the manifest: %w", err)
	}
	return out.Bytes(), nil
}

// parseManifest is the inverse of encode and checks what it reads.
func parseManifest(text []byte) (manifest, error) {
	var m manifest
	if err := json.Unmarshal(text, &m); err != nil {
		return manifest{}, err
	}
	if m.Format != manifestFormat {
		return manifest{}, fmt.Errorf("its format %w: %q, not %q", errOtherFormat, m.Format, manifestFormat)
	}
	tables := make([]record.Table, len(m.Tables))
	for i, t := range m.Tables {
		tables[i] = t.Table
		if err := t.checkParts(); err != nil {
			return manifest{}, err
		}
	}
	err := errors.Join(m.validate(), validateTables(tables))
	if err == nil && m.Study != nil {
		err = validateStudy(m)
	}
	return m, err
}

// checkParts refuses file names other than those a writer gives, so that a
// manifest cannot point out of its folder.
func (t manifestTable) checkParts() error {
	for i, p := range t.Parts {
		if want := partFile(t.Name, i); p.File != want {
			return fmt.Errorf("part %d of table %s is called %q, not %q", i, t.Name, p.File, want)
		}
		if p.Rows < 0 || p.Bytes < 0 {
			return fmt.Errorf("part %s has %d rows and %d bytes", p.File, p.Rows, p.Bytes)
		}
	}
	return nil
}

// readManifest reads a manifest or marker. A file that is not there is an error
// that is fs.ErrNotExist.
func readManifest(name string) (manifest, error) {
	text, err := os.ReadFile(name)
	if err != nil {
		return manifest{}, fmt.Errorf("reading the manifest: %w", err)
	}
	m, err := parseManifest(text)
	if err != nil {
		return manifest{}, fmt.Errorf("reading the manifest %s: %w", name, err)
	}
	return m, nil
}

// partFile returns the name of a part inside the dataset folder, with slashes.
func partFile(table string, part int) string {
	return fmt.Sprintf("%s/part-%05d.parquet", table, part)
}

// partNumber is the inverse for the last element of the name; -1 for any other
// file.
func partNumber(name string) int {
	var part int
	if _, err := fmt.Sscanf(name, "part-%05d.parquet", &part); err != nil || part < 0 || part > maxPart {
		return -1
	}
	if name != filepath.Base(partFile("x", part)) {
		return -1
	}
	return part
}
