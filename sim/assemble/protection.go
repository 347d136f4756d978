package assemble

import (
	"math"

	"soakledger/sim/control"
	"soakledger/sim/spec"
)

// Protected reports whether anything may cut the chip's power.
func (c *Chip) Protected() bool {
	return c.Source >= 0 && (c.Throttle != nil || len(c.Limits) > 0 || c.CutsOut)
}

// Cutout returns the chip's own cut-out.
func (c *Chip) Cutout() control.Shutdown { return control.Shutdown{At: c.Shutdown} }

// protection takes over what cuts a chip's power.
func (b *assembler) protection(c spec.Chip, chip *Chip) {
	if c.Throttle.At.Set {
		th := control.Throttle{At: c.Throttle.At.Value, Release: c.Throttle.Release.Value, To: 0.5, Share: true}
		switch to := c.Throttle.To; {
		case to.Share.Set:
			th.To = to.Share.Value
		case to.Watts.Set:
			th.To, th.Share = to.Watts.Value, false
		}
		if err := th.Check(); err != nil {
			b.problems.add(c.Name+".throttle", "%v", err)
		}
		chip.Throttle = &th
	}
	for _, l := range c.Limits {
		limit := control.PowerLimit{Long: l.Long.Value, Short: l.Short.Or(math.Inf(1)), Tau: l.Time.Value}
		if err := limit.Check(); err != nil {
			b.problems.add(c.Name+".limits", "%v", err)
		}
		chip.Limits = append(chip.Limits, limit)
	}
	if (chip.Throttle != nil || len(chip.Limits) > 0) && chip.Source < 0 {
		b.problems.add(c.Name+".power", "a chip that is throttled or limited needs a power to cut, e.g. power: 210 W")
	}
}
