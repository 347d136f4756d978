package control

import (
	"fmt"
	"math"
)

// Throttle cuts a chip's power when its die is too hot, with two levels: it
// begins at At and ends at Release. Its state is whether it is on.
type Throttle struct {
	At      float64 // K, die temperature at which it begins
	Release float64 // K, at which it ends, < At
	To      float64 // what is left: a share of the request, 0 to 1, or a power in W, >= 0
	Share   bool    // To is a share
}

// Check reports a figure out of its range.
func (th Throttle) Check() error {
	most := math.MaxFloat64
	if th.Share {
		most = 1
	}
	err := outside(
		bound{name: "at", value: th.At, high: math.MaxFloat64, open: true},
		bound{name: "release", value: th.Release, high: th.At},
		bound{name: "to", value: th.To, high: most},
	)
	if err == nil && th.Release == th.At {
		err = fmt.Errorf("release is %g as at is, but must be below it", th.Release)
	}
	if err != nil {
		return fmt.Errorf("control: throttle: %w", err)
	}
	return nil
}

// Crossing returns the die temperature (K) that switches it.
func (th Throttle) Crossing(on bool) Crossing {
	if on {
		return Crossing{th.Release, false}
	}
	return Crossing{th.At, true}
}

// Next returns whether it is on at a die temperature (K).
func (th Throttle) Next(on bool, die float64) bool {
	return on != th.Crossing(on).Met(die)
}

// Power returns what it leaves of a request, W.
func (th Throttle) Power(on bool, request float64) float64 {
	switch {
	case !on:
		return request
	case th.Share:
		return th.To * request
	}
	return min(request, th.To)
}

// Shutdown switches a chip off for the rest of the run when its die reaches At.
// Its state is whether it has.
type Shutdown struct {
	At float64 // K
}

// Check reports a temperature that cannot be.
func (s Shutdown) Check() error {
	if err := outside(bound{name: "at", value: s.At, high: math.MaxFloat64, open: true}); err != nil {
		return fmt.Errorf("control: shutdown: %w", err)
	}
	return nil
}

// Crossing returns the die temperature (K) that switches it, and false once it
// has.
func (s Shutdown) Crossing(down bool) (Crossing, bool) {
	return Crossing{s.At, true}, !down
}

// Next returns whether the chip is off at a die temperature (K): once off, it
// stays off.
func (s Shutdown) Next(down bool, die float64) bool { return down || die >= s.At }

// Power returns what it leaves of a request, W.
func (s Shutdown) Power(down bool, request float64) float64 {
	if down {
		return 0
	}
	return request
}
