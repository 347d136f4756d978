package main

import (
	"os"
	"regexp"
	"strings"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/record"
	"soakledger/sim/sweep"
)

// readme returns the README's fenced blocks of a language.
func readme(t *testing.T, language string) []string {
	t.Helper()
	text, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	var blocks []string
	for _, m := range regexp.MustCompile("(?s)\n```"+language+"\n(.*?)\n```").FindAllStringSubmatch(string(text), -1) {
		blocks = append(blocks, m[1])
	}
	if len(blocks) == 0 {
		t.Fatalf("the README has no %s block", language)
	}
	return blocks
}

// The card in the README is the one that its first command prints.
func TestReadmeCard(t *testing.T) {
	golden, err := os.ReadFile("../../testdata/golden/office_render.txt")
	if err != nil {
		t.Fatal(err)
	}
	for _, block := range readme(t, "text") {
		if strings.Contains(string(golden), block) {
			return
		}
	}
	t.Error("no text block of the README is the card of office_render")
}

// The summary in the README is the one that its sweep prints.
func TestReadmeSummary(t *testing.T) {
	golden, err := os.ReadFile("../../testdata/golden/thickness_and_speed.txt")
	if err != nil {
		t.Fatal(err)
	}
	_, swept, _ := strings.Cut(string(golden), "--out swept\n")
	for _, block := range readme(t, "text") {
		if strings.HasPrefix(swept, block) {
			return
		}
	}
	t.Error("no text block of the README is the summary of thickness_and_speed")
}

// Every scenario in the README can be run, and every study planned.
func TestReadmeScenarios(t *testing.T) {
	for _, block := range readme(t, "yaml") {
		doc, err := scenarios.Read("README.md", []byte(block))
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		if _, err := sim.New(doc.Scenario, sim.Settings{}); err != nil {
			t.Errorf("%v", err)
		}
		if len(doc.Scenario.Study.Vary) > 0 {
			p, err := sweep.New(doc.Scenario)
			if err == nil {
				_, err = p.Tables(record.AllTraces())
			}
			if err != nil {
				t.Errorf("%v", err)
			}
		}
	}
}

// Every shipped scenario is named in no more words than a line holds, and has
// a title.
func TestShippedTitles(t *testing.T) {
	for _, e := range scenarios.Shipped() {
		if e.Title == "" || len(e.Title) > 70 {
			t.Errorf("%s: title %q", e.Name, e.Title)
		}
	}
}
