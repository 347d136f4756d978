package spec

// Assumed is a figure that was not stated and was filled in, always listed
// beside the results that rest on it.
type Assumed struct {
	Path      string    // of the field that was filled
	Value     float64   // SI
	Dimension Dimension // of Value, Low and High
	Low, High float64   // range within which the true figure usually lies, SI
	Source    string    // where the default comes from
	Text      string    // for a word instead of a number; Value, Low and High are zero then
}
