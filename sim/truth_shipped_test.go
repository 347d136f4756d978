package sim_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/spec"
)

// Every test of this file holds a shipped scenario to what its title promises. What is
// compared with is the same file with values set, as its comment shows, or the same
// scenario with other work.

// shipped reads a scenario that comes with the program and sets values in it.
func shipped(t *testing.T, name string, set ...string) *spec.Scenario {
	t.Helper()
	doc, err := scenarios.Load(name)
	if err != nil {
		t.Fatal(err)
	}
	if doc, err = doc.Set(set...); err != nil {
		t.Fatal(err)
	}
	return doc.Scenario
}

// highest returns the largest value of a column.
func highest(t *testing.T, r *sim.Result, column string) float64 {
	t.Helper()
	return slices.Max(columns(t, r, column)[0])
}

// mean returns the mean of rows from one to before another.
func mean(column []float64, from, to int) float64 {
	sum := 0.0
	for _, x := range column[from:to] {
		sum += x
	}
	return sum / float64(to-from)
}

// rise returns by how much the level of the first phase is over the room's, K.
func rise(r *sim.Result) float64 {
	return r.Phases[0].Level.Value - r.Plan.Scenario.Ambient.Temperature.Value
}

// between checks a value against bounds of its own.
func between(t *testing.T, what string, got, low, high float64) {
	t.Helper()
	if !(got >= low && got <= high) {
		t.Errorf("%s is %.6g, want %g to %g", what, got, low, high)
	}
}

// A render of 40 min soaks the office machine to within what it says is left, and 40 min
// of idle bring it back.
func TestShippedRenderSoaksAndCools(t *testing.T) {
	r := run(t, shipped(t, "office_render"))
	render, idle := r.Phases[0], r.Phases[1]
	near(t, "end of the render", render.End, render.Level.Value, 0.01)
	near(t, "end of the idle", idle.End, idle.Level.Value, 0.01)
	between(t, "swing, K", render.End-idle.End, 5, 15)
	between(t, "within 0.5 K of the level after, s", render.Within[1].Value, 300, 900)
}

// An evening of matches comes nearer to the level of a round than a render of the same
// mean power does, and never over it; a break lets the next round begin cooler. Both
// release the same energy.
func TestShippedEvening(t *testing.T) {
	matches := shipped(t, "evening")
	render := matches.Clone()
	for i := range render.Chips {
		name := render.Chips[i].Name + "_render"
		render.Work = append(render.Work, spec.Work{Name: name, MeanOf: render.Chips[i].Work})
		render.Chips[i].Work = name
	}
	a, b := run(t, matches), run(t, render)
	near(t, "energy beside that of the render", total(a), total(b), 1e-12*total(b))
	var rounds []int
	for i, p := range a.Phases {
		if p.To-p.From == 18*60 {
			rounds = append(rounds, i)
		}
	}
	if len(rounds) != 8 {
		t.Fatalf("%d rounds of 18 min", len(rounds))
	}
	level := a.Phases[rounds[0]].Level.Value - zeroCelsius
	matched, rendered := highest(t, a, "coolant_c"), highest(t, b, "coolant_c")
	if !(rendered+1 < matched && matched < level) {
		t.Errorf("coolant at most %g degC in the evening, %g degC in the render, with %g degC as the level of a round", matched, rendered, level)
	}
	begins := func(round int) float64 { return a.Phases[rounds[round]].Begin }
	if !(begins(4) < begins(3)-1) {
		t.Errorf("after the break a round begins at %g K, the one before it at %g K", begins(4), begins(3))
	}
}

