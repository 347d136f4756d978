package sim_test

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim"
	"soakledger/sim/assemble"
	"soakledger/sim/network"
	"soakledger/sim/spec"
)

// total is all energy released in a run, J.
func total(r *sim.Result) float64 { return network.Total(r.Ledger.In) }

// trapezium adds up a column of one row every interval, held from row to row or, if
// not, along straight lines.
func trapezium(column []float64, every float64, held bool) float64 {
	sum := 0.0
	for i, v := range column[1:] {
		if held {
			v = column[i]
		}
		sum += every * (column[i] + v) / 2
	}
	return sum
}

// What controlled fans draw is in the ledger: over the run the sum of the power column
// is the entry of the fans, exactly where samples fall on rows.
func TestEnergyOfControlledFans(t *testing.T) {
	for _, c := range []struct {
		control spec.Control
		within  float64
	}{{every(2, straight("coolant")), 1e-12}, {straight("coolant"), 2e-4}} {
		s := fanned(200, c.control)
		onOff(s, 500, 400, forever)
		r := run(t, s)
		x := columns(t, r, "front_fans_power_w", "cpu_power_w", "energy_in_j", "pump_power_w")
		want := trapezium(x[0], 1, c.control.Period.Set)
		near(t, "energy of the fans", released(t, r, "front_fans"), want, c.within*want)
		near(t, "energy of the chip", released(t, r, "cpu"), 2000*200+1600*15, 1e-12*4e5)
		near(t, "energy of the trace", x[2][len(x[2])-1], total(r), 1e-12*total(r))
		near(t, "ledger", r.Ledger.Relative(), 0, 1e-12)
		if want < 1000 || x[0][400] == x[0][800] {
			t.Errorf("the fans draw %g J: nothing was tested", want)
		}
	}
}

// Under a ramp the power of a phase counts the fans as that of a steady one does.
func TestPowerOfAPhaseCountsFans(t *testing.T) {
	made := func(work []spec.Step) float64 {
		s := fanned(200, every(2, straight("coolant")))
		s.Work, s.Chips[0].Work = []spec.Work{{Name: "w", Steps: work}}, "w"
		s.Duration = spec.Some(100)
		return run(t, s).Phases[0].Power
	}
	fans := 4 * math.Pow(500.0/1500, 3)
	near(t, "of a level", made([]spec.Step{level(100, 200)}), 200+8+fans, 1e-9)
	near(t, "of a ramp", made([]spec.Step{ramp(100, 100, 300)}), 200+8+fans, 1e-9)
}

// Two runs of one machine are the same to the bit, its frames too, whatever is
// controlled.
func TestControlledRunsRepeat(t *testing.T) {
	for _, c := range []spec.Control{straight("cpu.die"), every(2, straight("cpu.die")), {Target: spec.Some(34 + zeroCelsius), Period: spec.Some(1)}} {
		var frames [2]any
		for i := range frames {
			s := fanned(200, c)
			onOff(s, 45, 30, forever)
			s.Duration = spec.Some(900)
			f, err := run(t, s).Frames()
			if err != nil {
				t.Fatal(err)
			}
			frames[i] = f
		}
		if !reflect.DeepEqual(frames[0], frames[1]) {
			t.Errorf("%+v: two runs differ", c)
		}
	}
}

// Under bursts a curve on the die drives the fans up and down all the time, where one on
// the coolant of the same range of speeds moves them little, and not at all behind usual
// hysteresis.
func TestDieCurveIsRestless(t *testing.T) {
	var travel, changes [2][2]float64
	for i, c := range []spec.Control{curve("cpu.die", 30, 500, 70, 1500), curve("coolant", 25, 500, 45, 1500)} {
		for k, hysteresis := range []float64{0, 1} {
			c = every(1, c)
			c.HysteresisUp, c.HysteresisDown = spec.Some(hysteresis), spec.Some(2*hysteresis)
			s := fanned(200, c)
			onOff(s, 30, 30, forever)
			r := run(t, s)
			rpm := columns(t, r, "front_fan_rpm")[0]
			for row := 1200; row < len(rpm)-1; row++ { // once the loop is warm
				if rpm[row] != rpm[row-1] {
					changes[i][k]++
					travel[i][k] += math.Abs(rpm[row] - rpm[row-1])
				}
			}
			if k == 1 && r.Speeds[0].Verdict.Hunts != (i == 0) {
				t.Errorf("curve %d: %+v", i, r.Speeds[0].Verdict)
			}
		}
	}
	if travel[0][0] < 5*travel[1][0] || changes[0][0] < 2*changes[1][0] || changes[1][1] > 0.01*changes[0][1] || changes[0][1] < 400 {
		t.Errorf("die and coolant, without and with hysteresis: %v rpm in all, %v changes", travel, changes)
	}
}

// Property: whatever is controlled, and how, a scenario is sound, its ledger closes,
// and speeds stay within what the curve asks for, but for standing.
func TestDrawnControlsClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, ranges := drawControlled(t)
		if problems := spec.Check(s); problems != nil {
			t.Fatalf("not sound: %v", problems)
		}
		r, err := attempt(startable(s), sim.Settings{})
		if err != nil {
			t.Fatal(err)
		}
		in, out, stored := r.Totals()
		if moved := in + math.Abs(out) + math.Abs(stored); moved > 1000 && !(r.Ledger.Relative() < 1e-9) {
			t.Fatalf("the ledger leaves %g of %g J", r.Ledger.Relative(), moved)
		}
		finite(t, r)
		for name, bounds := range ranges {
			for row, rpm := range r.Trace.Floats(r.Trace.Col(name)) {
				if rpm != 0 && (rpm < bounds[0]-1e-9 || rpm > bounds[1]+1e-9) {
					t.Fatalf("%s is %g in row %d, the curve goes from %g to %g", name, rpm, row, bounds[0], bounds[1])
				}
			}
		}
	})
}

