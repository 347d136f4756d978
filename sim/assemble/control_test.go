package assemble_test

import (
	"fmt"
	"math"
	"testing"

	"soakledger/sim/assemble"
	"soakledger/sim/spec"
)

const zeroCelsius = 273.15 // K

// near checks a value.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.10g, want %.10g within %g", what, got, want, tolerance)
	}
}

// steered lets the fans of the front radiator, one of 240 mm with fans of 1500 rpm,
// follow a control.
func steered(c spec.Control) func(s *spec.Scenario) {
	return core(func(r *spec.Radiator) { r.Fans.Rated, r.Fans.Curve = spec.Some(25), c })
}

// speeds is a curve through pairs of temperature (degC) and speed (rpm).
func speeds(pairs ...float64) spec.Control {
	var c spec.Control
	for i := 0; i < len(pairs); i += 2 {
		c.Points = append(c.Points, spec.TemperatureSpeed{Temperature: spec.Some(pairs[i] + zeroCelsius), Speed: turns(pairs[i+1])})
	}
	return c
}

// sampledBy makes a control a sampled one, by its period (s).
func sampledBy(period float64, c spec.Control) spec.Control {
	c.Period = spec.Some(period)
	return c
}

// What a control can have wrong that its figures alone do not tell.
func TestProblemsOfControls(t *testing.T) {
	following := speeds(30, 600, 42, 1400)
	following.Follow = "nothing"
	lagging := speeds(30, 600, 42, 1400)
	lagging.Sensor.Lag = spec.Some(5)
	checkProblems(t, []problem{
		{"too fast for the laws of fans", steered(speeds(30, 600, 42, 2300)), "front.fans.speed", "2300 rpm is more than 150 % of the rated 1500 rpm"},
		{"a node that is not there", steered(following), "front.fans.curve.follow", "there is no node nothing to follow"},
		{"a lag without samples", steered(lagging), "front.fans.curve.sensor.lag", "state period, e.g. period: 2 s"},
		{"a curve that falls back", steered(speeds(42, 600, 30, 1400)), "front.fans.curve", "inputs must rise"},
		{"fans that never turn", steered(sampledBy(2, speeds(30, 100, 42, 200))), "front.fans.curve", "it asks for 200 rpm at most, and below 300 rpm the device stands"},
		{"fans on a stated conductance", func(s *spec.Scenario) {
			part(s, "front").Radiator.Fans = spec.Fans{Curve: speeds(30, 600, 42, 1400)}
		}, "front.fans.curve", "a stated conductance holds whatever the fans do"},
	})
}

// controlledBy returns what is controlled in a machine after a change.
func controlledBy(t *testing.T, change func(s *spec.Scenario)) (*assemble.Plan, assemble.Controlled) {
	t.Helper()
	s := bare()
	change(s)
	p, err := assemble.Build(s.Named())
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Controlled) != 1 {
		t.Fatalf("%d things are controlled, want 1", len(p.Controlled))
	}
	return p, p.Controlled[0]
}

// The law of a curve is that curve over the rated speed, at what its sensor reads, with
// kinks rounded over half a kelvin and a slope to match.
func TestLawOfACurve(t *testing.T) {
	c := speeds(30, 600, 42, 1200)
	c.Sensor.Offset = spec.Some(-2)
	_, got := controlledBy(t, steered(c))
	for _, q := range []struct{ at, want float64 }{{20, 0.4}, {31.7, 0.4}, {35, 0.4 + 0.4*3/12}, {43, 0.4 + 0.4*11/12}, {50, 0.8}} {
		y, slope := got.Law(q.at + zeroCelsius)
		near(t, fmt.Sprintf("speed at %g degC", q.at), y, q.want, 1e-12)
		up, _ := got.Law(q.at + zeroCelsius + 1e-5)
		down, _ := got.Law(q.at + zeroCelsius - 1e-5)
		near(t, fmt.Sprintf("slope at %g degC", q.at), slope, (up-down)/2e-5, 1e-8)
	}
	if y, _ := got.Law(32 + zeroCelsius); !(y > 0.4 && y < 0.41) {
		t.Errorf("at a kink the speed is %g", y)
	}
	if got.Sampled != nil || got.Pump || got.Rated != 25 || got.Holds {
		t.Errorf("it is %+v", got)
	}
}

