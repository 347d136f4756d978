package control_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/control"
)

func TestSensorReads(t *testing.T) {
	for _, c := range []struct {
		sensor  control.Sensor
		x, want float64
	}{
		{control.Sensor{}, 300.123, 300.123},
		{control.Sensor{Offset: -0.5}, 300.125, 299.625},
		{control.Sensor{Resolution: 1}, 300.49, 300},
		{control.Sensor{Resolution: 1}, 300.5, 301},
		{control.Sensor{Resolution: 1}, -2.5, -2},
		{control.Sensor{Resolution: 0.125}, 40.07, 40.125},
		{control.Sensor{Resolution: 1, Origin: 273.15}, 273.15 + 40.4, 273.15 + 40},
		{control.Sensor{Resolution: 1, Origin: 273.15}, 273.15 + 40.6, 273.15 + 41},
		{control.Sensor{Resolution: 1, Origin: 273.15, Offset: 2.3}, 273.15 + 40.4, 273.15 + 43},
	} {
		if got := c.sensor.Read(c.x); got != c.want {
			t.Errorf("%+v reads %v as %v, want %v", c.sensor, c.x, got, c.want)
		}
	}
}

// Property: a reading is at most half a step from the truth plus the offset, and
// reading it again changes nothing.
func TestSensorRounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := control.Sensor{
			Resolution: rapid.SampledFrom([]float64{0, 0.1, 0.125, 1}).Draw(t, "resolution"),
			Origin:     rapid.SampledFrom([]float64{0, 273.15}).Draw(t, "origin"),
		}
		x := rapid.Float64Range(250, 400).Draw(t, "x")
		got := s.Read(x)
		if math.Abs(got-x) > s.Resolution/2+1e-12 {
			t.Fatalf("%v is read as %v", x, got)
		}
		near(t, "read again", s.Read(got), got, 1e-12)
	})
}

func TestSensorRefuses(t *testing.T) {
	for _, s := range []control.Sensor{{Offset: math.NaN()}, {Origin: math.Inf(1)}, {Resolution: -1}, {Resolution: math.Inf(1)}} {
		if s.Check() == nil {
			t.Errorf("%+v is accepted", s)
		}
	}
	if err := (control.Sensor{Offset: -3, Resolution: 0.5, Origin: 273.15}).Check(); err != nil {
		t.Error(err)
	}
}
