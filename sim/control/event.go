package control

// EventKind orders what happens at one instant.
type EventKind uint8

const (
	FaultEvent      EventKind = iota // a fault happens
	LimitEvent                       // a shutdown, a throttle or a power limit switches
	ControllerEvent                  // a controller takes a sample
)

// Event is a thing to happen: what, and when.
type Event struct {
	Time  float64 // s
	Kind  EventKind
	Index int // place in the file among its kind
}

// Before reports whether e happens before o: the earlier first; at one time
// faults, then limits, then controllers; within a kind in file order. Times that
// differ by rounding only must have been made equal.
func (e Event) Before(o Event) bool {
	switch {
	case e.Time != o.Time:
		return e.Time < o.Time
	case e.Kind != o.Kind:
		return e.Kind < o.Kind
	}
	return e.Index < o.Index
}
