package record

// Segment is the solution over one step of an integration, as the method's own
// interpolant. Times are in seconds, components in the units of the state. A
// Segment is only valid until the next step is taken.
type Segment interface {
	Start() float64
	End() float64
	At(i int, t float64) float64   // component i at time t
	Into(t float64, dst []float64) // all components at time t
	Poly(i int) [5]float64         // component i as a polynomial in (t-Start)/(End-Start), constant term first
}
