package spec

import (
	"reflect"
	"testing"
)

// plant is a sound scenario with what the others lack: controls, protections,
// faults, and every kind of work.
func plant() *Scenario {
	points := []TemperatureSpeed{{Some(303.15), Speed{Rate: Some(10)}}, {Some(315.15), Speed{Rate: Some(25)}}}
	sampled := Control{
		Follow: "coolant", Points: points, Period: Some(2), Average: Some(10), HysteresisUp: Some(1), HysteresisDown: Some(2), HoldUp: Some(2), HoldDown: Some(5),
		SlewUp: Some(3), SlewDown: Some(2), Resolution: Some(0.01), OffBelow: Some(305.15), OnAbove: Some(308.15), Sensor: Sensor{Lag: Some(8), Offset: Some(0.5), Resolution: Some(0.1)},
	}
	return &Scenario{
		Ambient: Ambient{Log: Log{File: "room.csv", Column: "Room", Series: &Series{Times: []float64{0, 60}, Values: []float64{295.15, 296.15}}}},
		Case: &Case{Fans: []Fan{{Name: "rear", Moves: "out", Count: Some(2), Curve: Control{
			Follow: "hottest die", Rises: []RiseSpeed{{Some(5), Speed{Share: Some(0.3)}}, {Some(20), Speed{Share: Some(1)}}},
		}}}},
		Chips: []Chip{
			{Name: "cpu", Power: Power{Watts: Some(210)}, Work: "evening", Throttle: Throttle{At: Some(368.15), Release: Some(363.15), To: Power{Share: Some(0.6)}},
				Limits: []Limit{{Long: Some(125), Short: Some(253), Time: Some(56)}}, Shutdown: Some(388.15)},
			{Name: "gpu", Power: Power{Watts: Some(300)}, Work: "desk"},
		},
		Loops: []Loop{{Name: "main", Parts: []Part{
			{Kind: "pump", Name: "driver", Pump: &Pump{Control: Control{Follow: "cpu.die", Target: Some(343.15), Gain: Some(0.04), IntegralTime: Some(180), Period: Some(2)}}},
			{Kind: "block", Block: &Block{Cools: "cpu"}},
			{Kind: "radiator", Name: "front", Radiator: &Radiator{Size: Some(0.24), Fans: Fans{Count: Some(2), Rated: Some(27), Curve: sampled}}},
			{Kind: "radiator", Name: "fixed", Radiator: &Radiator{Conductance: Some(12)}},
		}}},
		Work: []Work{
			{Name: "evening", Session: Session{
				Rounds: Some(8), Round: Some(1080), Loading: Some(20), Lobby: Some(120), Break: Some(900), BreakAfter: Some(4),
				RoundPower: Power{Share: Some(0.9)}, LoadingPower: Power{Share: Some(0.4)}, LobbyPower: Power{Watts: Some(30)}, BreakPower: Power{Watts: Some(15)},
			}},
			{Name: "desk", Bursts: Bursts{
				Seed: Some(7), For: Some(3600), Burst: []Number{Some(2), Some(30)}, Pause: []Number{Some(5), Some(40)}, MeanBurst: Some(8), MeanPause: Some(12),
				High: []Number{Some(0.6), Some(1)}, Low: []Number{Some(0), Some(0.2)}, Apart: "levels",
			}},
			{Name: "ramp", Steps: []Step{{For: Some(60), Power: Power{Watts: Some(10)}, To: Power{Watts: Some(20)}}}},
			{Name: "logged", Log: Log{File: "render.csv", Column: "CPU", Series: &Series{Times: []float64{0, 1}, Values: []float64{100, 200}, Hold: true}}},
			{Name: "steady", MeanOf: "evening"},
			{Name: "pulsed", MeanOf: "evening", On: Some(10), Off: Some(20), Ratio: Some(10)},
		},
		Faults: []Fault{
			{Name: "pump_stop", At: Some(1200), Of: "driver", Speed: Some(0)},
			{When: When{Node: "coolant", Above: Some(318.15)}, Of: "front", Failed: Some(1), Blocked: Some(0.4), Restriction: Some(10)},
			{At: Some(1800), Of: "main", Lost: Some(0.2)},
			{When: When{Node: "cpu.die", Below: Some(293.15)}, Ambient: Some(8)},
		},
	}
}

// TestPlantIsSound: the plant has no problem, named or not.
func TestPlantIsSound(t *testing.T) {
	for name, s := range map[string]*Scenario{"named": plant().Named(), "unnamed": plant()} {
		if problems := Check(s); problems != nil {
			t.Errorf("%s: %v", name, problems)
		}
	}
}

// TestPlantNames: faults have names, made ones counted among themselves.
func TestPlantNames(t *testing.T) {
	names := plant().Named().Names()
	for path, want := range map[string]string{"faults[0]": "pump_stop", "faults[1]": "fault_2", "faults[3]": "fault_4", "work[5]": "pulsed", "case.fans[0]": "rear"} {
		if names[path] != want {
			t.Errorf("%s is called %q, want %s", path, names[path], want)
		}
	}
	s := plant()
	s.Faults[0].Name, s.Faults[1].Name = "", "fault_1"
	if got := s.Named().Faults[0].Name; got != "fault_2" {
		t.Errorf("the made name does not give way to a stated one: %s", got)
	}
	if got := Canonical(names, "faults[1].when.above"); got != "fault_2.when.above" {
		t.Errorf("the path is canonically %s", got)
	}
}

