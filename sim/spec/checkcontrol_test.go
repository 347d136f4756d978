package spec

import (
	"math"
	"strings"
	"testing"
)

type spoiled struct {
	name  string
	spoil func(s *Scenario)
	want  []string // PATH: beginning of the text
}

// checkPlant spoils the plant in one way each; the list is all that Check may
// find.
func checkPlant(t *testing.T, tests []spoiled) {
	t.Helper()
	checkEach(t, plant, tests)
}

// checkEach does so with any scenario.
func checkEach(t *testing.T, sound func() *Scenario, tests []spoiled) {
	t.Helper()
	for _, c := range tests {
		t.Run(c.name, func(t *testing.T) { checkOne(t, sound(), c.spoil, c.want) })
	}
}

// checkOne spoils a scenario; want is all that Check may find.
func checkOne(t *testing.T, s *Scenario, spoil func(s *Scenario), want []string) {
	t.Helper()
	spoil(s)
	problems := Check(s.Named())
	if len(problems) != len(want) {
		t.Fatalf("got %d problems %v, want %q", len(problems), problems, want)
	}
	for i, p := range problems {
		if !strings.HasPrefix(p.Error(), want[i]) {
			t.Errorf("got %q, want %q", p, want[i])
		}
	}
}

func TestCheckControl(t *testing.T) {
	// curve replaces the controller of the front fans; sampled changes it.
	fans := func(s *Scenario) *Fans { return &s.Loops[0].Parts[2].Radiator.Fans }
	curve := func(k Control) func(s *Scenario) { return func(s *Scenario) { fans(s).Curve = k } }
	sampled := func(change func(k *Control)) func(s *Scenario) {
		return func(s *Scenario) { change(&fans(s).Curve) }
	}
	rpm := func(x float64) Speed { return Speed{Rate: Some(x / 60)} }
	pump := func(change func(p *Pump)) func(s *Scenario) {
		return func(s *Scenario) { change(s.Loops[0].Parts[0].Pump) }
	}
	two := []TemperatureSpeed{{Some(303), rpm(600)}, {Some(315), rpm(1500)}}
	checkPlant(t, []spoiled{
		{"speed and curve", func(s *Scenario) { fans(s).Speed = rpm(700) }, []string{"front.fans.curve: speed and curve exclude each other: keep one"}},
		{"speed and curve of a fan", func(s *Scenario) { s.Case.Fans[0].Speed = rpm(700) }, []string{"rear.curve: speed and curve exclude each other"}},
		{"speed and control", pump(func(p *Pump) { p.Speed = Speed{Share: Some(0.6)} }), []string{"driver.control: speed and control exclude each other"}},
		{"fixed flow and control", pump(func(p *Pump) { p.Flow = Some(1e-4) }), []string{"driver: a pump with a fixed flow has no control"}},
		{"no curve", curve(Control{}), nil},
		{"follows and no more", curve(Control{Follow: "coolant"}), []string{"front.fans.curve: it needs points, rises or target: write points: [["}},
		{"follows by default", curve(Control{Points: two}), nil},
		{"points and rises", sampled(func(k *Control) {
			k.Rises, k.OffBelow, k.OnAbove = []RiseSpeed{{Some(1), rpm(600)}, {Some(2), rpm(700)}}, Number{}, Number{}
		}), []string{"front.fans.curve: points and rises exclude each other"}},
		{"points and target", sampled(func(k *Control) { k.Target = Some(310) }), []string{"front.fans.curve: points and target exclude each other"}},
		{"gain of points", sampled(func(k *Control) { k.Gain = Some(0.04) }), []string{"front.fans.curve: gain belongs to target"}},
		{"integral time of points", sampled(func(k *Control) { k.Gain, k.IntegralTime = Some(0.04), Some(180) }), []string{"front.fans.curve: gain or integral_time belongs to target"}},
		{"target alone", curve(Control{Target: Some(310), Period: Some(2)}), nil},
		{"target at once", curve(Control{Target: Some(310)}), []string{"front.fans.curve: a target is held by a controller that takes samples, so it needs period"}},

		{"follows nobody", sampled(func(k *Control) { k.Follow = "vrm" }), []string{"front.fans.curve.follow: nothing is called vrm: give the name of a lump, chip or part, or coolant, hottest die or case; the file has cpu, gpu"}},
		{"follows a pattern", sampled(func(k *Control) { k.Follow = "desk" }), []string{"front.fans.curve.follow: desk is a work, not a lump"}},
		{"follows a fault", sampled(func(k *Control) { k.Follow = "pump_stop" }), []string{"front.fans.curve.follow: pump_stop is a fault, not a lump"}},
		{"follows the room", sampled(func(k *Control) { k.Follow = "room" }), []string{"front.fans.curve.follow: the file has no room: section"}},
		{"follows the outside", sampled(func(k *Control) { k.Follow = "ambient" }), []string{"front.fans.curve.follow: nothing is called ambient"}},
		{"follows the case", sampled(func(k *Control) { k.Follow = "case.air" }), nil},
		{"follows a node", sampled(func(k *Control) { k.Follow = "front.coolant" }), nil},
		{"hottest of none", func(s *Scenario) {
			s.Chips, s.Faults = nil, nil
			s.Loops[0].Parts = s.Loops[0].Parts[2:]
		}, []string{"rear.curve.follow: the file has no chips"}},

		{"one point", curve(Control{Points: two[:1]}), []string{"front.fans.curve.points: a curve needs at least two points"}},
		{"points that stay", curve(Control{Points: []TemperatureSpeed{two[0], two[0]}}), []string{"front.fans.curve.points[1].temperature: points are listed by rising temperature"}},
		{"speeds that fall", curve(Control{Points: []TemperatureSpeed{{Some(303), rpm(900)}, {Some(315), rpm(600)}}}), nil},
		{"half a point", curve(Control{Points: []TemperatureSpeed{two[0], {Temperature: Some(315)}}}), []string{"front.fans.curve.points[1]: a point needs temperature and speed"}},
		{"kinds of speed", curve(Control{Points: []TemperatureSpeed{two[0], {Some(315), Speed{Share: Some(0.9)}}}}), []string{"front.fans.curve.points[1].speed: the speeds of one curve are all stated alike"}},
		{"levels", curve(Control{Points: []TemperatureSpeed{two[0], {Some(315), Speed{Level: Some(30)}}}}), []string{"front.fans.curve.points[1].speed: only the fixed speed of fans is set by a sound level"}},
		{"no number", curve(Control{Points: []TemperatureSpeed{two[0], {Some(math.NaN()), rpm(900)}}}), []string{"front.fans.curve.points[1].temperature: not a finite number"}},
		{"far beyond rated", curve(Control{Points: []TemperatureSpeed{two[0], {Some(315), rpm(3000)}}}), []string{"front.fans.curve.points[1].speed: it is more than 150 % of the rated speed"}},
		{"far share", curve(Control{Points: []TemperatureSpeed{{Some(303), Speed{Share: Some(0.2)}}, {Some(315), Speed{Share: Some(1.6)}}}}), []string{"front.fans.curve.points[1].speed: a share of the rated speed lies between"}},
		{"one rise", func(s *Scenario) { s.Case.Fans[0].Curve.Rises = s.Case.Fans[0].Curve.Rises[:1] }, []string{"rear.curve.rises: a curve needs at least two points, for example [4 K, 600 rpm]"}},
		{"rises that fall", func(s *Scenario) { s.Case.Fans[0].Curve.Rises[1].Rise = Some(4) }, []string{"rear.curve.rises[1].rise: points are listed by rising rise"}},

		{"sampled without period", sampled(func(k *Control) { k.Period = Number{} }), []string{
			"front.fans.curve: without period a curve acts at once and smoothly, so it has no average, hysteresis_up, hysteresis_down, hold_up, hold_down, slew_up, slew_down, resolution, off_below, on_above, sensor.lag or sensor.resolution: add period"}},
		{"offset without period", curve(Control{Points: two, Sensor: Sensor{Offset: Some(1)}}), nil},
		{"64 samples", sampled(func(k *Control) { k.Average = Some(128) }), nil},
		{"64 samples of a tenth", sampled(func(k *Control) { k.Period, k.Average = Some(0.1), Some(6.4) }), nil},
		{"65 samples", sampled(func(k *Control) { k.Average = Some(130) }), []string{"front.fans.curve.average: it holds more than 64 samples"}},
		{"on without off", sampled(func(k *Control) { k.OffBelow = Number{} }), []string{"front.fans.curve.on_above: it starts again above this, but where does it stand?"}},
		{"off without on", sampled(func(k *Control) { k.OnAbove = Number{} }), nil},
		{"on at off", sampled(func(k *Control) { k.OnAbove = k.OffBelow }), []string{"front.fans.curve.on_above: it starts again at a temperature above off_below"}},
		{"off of rises", func(s *Scenario) { s.Case.Fans[0].Curve.Period, s.Case.Fans[0].Curve.OffBelow = Some(2), Some(300) }, []string{"rear.curve: off_below is a temperature, and rises follow"}},
	})
}

