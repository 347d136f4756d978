package sim_test

import (
	"fmt"
	"math"
	"testing"

	"soakledger/sim"
	"soakledger/sim/spec"
)

// At the level of a continuous curve the fans turn as the curve says there, a machine
// whose fans are fixed at that speed has the same level, and a run arrives there.
func TestLevelOfACurve(t *testing.T) {
	for _, c := range []struct {
		follow, node string
		control      spec.Control
		speed        func(x float64) float64 // rpm at degC
	}{
		{"coolant", "res.coolant", straight("coolant"), func(x float64) float64 { return 500 + 1000*(x-25)/15 }},
		{"die", "cpu.die", curve("cpu.die", 40, 500, 90, 1500), func(x float64) float64 { return 500 + 1000*(x-40)/50 }},
	} {
		s := fanned(200, c.control)
		s.Duration = spec.Some(7200)
		l := leads(t, s)
		rpm := l.Plan.Network.Speed(l.Plan.Controlled[0].Drive) * ratedFan
		near(t, c.follow+": speed at the level", rpm, c.speed(l.of(c.node)-zeroCelsius), 1e-6)
		if rpm < 600 || rpm > 1400 {
			t.Errorf("%s: %g rpm are near an end of the curve", c.follow, rpm)
		}
		fixed := fanned(200, spec.Control{})
		front(fixed).Fans.Speed = turns(rpm)
		f := leads(t, fixed)
		for _, node := range l.Plan.Nodes { // between the knots of speed a blend stands for the core
			near(t, c.follow+": level of "+node.Path+" beside fixed fans", l.Of(node).Value, f.of(node.Path), 3e-3)
		}
		r := run(t, loose(s, 1e-5))
		last := columns(t, r, "coolant_c", "front_fan_rpm", "front_fans_power_w")
		end := len(last[0]) - 1
		near(t, c.follow+": end of the run", last[0][end]+zeroCelsius, l.of("res.coolant"), 2e-4)
		near(t, c.follow+": last speed", last[1][end], rpm, 0.02)
		near(t, c.follow+": last speed of the result", 60*r.Speeds[0].Last, last[1][end], 1e-9)
		near(t, c.follow+": last power", last[2][end], 4*math.Pow(rpm/ratedFan, 3), 2e-3)
		near(t, c.follow+": level of the phase", r.Phases[0].Level.Value, l.of("res.coolant"), 1e-6)
	}
}

// A run that starts at its level stays there, whatever steers it: samples within what a
// step of their output moves.
func TestStartAtTheLevelOfACurve(t *testing.T) {
	fine := every(2, straight("coolant"))
	fine.Resolution = spec.Some(0)
	target := spec.Control{Target: spec.Some(34 + zeroCelsius), Period: spec.Some(2), Resolution: spec.Some(0)}
	for _, c := range []struct {
		what   string
		c      spec.Control
		within float64 // K
	}{{"continuous", straight("coolant"), 1e-3}, {"sampled", fine, 1e-3}, {"by 1 %", every(2, straight("coolant")), 0.1}, {"to a target", target, 0.06}} {
		s := fanned(200, c.c)
		s.Start.Rule, s.Duration = "level", spec.Some(3600)
		x := columns(t, run(t, s), "coolant_c")[0]
		for _, got := range x {
			if math.Abs(got-x[0]) > c.within {
				t.Fatalf("%s: the coolant goes from %g to %g degC", c.what, x[0], got)
			}
		}
	}
}

// The error of a machine on a continuous curve falls with the tolerance, its fans'
// power counted with it.
func TestErrorOfACurveFallsWithTheTolerance(t *testing.T) {
	made := func(tolerance float64) *sim.Result {
		s := fanned(200, straight("coolant"))
		onOff(s, 1500, 900, forever)
		return run(t, loose(s, tolerance))
	}
	exact := made(1e-8)
	before := math.Inf(1)
	for _, c := range []struct{ tolerance, most float64 }{{2e-4, 1e-3}, {1e-5, 3e-4}, {1e-6, 1e-4}} {
		got := largestError(t, made(c.tolerance).Trace, exact.Trace)
		if got > c.most || got > before {
			t.Errorf("at %g K the error is %g K, after %g K", c.tolerance, got, before)
		}
		before = got
	}
}

// In the trace of a continuous curve the speed is that of the curve at every row, and
// the power of the fans follows the cube of the speed.
func TestCurveInTheTrace(t *testing.T) {
	s := fanned(200, straight("coolant"))
	onOff(s, 600, 600, forever)
	x := columns(t, run(t, loose(s, 1e-5)), "coolant_c", "front_fan_rpm", "front_fans_power_w")
	for row, rpm := range x[1] {
		want := math.Max(500, 500+1000*(x[0][row]-25)/15)
		smooth := 500.0 / 15 / 8 * 2 // rpm, what rounding the kink over 0.5 K may move
		near(t, fmt.Sprintf("speed after %d s", row), rpm, want, smooth)
		if math.Abs(x[0][row]-25) > 0.25 {
			near(t, fmt.Sprintf("speed after %d s", row), rpm, want, 1e-9)
		}
		near(t, fmt.Sprintf("power after %d s", row), x[2][row], 4*math.Pow(rpm/ratedFan, 3), 0.03)
	}
}

