package scenarios

import "testing"

// TestErrorAt: an error about something that is not stated stands at what
// encloses it.
func TestErrorAt(t *testing.T) {
	doc := load(t, "testdata/good/full.yaml")
	for path, want := range map[string]string{
		"front.cells":           "full.yaml:27:157: front.cells: x",
		"driver.holds":          "full.yaml:23:9: driver.holds: x",
		"figures.coolant_at[1]": "full.yaml:43:46: figures.coolant_at[1]: x",
		"nowhere":               "full.yaml: nowhere: x",
	} {
		if got := doc.ErrorAt(path, "x").Error(); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
