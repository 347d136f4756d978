package sim

import (
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// DefaultEntry is one figure that a scenario may leave out, with what is taken
// in its place.
type DefaultEntry struct {
	Part      string // pump, tube, ...
	Class     string // large, slim, ...; empty where there is one figure for all
	Figure    string // the key it stands for in a scenario, or words where it has none
	Value     float64
	Low, High float64 // range in which the true figure usually lies
	Dimension spec.Dimension
	Source    string
}

// Defaults returns every documented default, part by part. Values are in SI.
func Defaults() []DefaultEntry {
	entries := part.Catalogue()
	all := make([]DefaultEntry, len(entries))
	for i, e := range entries {
		all[i] = DefaultEntry{
			Part: e.Part, Class: e.Class, Figure: e.Figure,
			Value: e.Value, Low: e.Low, High: e.High, Dimension: e.Dimension, Source: e.Source,
		}
	}
	return all
}
