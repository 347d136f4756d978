package record

// Segment is the solution over one step of an integration, as polynomials.
// Times are in seconds, components in the units of the state. A Segment is only
// valid until the next step is taken.
type Segment interface {
	Start() float64
	End() float64
	Poly(i int) [5]float64 // component i as a polynomial in (t-Start)/(End-Start), constant term first
}