// A curve over rises follows the coolant less the room, continuous or sampled, while the
// room warms along a schedule.
func TestRisesWithAWarmingRoom(t *testing.T) {
	for _, period := range []float64{0, 2} {
		var c spec.Control
		for _, p := range [][2]float64{{2, 450}, {22, 1450}} {
			c.Rises = append(c.Rises, spec.RiseSpeed{Rise: spec.Some(p[0]), Speed: turns(p[1])})
		}
		if period > 0 {
			c = every(period, c)
			c.Resolution = spec.Some(0)
		}
		s := fanned(200, c)
		s.Ambient.Temperature = spec.Number{}
		s.Ambient.Schedule = []spec.TimeTemperature{
			{Time: spec.Some(0), Temperature: spec.Some(22 + zeroCelsius)}, {Time: spec.Some(1200), Temperature: spec.Some(22 + zeroCelsius)},
			{Time: spec.Some(3000), Temperature: spec.Some(32 + zeroCelsius)},
		}
		x := columns(t, run(t, s), "coolant_c", "ambient_c", "front_fan_rpm")
		for row := range x[2][:3600] {
			seen := row
			if period > 0 {
				seen = row / 2 * 2
			}
			rise := x[0][seen] - x[1][seen]
			if math.Abs(rise-2) > 0.25 {
				near(t, fmt.Sprintf("period %g s: speed after %d s", period, row), x[2][row], 450+math.Max(0, 50*(rise-2)), 1e-8)
			}
		}
		near(t, "the room at the end", x[1][3599], 32, 1e-9)
		if slower := x[2][3599] - x[2][1199]; math.Abs(slower) > 60 {
			t.Errorf("period %g s: a room 10 K warmer moves the fans by %g rpm", period, slower)
		}
	}
}

// The hottest of two dies is followed, as they take turns.
func TestHottestDie(t *testing.T) {
	for _, period := range []float64{0, 1} {
		c := curve("hottest die", 30, 400, 80, 1400)
		if period > 0 {
			c = every(period, c)
			c.Resolution = spec.Some(0)
		}
		s := fanned(120, c)
		s.Chips = append(s.Chips, spec.Chip{Name: "gpu", Power: watts(150)})
		parts := s.Loops[0].Parts
		s.Loops[0].Parts = append(parts[:3:3], append([]spec.Part{blockOn("block_2", "gpu", 200)}, parts[3:]...)...)
		s.Work = []spec.Work{
			{Name: "a", On: spec.Some(200), Off: spec.Some(200), Repeat: forever},
			{Name: "b", Steps: []spec.Step{{For: spec.Some(200), Power: share(0.05)}, {For: spec.Some(200), Power: share(1)}}, Repeat: forever},
		}
		s.Chips[0].Work, s.Chips[1].Work = "a", "b"
		x := columns(t, run(t, s), "cpu_die_c", "gpu_die_c", "front_fan_rpm")
		first := 0
		for row, rpm := range x[2][:3600] {
			if x[0][row] > x[1][row] {
				first++
			}
			hottest := math.Max(x[0][row], x[1][row])
			if hottest > 30.25 {
				near(t, fmt.Sprintf("period %g s: speed after %d s", period, row), rpm, 400+20*(hottest-30), 1e-8)
			}
		}
		if first < 600 || first > 3000 {
			t.Errorf("the first die is the hotter one for %d of 3600 s: nothing was tested", first)
		}
	}
}

// A pump follows too: its speed is that of its curve, the flow rises with it, and its
// power lies between its floor and what it draws at the rated speed.
func TestPumpFollows(t *testing.T) {
	for _, period := range []float64{0, 2} {
		c := curve("coolant", 25, 1500, 40, 4500)
		if period > 0 {
			c = every(period, c)
		}
		s := fanned(200, spec.Control{})
		front(s).Fans.Speed = turns(900)
		p := &s.Loops[0].Parts[0]
		p.Pump, p.Power = &spec.Pump{Head: spec.Some(3.6 * 9806.65), FreeFlow: spec.Some(900.0 / 3.6e6), Rated: spec.Some(80), Control: c}, watts(16)
		onOff(s, 1200, 1200, forever)
		r := run(t, s)
		x := columns(t, r, "coolant_c", "pump_pump_rpm", "flow_l_min", "pump_power_w")
		low, high := math.Inf(1), 0.0
		for row, rpm := range x[1][:3600] {
			if period == 0 && math.Abs(x[0][row]-25) > 0.25 {
				near(t, fmt.Sprintf("speed after %d s", row), rpm, math.Max(1500, 1500+200*(x[0][row]-25)), 1e-8)
			}
			low, high = math.Min(low, x[2][row]), math.Max(high, x[2][row])
			if x[3][row] < 0 || x[3][row] > 16 || rpm < 1500-1e-9 || rpm > 4500 {
				t.Fatalf("%g W at %g rpm", x[3][row], rpm)
			}
		}
		if high < 1.5*low || low < 0.5 {
			t.Errorf("period %g s: the flow goes from %g to %g L/min", period, low, high)
		}
	}
}