// Bursts and a render of one mean power have one mean temperature, of coolant and die.
// The bursts' coolant peaks by little more, their die by much more, since a burst has
// more power than the mean. As one long render of the power of a burst, with the mean it
// had, the coolant peaks higher than under bursts, and the die too: its power is the same.
func TestShippedSameMean(t *testing.T) {
	r := run(t, shipped(t, "same_mean"))
	near(t, "energy of the bursts", released(t, r, "bursty"), released(t, r, "steady"), 1e-12*released(t, r, "steady"))
	near(t, "energy by hand", released(t, r, "bursty"), 20*60*330, 1e-12*20*60*330)
	x := columns(t, r, "one_reservoir_coolant_c", "two_reservoir_coolant_c", "steady_die_c", "bursty_die_c")
	last := len(x[0]) - 1
	near(t, "mean of the coolant", mean(x[1], last-60, last), mean(x[0], last-60, last), 0.01)
	near(t, "mean of the die", mean(x[3], last-60, last), mean(x[2], last-60, last), 0.02)
	over := func(of int) float64 { return slices.Max(x[of]) - slices.Max(x[of-1]) }
	between(t, "coolant's peak over the render's, K", over(1), 0.2, 1.5)
	between(t, "die's peak over the render's, K", over(3), 5, 15)

	long := run(t, shipped(t, "same_mean", "bursts.on=20 min", "bursts.off=20 min", "bursts.repeat=1"))
	near(t, "energy of one long render", released(t, long, "bursty"), released(t, r, "bursty"), 1e-12*released(t, r, "bursty"))
	between(t, "coolant's peak of one long render over that of bursts, K", highest(t, long, "two_reservoir_coolant_c")-slices.Max(x[1]), 2, 10)
	between(t, "die's peak of one long render over that of bursts, K", highest(t, long, "bursty_die_c")-slices.Max(x[3]), 2, 10)
}

// A boost of 10 s is over before its limit is met, one of 60 s is cut when the average
// meets the long limit: t = tau ln((P2-P0)/(P2-P1)), 33.5 s with 56 s, 16.8 s with 28 s;
// the die follows a boost, the coolant hardly does.
func TestShippedShortBoosts(t *testing.T) {
	for _, c := range []struct{ tau, told float64 }{{56, 33.5}, {28, 16.8}} {
		r := run(t, shipped(t, "short_boost", fmt.Sprintf("cpu.limits[0].time=%g s", c.tau)))
		want := c.tau * math.Log((253.0-20)/(253-125))
		near(t, "what is told", want, c.told, 0.05)
		if len(r.Events) != 2 || r.Events[0].Kind != "limit" {
			t.Fatalf("events %v", r.Events)
		}
		// The average begins at 0 W, and of the boost before something is left of it: of that of
		// 10 s, and of the 125 W at which the one of 60 s was cut.
		decay := func(s float64) float64 { return math.Exp(-s / c.tau) }
		before := []float64{20 - 20*decay(610) + 233*(1-decay(10))*decay(300), 20 + 105*decay(300)}
		for i, from := range []float64{610, 970} {
			near(t, "boost from 20 W", r.Events[i].Time-from, want, 0.4)
			near(t, "boost", r.Events[i].Time-from, c.tau*math.Log((253-before[i])/(253-125)), 1e-9)
		}
		x := columns(t, r, "cpu_power_w", "cpu_die_c", "coolant_c")
		near(t, "power within 10 s", slices.Min(x[0][300:310]), 253, 0)
		near(t, "power after the cut", x[0][650], 125, 0)
		between(t, "die in 10 s, K", x[1][310]-x[1][300], 20, 60)
		between(t, "coolant in 10 s, K", x[2][310]-x[2][300], 0, 0.5)
	}
}

// Half of the coolant in the same two reservoirs: the same level but for what their walls
// give off, a shorter time constant by what is missing of the heat capacity.
func TestShippedDoubleReservoir(t *testing.T) {
	double, single := run(t, shipped(t, "double_reservoir")), run(t, shipped(t, "double_reservoir", "first.volume=225 mL", "second.volume=225 mL"))
	near(t, "level", double.Phases[0].Level.Value, single.Phases[0].Level.Value, 0.1)
	capacity := func(r *sim.Result) (sum float64) {
		for _, n := range r.Plan.Nodes {
			sum += r.Plan.Network.Capacity(n.Lump, 305)
		}
		return sum
	}
	more := capacity(double) / capacity(single)
	between(t, "heat capacity over that of half the coolant", more, 1.2, 1.4)
	for k := range 3 {
		near(t, fmt.Sprintf("time of response %d over that of half the coolant", k), double.Phases[0].Response[k].Value/single.Phases[0].Response[k].Value, more, 0.02)
	}
	near(t, "slowest time constant over that of half the coolant", double.Modes[0].Tau/single.Modes[0].Tau, more, 0.02)
}

