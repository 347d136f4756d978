package scenarios

import (
	"embed"
	"fmt"
	"io/fs"
	"strings"

	"soakledger/sim/spec"
)

//go:embed *.yaml
var files embed.FS

// Example names a shipped scenario.
type Example struct {
	Name  string // for Load
	Title string
}

// Shipped lists the scenarios that come with the program, sorted by name.
func Shipped() []Example {
	var all []Example
	for _, name := range shippedNames() {
		e := Example{Name: name}
		if doc, err := Load(name); err == nil { // a test loads them all
			e.Title = doc.Scenario.Title
		}
		all = append(all, e)
	}
	return all
}

// Load reads a shipped scenario by its name, with the logs shipped beside it.
func Load(name string) (*Document, error) {
	src, err := files.ReadFile(name + ".yaml")
	if err != nil {
		text := fmt.Sprintf("no shipped scenario is called %s", shortened(name))
		if near := spec.Nearest(name, shippedNames()); near != "" {
			return nil, fmt.Errorf("%s; did you mean %s?", text, near)
		}
		return nil, fmt.Errorf("%s: there are %s", text, strings.Join(shippedNames(), ", "))
	}
	return ReadFS(files, "example:"+name, src)
}

func shippedNames() []string {
	paths, _ := fs.Glob(files, "*.yaml") // the pattern is valid
	names := make([]string, len(paths))
	for i, path := range paths {
		names[i] = strings.TrimSuffix(path, ".yaml")
	}
	return names
}
