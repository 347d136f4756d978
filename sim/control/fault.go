package control

import (
	"errors"
	"fmt"
	"math"
)

// EffectKind says what a fault does to a part.
type EffectKind uint8

const (
	PumpSpeed       EffectKind = iota + 1 // a pump runs at this share of the speed it is told; 0 stops it
	FanSpeed                              // so does a row of fans
	FansFailed                            // this many fans of a row stand, whatever they are told
	CoreBlocked                           // this share of a radiator's face carries no air
	FlowRestriction                       // a part's pressure drop is multiplied by this
	CoolantLost                           // this share of a loop's coolant is gone
	AmbientStep                           // the room is this much warmer (K)
)

// effectRules holds, by kind: its name, the range of its value, what it is
// without a fault, and how one is joined to what is there.
var effectRules = [...]struct {
	name      string
	low, high float64
	neutral   float64
	join      func(present, value float64) float64
}{
	PumpSpeed:       {"pump speed", 0, 1, 1, math.Min},
	FanSpeed:        {"fan speed", 0, 1, 1, math.Min},
	FansFailed:      {"fans failed", 0, 1e3, 0, func(a, b float64) float64 { return a + b }},
	CoreBlocked:     {"core blocked", 0, 0.95, 0, joinShares},
	FlowRestriction: {"flow restriction", 1, 1e6, 1, func(a, b float64) float64 { return a * b }},
	CoolantLost:     {"coolant lost", 0, 0.95, 0, joinShares},
	AmbientStep:     {"ambient step", -100, 100, 0, func(a, b float64) float64 { return a + b }},
}

// joinShares returns the share that is gone when two shares go independently.
func joinShares(a, b float64) float64 { return a + b - a*b }

func (k EffectKind) known() bool { return k >= PumpSpeed && int(k) < len(effectRules) }

// String returns the words for the kind.
func (k EffectKind) String() string {
	if !k.known() {
		return fmt.Sprintf("EffectKind(%d)", uint8(k))
	}
	return effectRules[k].name
}

// Neutral returns the value that a kind has without any fault.
func (k EffectKind) Neutral() float64 { return effectRules[k].neutral }

// Effect is one thing that a fault does, for the rest of the run.
type Effect struct {
	Kind   EffectKind
	Target int     // which pump, row of fans, radiator, part or loop, as the machine counts them
	Value  float64 // as the kind says: shares of speed 0 to 1, up to 1000 fans, other shares 0 to 0.95, a factor of 1 to 1e6, -100 to 100 K
}

// Onto returns the value of its kind when the effect is added to what earlier
// ones have left, at first Neutral: the least speed; the share that is gone of
// what is left; the product of factors; the sum of steps. The order in which
// effects are added does not matter.
func (e Effect) Onto(present float64) float64 { return effectRules[e.Kind].join(present, e.Value) }

// check reports what keeps the effect from being one.
func (e Effect) check() error {
	if !e.Kind.known() {
		return fmt.Errorf("%v is no kind of effect", e.Kind)
	}
	switch r := effectRules[e.Kind]; {
	case e.Target < 0:
		return fmt.Errorf("%v: target %d cannot be", e.Kind, e.Target)
	default:
		return outside(bound{name: r.name, value: e.Value, low: r.low, high: r.high})
	}
}

// Condition is an observation that a fault waits for.
type Condition struct {
	Observation int // place in the observations
	Crossing
}

// Fault changes a machine once: at a time, or when an observation meets a
// level.
type Fault struct {
	Name    string     // in messages
	At      float64    // s, >= 0; without a condition
	When    *Condition // nil: at the time; else At is 0
	Effects []Effect   // at least one
}

// Check reports what keeps the fault from being one. observations is how many
// there are.
func (f Fault) Check(observations int) error {
	if err := f.check(observations); err != nil {
		return fmt.Errorf("control: fault %q: %w", f.Name, err)
	}
	return nil
}

func (f Fault) check(observations int) error {
	if err := outside(bound{name: "time", value: f.At, high: math.MaxFloat64}); err != nil {
		return err
	}
	if len(f.Effects) == 0 {
		return errors.New("it has no effects")
	}
	if w := f.When; w != nil {
		switch {
		case f.At != 0:
			return fmt.Errorf("it has a time, %g s, and a condition, but happens once", f.At)
		case w.Observation < 0 || w.Observation >= observations:
			return fmt.Errorf("observation %d is not one of %d", w.Observation, observations)
		case !finite(w.Level):
			return fmt.Errorf("level %g is not finite", w.Level)
		}
	}
	for i, e := range f.Effects {
		if err := e.check(); err != nil {
			return fmt.Errorf("effect %d: %w", i+1, err)
		}
	}
	return nil
}