// In the small case the radiator that blows out has warmer coolant, by what the case's
// air is warmer than the room; the one that draws in leaves the case warmer than it
// would be under the same heat with the air that the other draws through it.
func TestShippedIntakeAgainstExhaust(t *testing.T) {
	in, out := run(t, shipped(t, "small_case_intake")), run(t, shipped(t, "small_case_exhaust"))
	between(t, "coolant of the exhaust over that of the intake, K", rise(out)-rise(in), 3, 12)
	for i, r := range []*sim.Result{in, out} {
		p := r.Phases[0]
		near(t, "parts of the rise", p.Parts[0].Level.Value+p.Parts[1].Level.Value+p.Parts[2].Level.Value, rise(r), 1e-6)
		near(t, "the loop's part", p.Parts[0].Level.Value, 7.5, 0.5) // the same radiator under the same air
		between(t, "the case's part, K", p.Parts[1].Level.Value, []float64{0, 5}[i], []float64{2, 12}[i])
	}
}

// Fans stand until the coolant is at 36 degC at a sample, and stand again when it is
// below 32 degC at one: none of it happens elsewhere.
func TestShippedZeroSpeed(t *testing.T) {
	s := shipped(t, "zero_rpm")
	s.Record.Every = spec.Some(2) // a row a sample
	x := columns(t, run(t, s), "time_s", "coolant_c", "top_fan_rpm")
	starts, stops := 0, 0
	for row := 1; row < len(x[0])-1; row++ {
		before, now := x[2][row-1], x[2][row]
		switch coolant := x[1][row]; {
		case before == 0 && now > 0:
			starts++
			if coolant < 36-1e-4 || x[1][row-1] >= 36 {
				t.Errorf("the fans start at %g s at %g degC", x[0][row], coolant)
			}
		case before > 0 && now == 0:
			stops++
			if coolant >= 32 || x[1][row-1] < 32-1e-4 {
				t.Errorf("the fans stop at %g s at %g degC", x[0][row], coolant)
			}
		case now > 0 && now < 499:
			t.Errorf("the fans turn at %g rpm, below their curve", now)
		}
	}
	if x[2][0] != 0 || starts != 1 || stops != 1 {
		t.Errorf("from %g rpm: %d starts and %d stops", x[2][0], starts, stops)
	}
}

// While the room goes from 22 to 32 degC in three hours the rise stays, the speed
// stays, and the coolant goes up by ten kelvin; the die by little less, since warm
// water is thin and its film the better for it.
func TestShippedHotAfternoon(t *testing.T) {
	r := run(t, shipped(t, "hot_afternoon"))
	x := columns(t, r, "ambient_c", "coolant_c", "cpu_die_c", "front_fan_rpm")
	cool, hot := 180, 1320 // rows of 10 s: 30 min, 220 min
	near(t, "the room", x[0][hot]-x[0][cool], 10, 1e-9)
	near(t, "the coolant", x[1][hot]-x[1][cool], 10, 0.3)
	between(t, "the die, K", x[2][hot]-x[2][cool], 9, 10)
	near(t, "the speed", x[3][hot]/x[3][cool], 1, 0.02)
	for row := cool; row <= hot; row++ {
		near(t, fmt.Sprintf("rise after %d s", 10*row), x[1][row]-x[0][row], x[1][cool]-x[0][cool], 0.3)
	}
	if x[3][cool] < 700 || x[3][cool] > 1400 {
		t.Errorf("%g rpm are near an end of the curve", x[3][cool])
	}
	fixed := shipped(t, "hot_afternoon")
	front(fixed).Fans.Curve, front(fixed).Fans.Speed = spec.Control{}, turns(x[3][cool])
	near(t, "the coolant beside that of fans held at this speed", x[1][cool], columns(t, run(t, fixed), "coolant_c")[0][cool], 0.01)
}

// The pump stops at full heat: the block and its chip warm at once and throttle within
// tens of seconds, while the coolant of radiator and reservoir falls to the room.
func TestShippedPumpStop(t *testing.T) {
	r := run(t, shipped(t, "pump_stop"))
	if len(r.Events) < 2 || r.Events[0].Time != 300 || r.Events[0].Kind != "fault" || r.Events[1].Kind != "throttle" {
		t.Fatalf("events %v", r.Events)
	}
	between(t, "throttles after, s", r.Events[1].Time-300, 10, 120)
	x := columns(t, r, "flow_l_min", "cpu_block_coolant_c", "front_coolant_4_c", "cpu_power_w")
	last := len(x[0]) - 1
	if x[0][299] < 1 || x[0][300] != 0 || x[0][last] != 0 {
		t.Errorf("the flow is %g, then %g, at the end %g L/min", x[0][299], x[0][300], x[0][last])
	}
	between(t, "the block's coolant warms by, K", x[1][last]-x[1][299], 30, 62)
	between(t, "the radiator's falls by, K", x[2][299]-x[2][last], 5, 12)
	near(t, "power of a chip that throttles", slices.Min(x[3]), 0.25*250, 1e-9)
}