// TestControlIsNoHead: a pump that is controlled has a head, and cannot share
// its ring with a fixed flow.
func TestControlIsNoHead(t *testing.T) {
	checkPlant(t, []spoiled{{"fixed flow beside control", func(s *Scenario) {
		s.Loops[0].Parts = append(s.Loops[0].Parts, Part{Kind: "pump", Pump: &Pump{Flow: Some(1e-4)}})
	}, []string{"driver: pump_2 fixes the flow of this ring"}}})
}

func TestCheckThrottle(t *testing.T) {
	throttle := func(change func(t *Throttle)) func(s *Scenario) {
		return func(s *Scenario) { change(&s.Chips[0].Throttle) }
	}
	limit := func(l ...Limit) func(s *Scenario) { return func(s *Scenario) { s.Chips[0].Limits = l } }
	checkPlant(t, []spoiled{
		{"release by default", throttle(func(t *Throttle) { t.Release = Number{} }), nil},
		{"release of what", throttle(func(t *Throttle) { t.At = Number{} }), []string{"cpu.throttle: it needs at"}},
		{"release at at", throttle(func(t *Throttle) { t.Release = t.At }), []string{"cpu.throttle.release: a chip runs freely again at a temperature below at"}},
		{"after shutdown", throttle(func(t *Throttle) { t.At = Some(388.15) }), []string{"cpu.throttle.at: the chip shuts down before it throttles"}},
		{"to all", throttle(func(t *Throttle) { t.To = Power{Share: Some(1)} }), []string{"cpu.throttle.to: a chip that throttles draws less"}},
		{"to its power", throttle(func(t *Throttle) { t.To = Power{Watts: Some(210)} }), []string{"cpu.throttle.to: a chip that throttles draws less"}},
		{"to less", throttle(func(t *Throttle) { t.To = Power{Watts: Some(209)} }), nil},
		{"to nothing", throttle(func(t *Throttle) { t.To = Power{Watts: Some(0)} }), nil},
		{"to another's", throttle(func(t *Throttle) { t.To = Power{Share: Some(0.5), Of: "gpu"} }), []string{"cpu.throttle.to: it is a power, or a share of what the chip itself is asked for"}},
		{"no long", limit(Limit{Short: Some(253), Time: Some(56)}), []string{"cpu.limits[0]: a limit needs long"}},
		{"no time", limit(Limit{Long: Some(125)}), []string{"cpu.limits[0]: a limit needs time"}},
		{"short is long", limit(Limit{Long: Some(125), Time: Some(56)}, Limit{Long: Some(125), Short: Some(125), Time: Some(1)}), []string{"cpu.limits[1].short: what may be drawn for a while"}},
		{"no short", limit(Limit{Long: Some(125), Time: Some(56)}), nil},
	})
}

