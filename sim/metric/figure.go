package metric

// Figure is a result that may be missing, with the reason why.
type Figure struct {
	Value float64
	Why   string // not empty: there is no value, because of this
}

// Known returns a figure with a value.
func Known(v float64) Figure { return Figure{Value: v} }

// Missing returns a figure without a value, for a reason that is not empty.
func Missing(why string) Figure { return Figure{Why: why} }

// OK reports whether there is a value.
func (f Figure) OK() bool { return f.Why == "" }

// Minus returns f - v, or f itself if it is missing.
func (f Figure) Minus(v float64) Figure {
	if !f.OK() {
		return f
	}
	return Known(f.Value - v)
}