// All fans stop: the loop warms as one capacity over what standing fans and walls leave,
// C dT/dt = P - G (T - Ta), which reaches 60 degC at (C/G) ln of what is left. G is all heat
// that leaves over the last minute, over the coolant's rise there.
func TestShippedFansStop(t *testing.T) {
	s := shipped(t, "fans_stop")
	s.Chips[0].Throttle = spec.Throttle{}
	r := run(t, s)
	x := columns(t, r, "coolant_c", "front_heat_w", "heat_out_j", "front_fan_rpm", "pump_power_w")
	near(t, "speed before the stop", x[3][299], 1000, 1e-9)
	near(t, "speed after the stop", x[3][300], 0, 0)
	capacity := 0.0
	for _, n := range r.Plan.Nodes {
		capacity += r.Plan.Network.Capacity(n.Lump, 320)
	}
	last := len(x[0]) - 1
	g := (x[2][last] - x[2][last-60]) / 60 / (x[0][last-30] - 23)
	end := (250+x[4][last])/g + 23
	want := capacity / g * math.Log((end-x[0][300])/(end-60))
	passes := slices.IndexFunc(x[0], func(c float64) bool { return c > 60 }) - 300
	near(t, "60 degC after the stop", float64(passes), want, 0.03*want)
	between(t, "time to 60 degC, s", float64(passes), 240, 900)                           // common practice, no source: some minutes, 6 to 10 of machines of like sizes
	between(t, "conductance of standing fans, W/K", x[1][last]/(x[0][last]-23), 1.5, 4.5) // three sections, 0.5 to 1.5 each
}

// Under bursts a curve on the die changes the fans' speed at least five times as often
// as one on the coolant, and hunts by several times as much.
func TestShippedDieCurveIsRestless(t *testing.T) {
	die, coolant := run(t, shipped(t, "curve_on_die")), run(t, shipped(t, "curve_on_coolant"))
	if a, b := die.Speeds[0].Verdict, coolant.Speeds[0].Verdict; a.Changes < 5*b.Changes || b.Changes == 0 || !a.Hunts {
		t.Errorf("%d changes by the die, %d by the coolant: %+v, %+v", a.Changes, b.Changes, a, b)
	}
	swing := func(r *sim.Result) float64 {
		rpm := columns(t, r, "front_fan_rpm")[0]
		late := rpm[len(rpm)-300:]
		return slices.Max(late) - slices.Min(late)
	}
	if a, b := swing(die), swing(coolant); a < 3*b {
		t.Errorf("the fans swing by %g rpm on the die, by %g rpm on the coolant", a, b)
	}
	near(t, "mean die", mean(columns(t, die, "gpu_die_c")[0], 3000, 3600), mean(columns(t, coolant, "gpu_die_c")[0], 3000, 3600), 2)
}

// The curves of the three thicknesses cross: slow fans favour the deep and open core,
// fast ones the medium one, and the slim one is before the medium one at the slowest.
func TestShippedThicknessesCross(t *testing.T) {
	order := func(rpm int) (slim, medium, deep float64) {
		var set []string
		for _, name := range []string{"slim", "medium", "deep"} {
			set = append(set, fmt.Sprintf("%s.fans.speed=%d rpm", name, rpm))
		}
		s := shipped(t, "three_thicknesses", set...)
		s.Start.Rule, s.Duration = "level", spec.Some(1)
		x := columns(t, run(t, s), "a_reservoir_coolant_c", "b_reservoir_coolant_c", "c_reservoir_coolant_c")
		return x[0][0], x[1][0], x[2][0]
	}
	before := math.Inf(1)
	for _, rpm := range []int{500, 750, 1000, 1300, 1850} {
		slim, medium, deep := order(rpm)
		t.Logf("%d rpm: slim %.2f, medium %.2f, deep %.2f degC", rpm, slim, medium, deep)
		if lead := medium - deep; lead > before {
			t.Errorf("at %d rpm the deep one leads the medium one by %g K, by %g K at slower fans", rpm, lead, before)
		} else {
			before = lead
		}
		switch rpm {
		case 500:
			if !(deep < slim && slim < medium) {
				t.Errorf("at %d rpm: %g, %g, %g degC", rpm, slim, medium, deep)
			}
		case 1850:
			if !(medium < deep && deep < slim) {
				t.Errorf("at %d rpm: %g, %g, %g degC", rpm, slim, medium, deep)
			}
		}
	}
}