func TestCheckFaults(t *testing.T) {
	fault := func(f Fault) func(s *Scenario) { return func(s *Scenario) { s.Faults = []Fault{f} } }
	at, some := Some(60), Some(0.1)
	checkPlant(t, []spoiled{
		{"never", fault(Fault{Ambient: Some(8)}), []string{"fault_1: it needs at or when: write at: 20 min or when: {"}},
		{"twice", fault(Fault{At: at, When: When{Above: Some(300)}, Ambient: Some(8)}), []string{"fault_1: at and when exclude each other"}},
		{"when what", fault(Fault{When: When{Node: "coolant"}, Ambient: Some(8)}), []string{"fault_1.when: it needs above or below"}},
		{"above and below", fault(Fault{When: When{Above: Some(300), Below: Some(290)}, Ambient: Some(8)}), []string{"fault_1.when: above and below exclude each other"}},
		{"hottest die", fault(Fault{When: When{Node: "hottest die", Above: Some(300)}, Ambient: Some(8)}), nil},
		{"when of nobody", fault(Fault{When: When{Node: "vrm.die", Above: Some(300)}, Ambient: Some(8)}), []string{"fault_1.when.node: nothing is called vrm"}},
		{"nothing", fault(Fault{At: at, Of: "driver"}), []string{"fault_1: nothing goes wrong"}},
		{"of nobody", fault(Fault{At: at, Speed: some}), []string{"fault_1: speed needs of, the name of what it is about; the file has driver, front, fixed, rear"}},
		{"of a stranger", fault(Fault{At: at, Speed: some, Blocked: some, Of: "diver"}), []string{"fault_1.of: nothing is called diver; did you mean driver?"}},
		{"room of a part", fault(Fault{At: at, Of: "driver", Ambient: Some(8)}), []string{"fault_1.of: the room's temperature is nobody's: leave of out, or write what happens to driver"}},
		{"room and part", fault(Fault{At: at, Of: "driver", Ambient: Some(8), Speed: some}), nil},
		{"speed and failed", fault(Fault{At: at, Of: "front", Speed: some, Failed: Some(1)}), []string{"fault_1: speed and failed exclude each other"}},

		{"a pump slows", fault(Fault{At: at, Of: "driver", Speed: some}), nil},
		{"a fan slows", fault(Fault{At: at, Of: "rear", Speed: some}), nil},
		{"a radiator slows", fault(Fault{At: at, Of: "front", Speed: some}), nil},
		{"a block slows", fault(Fault{At: at, Of: "block_1", Speed: some}), []string{"fault_1.of: block_1 is a block, not a pump, radiator or fan, as speed needs it; the file has driver, front, fixed, rear"}},
		{"a loop slows", fault(Fault{At: at, Of: "main", Speed: some}), []string{"fault_1.of: main is a loop, not a pump"}},
		{"no fans", fault(Fault{At: at, Of: "fixed", Speed: some}), []string{"fault_1.of: fixed states no fans, and its conductance holds whatever they do"}},
		{"no fans fail", fault(Fault{At: at, Of: "fixed", Failed: Some(1)}), []string{"fault_1.of: fixed states no fans"}},
		{"a pump fails", fault(Fault{At: at, Of: "driver", Failed: Some(1)}), []string{"fault_1.of: driver is a pump, not a radiator or fan, as failed needs it"}},
		{"all fail", fault(Fault{At: at, Of: "front", Failed: Some(2)}), nil},
		{"more than all fail", fault(Fault{At: at, Of: "front", Failed: Some(3)}), []string{"fault_1.failed: more fans stop than there are: count of front says 2"}},
		{"more than all of the case fail", fault(Fault{At: at, Of: "rear", Failed: Some(3)}), []string{"fault_1.failed: more fans stop than there are: count of rear says 2"}},
		{"a pump is blocked", fault(Fault{At: at, Of: "driver", Blocked: some}), []string{"fault_1.of: driver is a pump, not a radiator, as blocked needs it; the file has front, fixed"}},
		{"a fixed core is blocked", fault(Fault{At: at, Of: "fixed", Blocked: some}), nil},
		{"a pump resists", fault(Fault{At: at, Of: "driver", Restriction: Some(10)}), []string{"fault_1.of: driver is a pump, not a tube, fitting, block, radiator or reservoir, as restriction needs it"}},
		{"a block resists", fault(Fault{At: at, Of: "block_1", Restriction: Some(10)}), nil},
		{"a fan resists", fault(Fault{At: at, Of: "rear", Restriction: Some(10)}), []string{"fault_1.of: rear is a fan, not a tube"}},
		{"a pump leaks", fault(Fault{At: at, Of: "driver", Lost: some}), nil},
		{"a loop leaks", fault(Fault{At: at, Of: "main", Lost: some}), nil},
		{"a chip leaks", fault(Fault{At: at, Of: "cpu", Lost: some}), []string{"fault_1.of: cpu is a chip, not a loop or a part of it, as lost needs it; the file has main, driver, block_1, front, fixed"}},
		{"two that do not fit", fault(Fault{At: at, Of: "cpu", Lost: some, Speed: some}), []string{"fault_1.of: cpu is a chip, not a pump", "fault_1.of: cpu is a chip, not a loop"}},
		{"too much is lost", fault(Fault{At: at, Of: "main", Lost: Some(0.96)}), []string{"fault_1.lost: 0.96 is outside"}},
		{"a share of a fault", func(s *Scenario) { s.Chips[1].Power = Power{Share: Some(1), Of: "pump_stop"} }, []string{"gpu.power: pump_stop is a fault, not a chip, part or lump"}},
		{"a fault's name", func(s *Scenario) { s.Faults[0].Name = "front" }, []string{"faults[0].name: front is already the name of a radiator"}},
		{"a fault called faults", func(s *Scenario) { s.Faults[0].Name = "faults" }, []string{"faults[0].name: faults has a meaning of its own"}},
	})
}