// TestPlantPaths: what lies within controls, faults and patterns is read by its
// path.
func TestPlantPaths(t *testing.T) {
	s := plant().Named()
	for path, want := range map[string]Value{
		"front.fans.curve.points[1].speed":       SpeedValue(Speed{Rate: Some(25)}),
		"front.fans.curve.points[0].temperature": NumberValue(303.15),
		"front.fans.curve.sensor.lag":            NumberValue(8),
		"rear.curve.rises[0].rise":               NumberValue(5),
		"case.fans[0].curve.follow":              TextValue("hottest die"),
		"driver.control.gain":                    NumberValue(0.04),
		"cpu.throttle.to":                        PowerValue(Power{Share: Some(0.6)}),
		"cpu.limits[0].short":                    NumberValue(253),
		"pump_stop.at":                           NumberValue(1200),
		"fault_2.when.above":                     NumberValue(318.15),
		"faults[2].lost":                         NumberValue(0.2),
		"evening.session.lobby_power":            PowerValue(Power{Watts: Some(30)}),
		"desk.bursts.burst[1]":                   NumberValue(30),
		"ramp.steps[0].to":                       PowerValue(Power{Watts: Some(20)}),
		"logged.log.column":                      TextValue("CPU"),
		"ambient.log.file":                       TextValue("room.csv"),
		"pulsed.mean_of":                         TextValue("evening"),
	} {
		if got, err := s.Get(path); err != nil || got != want {
			t.Errorf("%s: got %v, %v; want %v", path, got, err, want)
		}
	}
	for path, want := range map[string]string{"desk.bursts.burst[0]": "2 s", "desk.bursts.burst[1]": "30 s", "desk.bursts.high[1]": "100 %"} {
		if f, err := s.FieldAt(path); err != nil || f.Type != TypeNumber || f.Example != want {
			t.Errorf("%s: example %q of %v, %v; want %q", path, f.Example, f.Type, err, want)
		}
	}
	for f := range s.All() {
		if f.Type == TypeSection || f.Type == TypeSections {
			t.Errorf("All gives %s, which has no value", f.Path)
		}
	}
}

// TestLogs walks over the stated logs in order and stops when it is told to.
func TestLogs(t *testing.T) {
	s := plant().Named()
	var paths []string
	for path, l := range s.Logs() {
		paths = append(paths, path)
		dim := Temperature
		if path != "ambient.log" {
			dim = PowerFlow
		}
		if f := s.LogField(l); f.Dimension != dim || !(f.Min < f.Max) {
			t.Errorf("%s holds %+v", path, f)
		}
	}
	if want := []string{"ambient.log", "logged.log"}; !reflect.DeepEqual(paths, want) {
		t.Errorf("got %v, want %v", paths, want)
	}
	for path := range s.Logs() {
		if path != "ambient.log" {
			t.Errorf("the walk goes on to %s", path)
		}
		break
	}
	unnamed := &Scenario{Work: []Work{{}, {Log: Log{File: "x.csv"}}}}
	for path := range unnamed.Logs() {
		if path != "work[1].log" {
			t.Errorf("an unnamed log lies at %s", path)
		}
	}
}

// TestSeriesIsShared: a copy shares what was read of a log, unless what the log
// states is changed: then it has to be read again.
func TestSeriesIsShared(t *testing.T) {
	s := plant().Named()
	if c := s.Clone(); c.Ambient.Log.Series != s.Ambient.Log.Series || c.Work[3].Log.Series != s.Work[3].Log.Series {
		t.Error("a copy has series of its own")
	}
	same, err := s.With("cpu.power", NumberValue(100))
	if err != nil || same.Ambient.Log.Series != s.Ambient.Log.Series || same.Work[3].Log.Series != s.Work[3].Log.Series {
		t.Errorf("another power forgets a log, %v", err)
	}
	for path, v := range map[string]Value{"logged.log.file": TextValue("other.csv"), "logged.log.merge": NumberValue(5), "logged.log.between": TextValue("line")} {
		c, err := s.With(path, v)
		if err != nil || c.Work[3].Log.Series != nil || c.Ambient.Log.Series != s.Ambient.Log.Series || s.Work[3].Log.Series == nil {
			t.Errorf("%s: %v; the copy has %v", path, err, c.Work[3].Log.Series)
		}
	}
	c, err := s.With("ambient.log.column", TextValue("Hall"))
	if err != nil || c.Ambient.Log.Series != nil || c.Work[3].Log.Series == nil {
		t.Errorf("another column of the room's log: %v", err)
	}
}

// TestHashOfSeries: what was read shows in the hash by its digest; nothing shows
// before it was read.
func TestHashOfSeries(t *testing.T) {
	s, same := plant().Named(), plant().Named()
	base := Hash(s)
	if Hash(same) != base {
		t.Error("equal series in other memory have another hash")
	}
	seen := map[string]string{base: "the original"}
	for name, change := range map[string]func(s *Scenario){
		"another value": func(s *Scenario) {
			s.Work[3].Log.Series = &Series{Times: []float64{0, 1}, Values: []float64{100, 201}, Hold: true}
		},
		"another time": func(s *Scenario) {
			s.Work[3].Log.Series = &Series{Times: []float64{0, 2}, Values: []float64{100, 200}, Hold: true}
		},
		"lines":           func(s *Scenario) { s.Work[3].Log.Series = &Series{Times: []float64{0, 1}, Values: []float64{100, 200}} },
		"none":            func(s *Scenario) { s.Work[3].Log.Series = nil },
		"none of room":    func(s *Scenario) { s.Ambient.Log.Series = nil },
		"the other's one": func(s *Scenario) { s.Ambient.Log.Series = s.Work[3].Log.Series },
	} {
		c := s.Clone()
		change(c)
		h := Hash(c)
		if earlier, ok := seen[h]; ok {
			t.Errorf("%s has the hash of %s", name, earlier)
		}
		seen[h] = name
	}
}
