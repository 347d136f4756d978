package control

import (
	"errors"
	"fmt"
	"math"
)

// ErrChatter is the error of a switch that switches too often.
var ErrChatter = errors.New("control: a switch chatters")

// MostSwitches is how often a switch may switch within a second: more than any
// real controller does, few enough to end a run that would never end. Own choice.
const MostSwitches = 200

// chatterWindow is the span of model time over which switches are counted, s.
const chatterWindow = 1.0

// Chatter counts what each switch of a run does, and ends a run whose model
// switches without end. It belongs to one run.
type Chatter struct {
	names []string
	most  int
	times []float64 // of the last most switches, a ring for each
	next  []int     // place in the ring
}

// NewChatter returns a guard over switches of these names that allows each to
// switch most times within a second, at least once.
func NewChatter(names []string, most int) (*Chatter, error) {
	if most < 1 {
		return nil, fmt.Errorf("control: a switch that may switch %d times a second is none", most)
	}
	c := &Chatter{names: append([]string(nil), names...), most: most, times: make([]float64, most*len(names)), next: make([]int, len(names))}
	c.Reset()
	return c, nil
}

// Reset forgets all switches, for another run.
func (c *Chatter) Reset() {
	for i := range c.times {
		c.times[i] = math.Inf(-1)
	}
}

// Switched records that switch i did at time t (s), which never falls. It fails
// with ErrChatter, which names the switch, when the one that is most switches
// back lies less than a second before.
func (c *Chatter) Switched(i int, t float64) error {
	ring := c.times[i*c.most : (i+1)*c.most]
	oldest := ring[c.next[i]]
	ring[c.next[i]] = t
	if c.next[i]++; c.next[i] == c.most {
		c.next[i] = 0
	}
	if t-oldest < chatterWindow {
		return fmt.Errorf("%w: %s, %d times from %g s to %g s of model time; its hysteresis may be narrower than what one switch does at once",
			ErrChatter, c.names[i], c.most+1, oldest, t)
	}
	return nil
}