// At 1500 m the pressure is 0.8345 of that at the sea (U.S. Standard Atmosphere 1976:
// 84 556 of 101 325 Pa), and so is the density of air of one temperature. The fans blow
// as much of it or less, since their pressure falls with the density and the viscous
// part of the core's does not, but not less by more than that: so the heat rate of the
// air lies between that ratio and its square. The radiator loses W/K, but no more than
// the air does, and the rise grows with it.
func TestShippedAltitude(t *testing.T) {
	const thin = 84556.0 / 101325
	high, sea := run(t, shipped(t, "altitude")), run(t, shipped(t, "altitude", "ambient.altitude=0 m"))
	of := func(r *sim.Result) (rate, conductance float64) {
		x := columns(t, r, "front_heat_w", "front_air_out_c", "tube_2_coolant_c")
		row := 2390
		return x[0][row] / (x[1][row] - 22), x[0][row] / (x[2][row] - 22)
	}
	rate, conductance := of(high)
	rateAtSea, conductanceAtSea := of(sea)
	between(t, "heat rate of the air over that at the sea", rate/rateAtSea, thin*thin, thin)
	between(t, "W/K over that at the sea", conductance/conductanceAtSea, rate/rateAtSea, 0.95)
	between(t, "rise over that at the sea", rise(high)/rise(sea), 1.05, 1/(thin*thin))
}

// More glycol means less flow and warmer dies; the level of the coolant after the
// radiators hardly moves. None at all is water.
func TestShippedGlycol(t *testing.T) {
	at := func(name string, set ...string) (flow, coolant float64, dies []float64) {
		r := run(t, shipped(t, name, set...))
		p := r.Phases[0]
		for i, n := range r.Plan.Watched() {
			if strings.HasSuffix(n.Path, ".die") {
				dies = append(dies, p.Nodes[i].Level.Value)
			}
		}
		return r.Flows[0] * 6e4, p.Level.Value, dies
	}
	flow, coolant, dies := at("workstation")
	if len(dies) != 2 {
		t.Fatalf("%d dies", len(dies))
	}
	for _, share := range []int{0, 30, 50} {
		q, c, d := at("workstation_glycol", fmt.Sprintf("coolant.volume_share=%d %%", share))
		t.Logf("%d %%: %.2f L/min, %.2f degC, dies %.1f degC", share, q, c-zeroCelsius, d[0]-zeroCelsius)
		near(t, fmt.Sprintf("coolant with %d %%", share), c, coolant, 0.7)
		if share == 0 {
			near(t, "flow without glycol", q, flow, 1e-9)
			near(t, "die without glycol", d[0], dies[0], 1e-6)
			continue
		}
		if !(q < 0.9*flow && d[0] > dies[0]+1 && d[1] > dies[1]+1) {
			t.Errorf("with %d %%: %g L/min after %g L/min, dies at %v K after %v K", share, q, flow, d, dies)
		}
		flow, dies = q, d
	}
}

// Eight hours of two cards: the energy of the day is that of its script; equal
// branches have equal dies; the loop's part is there within minutes, the room's takes
// hours and ends as its heat over its walls. With a window open the room's part is small.
func TestShippedTwoCards(t *testing.T) {
	closed, open := run(t, shipped(t, "two_cards")), run(t, shipped(t, "two_cards", "room.conductance=400 W/K"))
	want := 8*3600*300.0 + 3600*20
	near(t, "energy of a card", released(t, closed, "card_1"), want, 1e-12*want)
	near(t, "energy of the other", released(t, closed, "card_2"), want, 1e-12*want)
	near(t, "energy of its regulators", released(t, closed, "block_2"), 0.12*want, 1e-12*want)
	near(t, "one die beside the other", highest(t, closed, "card_1_die_c"), highest(t, closed, "card_2_die_c"), 0.05)
	for i, r := range []*sim.Result{closed, open} {
		p := r.Phases[0]
		near(t, "the room's part", p.Parts[2].Level.Value, p.Power/[]float64{60, 400}[i], 0.01*p.Power/60)
		between(t, "the loop's part, K", p.Parts[0].Level.Value, 11, 12.5)
		between(t, "the loop's t95, s", p.Parts[0].Response[2].Value, 300, 600)
	}
	between(t, "the room's t95, s", closed.Phases[0].Parts[2].Response[2].Value, 4*3600, 7*3600)
}
