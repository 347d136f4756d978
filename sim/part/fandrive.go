package part

import "math"

// FanDrive is how a fan is driven. Speeds are in revolutions per second.
type FanDrive struct {
	Rated  float64 // speed at which curve, noise and power hold
	Power  float64 // electrical, at rated speed, W
	Start  float64 // least speed at which a standing fan starts
	Stop   float64 // least speed at which a turning fan turns; not above Start
	SpinUp float64 // change of speed, revolutions per second squared
}

// Speed returns the speed at which the fan settles if asked for a speed: none
// below Stop, and none below Start if it stands. Between the two a fan stays as
// it is.
func (d FanDrive) Speed(asked float64, turning bool) float64 {
	if asked < d.Stop || !turning && asked < d.Start || asked <= 0 {
		return 0
	}
	return asked
}

// Approach returns the speed that a fan of a speed has after a time (s) on its
// way to another: it changes by SpinUp at most.
func (d FanDrive) Approach(speed, settled, time float64) float64 {
	change := d.SpinUp * time
	return math.Max(speed-change, math.Min(settled, speed+change))
}

// Electrical returns the electrical power (W) and its slope against the speed
// ratio, by the cube of the speed (fan law). All of it ends in the air stream:
// the motor's losses and, by friction, the work on the air.
func (d FanDrive) Electrical(speed float64) (power, slope float64) {
	r := math.Max(0, speed)
	return d.Power * r * r * r, 3 * d.Power * r * r
}
