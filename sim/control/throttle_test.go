package control_test

import (
	"math"
	"testing"

	"soakledger/sim/control"
)

// die is a first-order plant at a constant power between switches: tau T' =
// Ta + R P - T.
type die struct{ temperature, ambient, resistance, tau float64 }

// after returns its temperature a time later at a power.
func (d die) after(power, dt float64) float64 {
	end := d.ambient + d.resistance*power
	return end + (d.temperature-end)*math.Exp(-dt/d.tau)
}

// until finds, by bisection over a minute, when a crossing is met.
func (d die) until(power float64, c control.Crossing) float64 {
	low, high := 0.0, 60.0
	for range 200 {
		if mid := (low + high) / 2; c.Met(d.after(power, mid)) {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}

// The plant and the state machine reproduce the period of a two-level throttle:
// t_heat = tau ln[(Ta + R Ph - Tl) / (Ta + R Ph - Th)], t_cool = tau ln[(Th - Ta -
// R Pl) / (Tl - Ta - R Pl)]. Check values computed from these by an independent
// program and printed to six decimals.
func TestThrottlePeriod(t *testing.T) {
	const high, low = 320.0, 200.0
	for name, th := range map[string]control.Throttle{
		"to a power": {At: 273.15 + 95, Release: 273.15 + 90, To: low},
		"to a share": {At: 273.15 + 95, Release: 273.15 + 90, To: low / high, Share: true},
	} {
		t.Run(name, func(t *testing.T) {
			d := die{temperature: 273.15 + 25, ambient: 273.15 + 25, resistance: 0.25, tau: 20}
			on := false
			var heat, cool float64
			for range 7 { // heat up, then three whole cycles
				power := th.Power(on, high)
				dt := d.until(power, th.Crossing(on))
				d.temperature = d.after(power, dt)
				next := th.Next(on, d.temperature)
				if next == on {
					t.Fatalf("it does not switch at %v K", d.temperature)
				}
				if again := th.Next(next, d.temperature); again != next {
					t.Fatalf("it switches back at once at %v K", d.temperature)
				}
				if on {
					cool = dt
				} else {
					heat = dt
				}
				on = next
			}
			near(t, "time of heating", heat, 8.109302, 5e-7)
			near(t, "time of cooling", cool, 5.753641, 5e-7)
			duty := heat / (heat + cool)
			near(t, "duty", duty, 0.584963, 5e-7)
			near(t, "mean power", duty*high+(1-duty)*low, 270.1955, 5e-5)
		})
	}
}

func TestThrottleSwitches(t *testing.T) {
	th := control.Throttle{At: 368, Release: 363, To: 100}
	on := false
	for i, x := range []struct {
		die float64
		on  bool
	}{{360, false}, {367.9, false}, {368, true}, {367, true}, {363.1, true}, {363, false}, {367.9, false}, {380, true}, {300, false}} {
		if on = th.Next(on, x.die); on != x.on {
			t.Errorf("step %d at %v K: on %v, want %v", i, x.die, on, x.on)
		}
	}
	if p := th.Power(true, 60); p != 60 {
		t.Errorf("a throttle to 100 W raises 60 W to %v W", p)
	}
}

func TestShutdownLatches(t *testing.T) {
	s := control.Shutdown{At: 378}
	down := false
	for i, x := range []struct {
		die  float64
		down bool
	}{{377.9, false}, {378, true}, {300, true}, {400, true}} {
		if _, waits := s.Crossing(down); waits == down {
			t.Errorf("step %d: off %v and waiting for a crossing %v", i, down, waits)
		}
		if down = s.Next(down, x.die); down != x.down {
			t.Errorf("step %d at %v K: off %v", i, x.die, down)
		}
	}
	if on, off := s.Power(false, 90), s.Power(true, 90); on != 90 || off != 0 {
		t.Errorf("90 W become %v W on and %v W off", on, off)
	}
}

func TestThrottleRefuses(t *testing.T) {
	nan := math.NaN()
	for _, th := range []control.Throttle{
		{At: 368, Release: 368}, {At: 368, Release: 370}, {At: 0}, {At: nan, Release: 1}, {At: 368, Release: nan},
		{At: 368, Release: 363, To: -1}, {At: 368, Release: 363, To: 1.5, Share: true}, {At: 368, Release: 363, To: nan},
	} {
		if th.Check() == nil {
			t.Errorf("%+v is accepted", th)
		}
	}
	if err := (control.Throttle{At: 368, Release: 363, To: 150}).Check(); err != nil {
		t.Error(err)
	}
	if (control.Shutdown{}).Check() == nil || (control.Shutdown{At: nan}).Check() == nil {
		t.Error("a shutdown at nothing is accepted")
	}
	if err := (control.Shutdown{At: 390}).Check(); err != nil {
		t.Error(err)
	}
}
