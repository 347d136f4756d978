package control

import (
	"fmt"
	"math"
)

// Crossing is a level that an observation may pass in one direction.
type Crossing struct {
	Level  float64 // in the unit of what is observed
	Rising bool    // from below; otherwise from above
}

// Met reports whether x lies on the level or past it.
func (c Crossing) Met(x float64) bool {
	if c.Rising {
		return x >= c.Level
	}
	return x <= c.Level
}

// finite reports whether x is a number that is not infinite.
func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// bound is a figure with the range it must lie in. Without a limit on one side,
// the figure need only be finite, but for an end at infinity itself.
type bound struct {
	name      string
	value     float64
	low, high float64
	open      bool // the low end itself is not allowed
}

// outside returns the error of the first figure that is not in its range.
func outside(bounds ...bound) error {
	for _, b := range bounds {
		if b.value >= b.low && b.value <= b.high && !(b.open && b.value == b.low) {
			continue
		}
		rule := fmt.Sprintf("must lie in %g to %g", b.low, b.high)
		switch {
		case b.low == -math.MaxFloat64:
			rule = "must be finite"
		case b.high < math.MaxFloat64:
		case b.open:
			rule = fmt.Sprintf("must be finite and above %g", b.low)
		default:
			rule = fmt.Sprintf("must be a number of at least %g", b.low)
		}
		return fmt.Errorf("%s is %g, but %s", b.name, b.value, rule)
	}
	return nil
}
