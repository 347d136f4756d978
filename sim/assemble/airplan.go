package assemble

import (
	"fmt"
	"math"
	"slices"

	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// AirWay is the air of one radiator, as it was found at the settings of the
// scenario and the room's first temperature.
type AirWay struct {
	Name     string
	From, To string // in words: room, case, exhaust of front, 70 % room and 30 % case
	Pass     network.Pass
	Core     bool // known by its geometry; else by a stated conductance

	Fans     int     // all of them, those that stand included; 0 where the model turns none
	Turning  int     // of them turn
	Speed    float64 // of those, revolutions per second; the greatest of a controlled one
	Follows  bool    // their speed follows a temperature
	Level    float64 // of all together, dB(A); -Inf where none turns
	Power    float64 // electrical, of all together, W
	Airflow  float64 // through the core, m3/s; below zero where it is blown backward; of no meaning without fans
	Velocity float64 // on the face, m/s
	Drop     float64 // of the core's air, Pa
	Beyond   string  // which published range of the fins' law is left, or empty

	// Conductance is the heat over coolant inlet minus air inlet, W/K, at 4 L/min of
	// water at 25 degC; of a stated conductance what is stated.
	Conductance float64
	Stack       float64 // core, fans and gap together, m; 0 where the thickness is unknown
}

// CaseAir is the air of the case.
type CaseAir struct {
	Pressure float64 // over the room, Pa
	Vents    float64 // out by the vents, m3/s
	Fans     []CaseFanFlow
}

// CaseFanFlow is the airflow of a fan of the case, m3/s; below zero where it is
// blown backward.
type CaseFanFlow struct {
	Name  string
	Moves string // in or out
	Flow  float64
	Speed float64 // revolutions per second, the greatest of a controlled one
	Level float64 // dB(A), at that speed
}

// Noise returns the sound level of all fans together (dB(A)), controlled ones at their
// greatest speeds; -Inf where none turns.
func (p *Plan) Noise() float64 { return p.NoiseAt(nil) }

// NoiseAt returns the same at speeds of what is controlled, in the order of Controlled
// (revolutions per second); nil means the greatest.
func (p *Plan) NoiseAt(speeds []float64) float64 {
	at := func(name string, most, level float64) float64 {
		if i := p.FanControl(name); i >= 0 && speeds != nil && most > 0 {
			return part.SoundLevel(level, speeds[i]/most)
		}
		return level
	}
	var levels []float64
	for _, w := range p.Air {
		levels = append(levels, at(w.Name, w.Speed, w.Level))
	}
	if p.CaseAir != nil {
		for _, f := range p.CaseAir.Fans {
			levels = append(levels, at(f.Name, f.Speed, f.Level))
		}
	}
	return part.SumLevels(levels...)
}

// FanControl returns the place among Controlled of the fans of a radiator, or of a fan of
// the case; -1 if their speed is fixed.
func (p *Plan) FanControl(name string) int {
	return slices.IndexFunc(p.Controlled, func(c Controlled) bool { return !c.Pump && c.Name == name })
}

// FansFollow reports whether the speed of any fan follows a temperature.
func (p *Plan) FansFollow() bool {
	return slices.ContainsFunc(p.Controlled, func(c Controlled) bool { return !c.Pump && c.Held == 0 })
}

// describeAir lists what was found of the air.
func (b *assembler) describeAir() {
	for _, w := range b.flows.list {
		b.plan.Air = append(b.plan.Air, b.describeWay(w))
	}
	if b.plan.Scenario.Case == nil {
		return
	}
	c := &CaseAir{Pressure: b.flows.pressure, Vents: b.flows.vents}
	for _, f := range b.flows.caseFans {
		c.Fans = append(c.Fans, CaseFanFlow{Name: f.spec.Name, Moves: f.spec.Moves, Flow: f.flow, Speed: f.fans.speed, Level: f.fans.level()})
	}
	b.plan.CaseAir = c
}

// describeWay describes the air of one radiator.
func (b *assembler) describeWay(w *airWay) AirWay {
	r := w.part.Radiator
	d := AirWay{Name: w.part.Name, To: r.Exhausts, Pass: w.pass, Core: w.core != nil, Level: math.Inf(-1), Conductance: r.Conductance.Value}
	for i, s := range b.breath(r) {
		word := s.from
		if b.ways[word] != nil {
			word = "exhaust of " + word
		}
		if s.share < 1 {
			word = fmt.Sprintf("%.3g %% %s", 100*s.share, word)
		}
		if i > 0 {
			d.From += " and "
		}
		d.From += word
	}
	if f := w.fans; f != nil {
		d.Fans, d.Turning, d.Speed, d.Level, d.Power = f.row.Fans(), f.turning(), f.speed, f.level(), f.power()
		d.Airflow, d.Follows = w.flow, b.deviceOf(f) != nil
	}
	if thickness := thicknessOf(r); thickness > 0 {
		rows := 1.0
		if r.Fans.Arrangement == string(part.PushPull) {
			rows = 2
		}
		if w.fans == nil {
			rows = 0
		}
		d.Stack = thickness + rows*(r.Fans.Depth.Or(part.FanDepth().Value)+r.Gap.Value)
	}
	if w.core == nil {
		if len(r.Points) > 0 {
			d.Conductance = pointsPerInlet(w.part)
		}
		return d
	}
	side := w.core.Air(w.through(), b.airState)
	d.Velocity, d.Drop, d.Beyond = math.Abs(w.flow)/w.core.Face(), side.Drop, side.Beyond
	flow := part.RadiatorTestFlow().Value
	d.Conductance = w.core.Heat(part.Overall(w.airSide(b.airState), w.testFilm(flow)), flow*part.TestWater().Density*part.TestSpecificHeat, w.airRate(b.airState))
	return d
}

// pointsPerInlet returns the conductance per inlet (W/K) at the fans' speed of a
// radiator of which points are stated and nothing else.
func pointsPerInlet(p *spec.Part) float64 {
	c := testRate(p.Radiator)
	ua, _, _, err := exponent(p, c)
	if err != nil {
		return 0
	}
	return -c * math.Expm1(-ua/c)
}