// startable returns a drawn machine, which starts at ambient where the level that it was
// to start from lies beyond the model: with fans that never start, for instance.
func startable(s *spec.Scenario) *spec.Scenario {
	_, err := sim.New(s.Named(), sim.Settings{NoTrace: true})
	if all := (assemble.Problems{}); errors.As(err, &all) && all[0].Path == "start" {
		s.Start.Rule = "ambient"
	}
	return s
}

// drawControlled draws a machine with controlled fans on its radiators, now and then
// a controlled pump and controlled fans of a case, and the ranges of their curves by
// the columns of their speeds, rpm.
func drawControlled(t *rapid.T) (*spec.Scenario, map[string][2]float64) {
	d := steerer{drawer: drawer{t}}
	s := base(d.number("ambient", 15, 30))
	s.Chips = []spec.Chip{{Name: "cpu", Power: watts(d.number("power", 20, 250)), Work: "w1"}}
	s.Work = []spec.Work{d.work("w1")}
	ranges := map[string][2]float64{}
	if d.flip("case") {
		fan := spec.Fan{Name: "rear", Moves: "out", Rated: spec.Some(1500.0 / 60)}
		fan.Curve, ranges["rear_fan_rpm"] = d.control()
		s.Case = &spec.Case{Fans: []spec.Fan{fan}}
	}
	driver := pump("pump", d.number("flow", 1, 4))
	if d.flip("controlled pump") {
		driver.Pump, driver.Power = &spec.Pump{Rated: spec.Some(25)}, watts(10)
		driver.Pump.Control, ranges["pump_pump_rpm"] = d.curve(rapid.SampledFrom([]float64{0, 1, 7.7}).Draw(t, "period of the pump")) // a pump that stands below a target boils its block
	}
	parts := []spec.Part{driver, tube("tube", 0.4), cooling("cpu")}
	for i := range rapid.IntRange(1, 2).Draw(t, "radiators") {
		p := sized(fmt.Sprintf("rad%d", i), 240, 0)
		p.Radiator.Fans = spec.Fans{Rated: spec.Some(25), Power: spec.Some(d.number("fan power", 0, 5))}
		p.Radiator.Fans.Curve, ranges[p.Name+"_fan_rpm"] = d.control()
		parts = append(parts, p)
	}
	s.Loops = []spec.Loop{{Name: "main", Parts: append(parts, reservoir("res", 150))}}
	s.Duration = spec.Some(d.number("duration", 5, 900))
	if !d.held { // of several that each hold a target there may be no level
		s.Start.Rule = rapid.SampledFrom([]string{"", "idle", "level"}).Draw(t, "start")
	}
	return s.Named(), ranges
}

// steerer draws controls, and remembers whether one holds a target.
type steerer struct {
	drawer
	held bool
}

// control is any, over a rated speed of 1500 rpm, with the range of its speeds, rpm.
func (d *steerer) control() (spec.Control, [2]float64) {
	period := rapid.SampledFrom([]float64{0, 0.3, 1, 2, 7.7}).Draw(d.t, "period")
	if period > 0 && d.flip("target") {
		d.held = true
		return spec.Control{Target: spec.Some(d.number("target", 25, 50) + zeroCelsius), Period: spec.Some(period)}, [2]float64{0, 1500}
	}
	return d.curve(period)
}

// curve is one of any kind, sampled by a period (s) or, of 0, continuous.
func (d *steerer) curve(period float64) (spec.Control, [2]float64) {
	low := d.number("slow", 300, 1000)
	high := low + d.number("more", 1, 500)
	from := d.number("from", 20, 40)
	c := curve(d.word("follow", "coolant", "cpu.die", "hottest die"), from, low, from+d.number("wide", 2, 30), high)
	if period == 0 {
		return c, [2]float64{low, high}
	}
	c = every(period, c)
	c.HysteresisUp, c.HysteresisDown = spec.Some(d.number("up", 0, 2)), spec.Some(d.number("down", 0, 3))
	c.HoldUp, c.HoldDown = spec.Some(d.number("hold up", 0, 10)), spec.Some(d.number("hold down", 0, 10))
	if d.flip("slew") {
		c.SlewUp, c.SlewDown = spec.Some(d.number("slew up", 0.1, 10)), spec.Some(d.number("slew down", 0.1, 10))
	}
	if d.flip("standing") {
		c.OffBelow = spec.Some(from + 1 + zeroCelsius)
		c.OnAbove = spec.Some(from + 1 + d.number("band", 0.1, 3) + zeroCelsius)
	}
	c.Average = spec.Some(d.number("average", 0, 20*period))
	c.Sensor = spec.Sensor{Lag: spec.Some(d.number("lag", 0, 10)), Resolution: spec.Some(d.number("sensor step", 0, 1))}
	return c, [2]float64{low, high}
}
