package control

import (
	"fmt"
	"math"
)

// Sensor is what stands between an observation and a controller. Its lag, if it
// has one, is a state of the machine and not of the sensor.
type Sensor struct {
	Offset     float64 // added to what is observed, in its unit
	Resolution float64 // step of the reading, in the same unit; 0 does not round
	Origin     float64 // a reading that is on the grid: 273.15 for whole steps of a temperature in degC
}

// Check reports an offset or origin that is not finite, or a negative resolution.
func (s Sensor) Check() error {
	if err := outside(
		bound{name: "offset", value: s.Offset, low: -math.MaxFloat64, high: math.MaxFloat64},
		bound{name: "origin", value: s.Origin, low: -math.MaxFloat64, high: math.MaxFloat64},
		bound{name: "resolution", value: s.Resolution, high: math.MaxFloat64},
	); err != nil {
		return fmt.Errorf("control: sensor: %w", err)
	}
	return nil
}

// Read returns the reading of x: with the offset, rounded to the nearest step,
// halves upwards.
func (s Sensor) Read(x float64) float64 {
	if s.Resolution == 0 {
		return x + s.Offset
	}
	return s.Origin + roundTo(x+s.Offset-s.Origin, s.Resolution)
}

// roundTo returns the multiple of step nearest to x, of two the greater one, and
// x itself if step is 0. A multiple of step stays what it is.
func roundTo(x, step float64) float64 {
	if step == 0 {
		return x
	}
	return math.Floor(x/step+0.5) * step
}
