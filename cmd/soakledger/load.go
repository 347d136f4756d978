package main

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"soakledger/scenarios"
	"soakledger/sim/assemble"
)

// examplePrefix marks a shipped scenario in place of a file name.
const examplePrefix = "example:"

// load reads a scenario file or a shipped example and applies overrides.
func load(name string, set []string) (*scenarios.Document, error) {
	doc, err := read(name)
	if err != nil {
		return nil, usageError{err}
	}
	if len(set) == 0 {
		return doc, nil
	}
	doc, err = doc.Set(set...)
	if err != nil {
		return nil, usageError{err}
	}
	return doc, nil
}

// read reads the text behind a name, and the logs that lie beside it.
func read(name string) (*scenarios.Document, error) {
	if example, ok := strings.CutPrefix(name, examplePrefix); ok {
		return scenarios.Load(example)
	}
	if info, err := os.Stat(name); err == nil && info.IsDir() {
		return nil, notAFile(name)
	}
	src, err := os.ReadFile(name)
	if err != nil {
		if errors.Is(err, os.ErrNotExist) {
			return nil, fmt.Errorf("%s: there is no such file; soakledger examples lists scenarios to start from", name)
		}
		return nil, fmt.Errorf("reading the scenario: %w", err)
	}
	return scenarios.ReadFS(os.DirFS(filepath.Dir(name)), name, src)
}

// notAFile tells of a folder in the place of a scenario file.
func notAFile(name string) error {
	if _, err := os.Stat(filepath.Join(name, "manifest.json")); err == nil {
		return fmt.Errorf("%s is the folder of a dataset, and a scenario file is wanted; soakledger show, export, figure and compare take folders", name)
	}
	return fmt.Errorf("%s is a folder, and a scenario file is wanted, e.g. my.yaml", name)
}

// baseName returns what a scenario's files are named after.
func baseName(name string) string {
	name = strings.TrimPrefix(name, examplePrefix)
	name = filepath.Base(name)
	return strings.TrimSuffix(name, filepath.Ext(name))
}

// placed turns the problems of an assembly into errors with their place in the
// file.
func placed(doc *scenarios.Document, err error) error {
	var problems assemble.Problems
	if !errors.As(err, &problems) {
		return err
	}
	var all scenarios.Errors
	for _, p := range problems {
		all = append(all, doc.ErrorAt(p.Path, p.Text))
	}
	return usageError{all}
}
