package part

import (
	"fmt"
	"math"

	"soakledger/sim/correlation"
	"soakledger/sim/spec"
)

// MetreOfWater is the pressure (Pa) of one metre of head. Makers state metres
// of water, conventionally of 1000 kg/m3.
const MetreOfWater = 1000 * correlation.StandardGravity

// PumpCurve is the head of a pump against flow at its rated speed, and by the
// affinity laws (flow as the speed, head as its square) at every other. The
// curve is taken as a pressure, the same for every coolant.
//
// Before its first point and beyond its last a curve goes on with the slope it
// has there and with the curvature of the parabola from shut-off head to free
// flow; that curvature is also what a standing pump resists. So the head falls
// for every flow of either sign, is continuous in its slopes, and passes
// smoothly to a passive loss at speed zero.
type PumpCurve struct {
	points     monotone // empty for the parabola
	head, free float64  // shut-off head in Pa, free flow in m3/s
	passive    float64  // Pa/(m3/s)2
}

// NewPumpCurve returns the parabola H = head (1 - (q/free)^2) from the two
// figures of a data sheet: shut-off head (Pa) and free flow (m3/s), both above
// zero.
func NewPumpCurve(head, free float64) (PumpCurve, error) {
	if !(head > 0) || !(free > 0) || math.IsInf(head, 0) || math.IsInf(free, 0) {
		return PumpCurve{}, fmt.Errorf("part: a pump of %g Pa shut-off head and %g m3/s free flow cannot be; both must be above zero", head, free)
	}
	return PumpCurve{head: head, free: free, passive: head / (free * free)}, nil
}

// NewPumpCurveFromPoints returns the curve through points of flow (m3/s,
// rising from zero or more) and head (Pa, falling, not below zero), at least
// two.
func NewPumpCurveFromPoints(flow, head []float64) (PumpCurve, error) {
	if err := checkPairs("flow", flow, "head", head, 0, false); err != nil {
		return PumpCurve{}, fmt.Errorf("part: pump curve: %w", err)
	}
	n := len(flow)
	if n < 2 || head[n-1] < 0 {
		return PumpCurve{}, fmt.Errorf("part: pump curve: it needs two or more points with a head not below zero, e.g. shut-off head and free flow")
	}
	c := PumpCurve{points: newMonotone(flow, head)}
	x, y, s := c.points.last()
	rough := x - y/s // where the last slope alone meets zero
	c.passive = head[0] / (rough * rough)
	c.head, _ = c.Head(0, 1)
	c.free = x + (s+math.Sqrt(s*s+4*c.passive*y))/(2*c.passive)
	return c, nil
}

// ShutOff returns the head without flow at rated speed, Pa.
func (c PumpCurve) ShutOff() float64 { return c.head }

// FreeFlow returns the flow without head at rated speed, m3/s.
func (c PumpCurve) FreeFlow() float64 { return c.free }

// Head returns the head (Pa) and its slope against flow (Pa s/m3, never above
// zero) at a flow q (m3/s, either sign) and a speed over rated speed (0 to
// about 1.5; below zero is taken as zero).
func (c PumpCurve) Head(q, speed float64) (head, slope float64) {
	r := math.Max(0, speed)
	if len(c.points.x) == 0 {
		return c.head*r*r - c.passive*q*math.Abs(q), -2 * c.passive * math.Abs(q)
	}
	x, y, s := c.points.last()
	if q < r*x {
		x, y, s = c.points.first()
		if q > r*x {
			h, d := c.points.at(q / r)
			return r * r * h, r * d
		}
	}
	// Beyond an end; in a form that stays exact as the speed goes to zero.
	d := q - r*x
	return r*(r*y+s*d) - c.passive*d*math.Abs(d), r*s - 2*c.passive*math.Abs(d)
}

// PumpDrive is the electrical side of a pump.
type PumpDrive struct {
	Rated float64 // speed at which curve and power hold, revolutions per second
	Power float64 // electrical, at rated speed, W
	Floor float64 // share of Power that does not fall with speed, 0..1
}

// fadeSpeed is the speed ratio below which no pump runs and the floor of its
// power fades out.
const fadeSpeed = 0.1

// Electrical returns the electrical power (W) and its slope against the speed
// ratio: the floor's share stays, the rest goes with the cube of the speed
// (affinity law). A standing pump draws nothing. All of it ends in the coolant:
// the motor's losses through its wall, the hydraulic work by friction.
func (d PumpDrive) Electrical(speed float64) (power, slope float64) {
	r := math.Max(0, speed)
	t := math.Min(r/fadeSpeed, 1)
	floor := d.Power * d.Floor
	rest := d.Power - floor
	power = floor*t*t*(3-2*t) + rest*r*r*r
	return power, floor*6*t*(1-t)/fadeSpeed + 3*rest*r*r
}

// PumpFloor is the share of a pump's electrical power that does not fall with
// its speed: electronics and bearings.
func PumpFloor() Default { return Default{0.08, 0.02, 0.2, spec.Ratio, practice} }

// PumpSpeed is the speed of a pump over its rated one.
func PumpSpeed() Default { return Default{1, 0.3, 1, spec.Ratio, practice} }

// PumpClass holds what is usual for a size of pump.
type PumpClass struct {
	Name  string
	Head  Default // shut-off, Pa
	Free  Default // m3/s
	Power Default // at rated speed, W
	Rated Default // revolutions per second
	Holds Default // coolant with its top, m3
	Mass  Default // kg
}

// SmallPump is a pump of a compact loop.
func SmallPump() PumpClass {
	return PumpClass{
		Name:  "small",
		Head:  Default{1.8 * MetreOfWater, 1.0 * MetreOfWater, 2.5 * MetreOfWater, spec.Head, practice},
		Free:  Default{0.4 / 3600, 0.2 / 3600, 0.6 / 3600, spec.VolumeFlow, practice},
		Power: Default{6, 3, 10, spec.PowerFlow, practice},
		Rated: Default{3600. / 60, 2400. / 60, 4800. / 60, spec.RotationSpeed, practice},
		Holds: Default{40e-6, 30e-6, 60e-6, spec.Volume, practice},
		Mass:  Default{0.25, 0.2, 0.4, spec.Mass, practice},
	}
}

// LargePump is a pump of a loop with several blocks and radiators.
func LargePump() PumpClass {
	return PumpClass{
		Name:  "large",
		Head:  Default{4.0 * MetreOfWater, 3.5 * MetreOfWater, 5.0 * MetreOfWater, spec.Head, practice},
		Free:  Default{1.2 / 3600, 1.0 / 3600, 1.5 / 3600, spec.VolumeFlow, practice},
		Power: Default{20, 18, 23, spec.PowerFlow, practice},
		Rated: Default{4500. / 60, 4000. / 60, 4800. / 60, spec.RotationSpeed, practice},
		Holds: Default{60e-6, 40e-6, 80e-6, spec.Volume, practice},
		Mass:  Default{0.45, 0.3, 0.6, spec.Mass, practice},
	}
}

// PumpClasses returns the sizes of pump.
func PumpClasses() []PumpClass { return []PumpClass{SmallPump(), LargePump()} }

// PumpClassNamed returns the size called word. The error lists the words.
func PumpClassNamed(word string) (PumpClass, error) {
	return named("pump", word, PumpClasses(), func(c PumpClass) string { return c.Name })
}

// Curve returns the parabola of the class's figures.
func (c PumpClass) Curve() (PumpCurve, error) { return NewPumpCurve(c.Head.Value, c.Free.Value) }
