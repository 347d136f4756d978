package sim_test

import (
	"soakledger/sim/spec"
)

// fanned is a chip of a power (W) in a loop whose radiator of 240 mm has fans of 1500
// rpm that follow a control.
func fanned(power float64, c spec.Control) *spec.Scenario {
	s := base(22)
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(power)}}
	radiator := sized("front", 240, 0)
	radiator.Radiator.Fans = spec.Fans{Count: spec.Some(2), Rated: spec.Some(25), Power: spec.Some(2), Curve: c}
	s.Loops = []spec.Loop{{Name: "main", Parts: []spec.Part{
		pump("pump", 3), tube("tube_1", 0.4), blockOn("block", "cpu", 120), tube("tube_2", 0.4), radiator, reservoir("res", 200),
	}}}
	s.Duration, s.Record.Every, s.Record.Resolution = spec.Some(3600), spec.Some(1), spec.Some(0)
	return s
}

// curve is a curve through pairs of temperature (degC) and speed (rpm).
func curve(follow string, pairs ...float64) spec.Control {
	c := spec.Control{Follow: follow}
	for i := 0; i < len(pairs); i += 2 {
		c.Points = append(c.Points, spec.TemperatureSpeed{Temperature: spec.Some(pairs[i] + zeroCelsius), Speed: turns(pairs[i+1])})
	}
	return c
}

// every makes a control a sampled one, by its period (s).
func every(period float64, c spec.Control) spec.Control {
	c.Period = spec.Some(period)
	return c
}