// What holds a temperature stands below it and turns fully above it, as a level has it.
func TestLawOfATarget(t *testing.T) {
	_, got := controlledBy(t, steered(spec.Control{Target: spec.Some(34 + zeroCelsius), Period: spec.Some(2)}))
	for _, q := range []struct{ at, want float64 }{{20, 0}, {33.92, 0}, {34, 0.5}, {34.08, 1}, {60, 1}} {
		y, _ := got.Law(q.at + zeroCelsius)
		near(t, fmt.Sprintf("speed at %g degC", q.at), y, q.want, 1e-9)
	}
	if got.Sampled == nil || !got.Holds {
		t.Errorf("it is %+v", got)
	}
}

// The power of controlled fans is that of all of them by the cube of their speed, and
// only that goes with it: in push-pull half of it before the core and half behind.
func TestPowerOfControlledFans(t *testing.T) {
	for arrangement, count := range map[string]float64{"push": 2, "pull": 2, "push-pull": 4} {
		p, got := controlledBy(t, core(func(r *spec.Radiator) {
			r.Fans = spec.Fans{Rated: spec.Some(25), Power: spec.Some(1.5), Arrangement: arrangement, Curve: speeds(30, 600, 42, 1400)}
		}))
		for _, ratio := range []float64{0, 0.4, 1} {
			sum := 0.0
			for _, one := range got.Source {
				sum += one.Power(ratio)
			}
			near(t, fmt.Sprintf("%s: power at %g", arrangement, ratio), sum, count*1.5*math.Pow(ratio, 3), 1e-12)
		}
		if want := 1 + len(arrangement)/9; len(got.Source) != want {
			t.Errorf("%s: %d sources, want %d", arrangement, len(got.Source), want)
		}
		for _, one := range got.Source {
			power := make([]float64, len(p.Inputs.Power))
			p.Timeline.Power(0, power)
			near(t, "power without a speed", power[one.Source], 0, 0)
		}
	}
}

// Fans and a pump in one ring may both follow; the curve of either is over its own rated
// speed, and rises are followed over the room.
func TestFollowing(t *testing.T) {
	rises := spec.Control{Rises: []spec.RiseSpeed{{Rise: spec.Some(5), Speed: spec.Speed{Share: spec.Some(0.3)}}, {Rise: spec.Some(20), Speed: spec.Speed{Share: spec.Some(1)}}}}
	s := bare()
	steered(rises)(s)
	pump := s.Loops[0].Parts[0].Pump
	pump.Rated, pump.Control = spec.Some(80), sampledBy(1, speeds(30, 2000, 45, 4000))
	pump.Control.Follow = "hottest die"
	p, err := assemble.Build(s.Named())
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Controlled) != 2 {
		t.Fatalf("%d things are controlled", len(p.Controlled))
	}
	for _, c := range p.Controlled {
		switch {
		case c.Pump:
			if len(c.Follow) != 1 || len(c.Follow[0]) != 1 || c.Follow[0][0].Node != p.Chips[0].Die || c.Sampled == nil {
				t.Errorf("the pump follows %+v", c.Follow)
			}
			y, _ := c.Law(60 + zeroCelsius)
			near(t, "the pump's greatest speed", y, 4000/60.0/80, 1e-12)
		default:
			if len(c.Follow) != 1 || len(c.Follow[0]) != 2 || c.Follow[0][0].Node != p.Loops[0].Outlet || c.Follow[0][1].Weight != -1 || c.Sampled != nil {
				t.Errorf("the fans follow %+v", c.Follow)
			}
			y, _ := c.Law(12.5)
			near(t, "the fans' speed at a rise", y, 0.65, 1e-12)
		}
	}
}

// Without a control nothing is controlled, and the air and the flow of a machine whose
// curve is flat are those of one at that speed, but for the millionth by which its range is
// kept open.
func TestAFlatCurveIsASpeed(t *testing.T) {
	fixed := bare()
	core(func(r *spec.Radiator) { r.Fans.Rated, r.Fans.Speed = spec.Some(25), turns(900) })(fixed)
	a, err := assemble.Build(fixed.Named())
	if err != nil {
		t.Fatal(err)
	}
	b, c := controlledBy(t, steered(speeds(30, 900, 42, 900)))
	if len(a.Controlled) != 0 {
		t.Errorf("%d things are controlled", len(a.Controlled))
	}
	near(t, "airflow", b.Air[0].Airflow, a.Air[0].Airflow, 5e-6*a.Air[0].Airflow)
	near(t, "conductance", b.Air[0].Conductance, a.Air[0].Conductance, 5e-6*a.Air[0].Conductance)
	y, _ := c.Law(36 + zeroCelsius)
	near(t, "speed", y, 0.6, 1e-5)
}
