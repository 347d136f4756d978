package assemble

import (
	"math"

	"soakledger/sim/control"
	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// Controlled is a pump or a row of fans whose speed follows a temperature.
type Controlled struct {
	Name    string
	Pump    bool
	Drive   network.Drive
	Rated   float64 // revolutions per second
	Held    float64 // speed over rated of what follows nothing but a fault; else 0
	Sampled *control.Sampled
	Sensor  control.Sensor
	Lag     float64 // s, of the sensor of a sampled controller

	Follow [][]Followed // the largest of these sums is followed
	Holds  bool         // it holds a temperature by a PI
	// Law is the speed over the rated one, and its slope, at what is followed (K); of a
	// sampled controller its ideal curve, of one that holds a temperature a very steep one.
	Law    func(x float64) (y, slope float64)
	Source []Powered // whose power goes with the speed
	// Bend changes Law: what it sees of its input is moved by as much as hysteresis may
	// hold a sampled controller back (K), and of the speed it gives a share is left by
	// faults. 0 and 1 to begin with.
	Bend func(lean, left float64)
}

// Followed is a node's temperature times a weight, one term of what is followed.
type Followed struct {
	Node   network.Node // a lump, or the room below zero
	Weight float64
}

// Powered is a source whose power is a function of the speed over the rated one.
type Powered struct {
	Source network.Source
	Power  func(ratio float64) float64 // W
}

// controls reports whether a control states anything.
func controls(c *spec.Control) bool {
	return c.Follow != "" || len(c.Points) > 0 || len(c.Rises) > 0 || c.Target.Set
}

// controlRange returns the least and the greatest speed that a control asks for,
// over the rated speed (revolutions per second).
func controlRange(c *spec.Control, rated float64) (low, high float64) {
	if c.Target.Set {
		return 0, 1
	}
	low, high = math.Inf(1), 0
	for _, p := range controlPoints(c, rated) {
		low, high = math.Min(low, p.Out), math.Max(high, p.Out)
	}
	if c.OffBelow.Set {
		low = 0
	}
	return low, high
}

// controlPoints returns the points of a control: temperature or rise, and speed
// over the rated one.
func controlPoints(c *spec.Control, rated float64) []control.Point {
	var points []control.Point
	for _, p := range c.Points {
		points = append(points, control.Point{In: p.Temperature.Value, Out: rateOf(p.Speed, rated, 0, 1) / rated})
	}
	for _, p := range c.Rises {
		points = append(points, control.Point{In: p.Rise.Value, Out: rateOf(p.Speed, rated, 0, 1) / rated})
	}
	return points
}

// device is what a controller drives.
type device struct {
	name, path string        // path of the control
	control    *spec.Control // of nothing stated where it is held
	held       float64       // speed over rated that it is held at, until a fault; 0 if it is controlled
	rated      float64       // revolutions per second
	start      float64       // over rated, at which it starts when it stands
	stop       float64       // below which it stands
	spinUp     float64       // 1/s, its fastest rise; 0 for none that counts
	least      float64       // over rated, below which holding a temperature does not take it
	faulty     bool          // a fault slows it
	pump       *int          // number of its pump's setting; nil of fans
	fans       *fanDrive
	loop       int // whose coolant it follows
	source     []Powered
}

// span returns the least and the greatest speed over the rated one that a device
// can have.
func (d *device) span() (low, high float64) {
	if d.held > 0 {
		return 0, d.held
	}
	low, high = controlRange(d.control, d.rated)
	if d.control.Target.Set {
		low = d.least
	}
	if d.control.Period.Set || d.faulty {
		low = 0
	}
	return low, high
}

// drives adds a drive for everything that is controlled, and lets the air follow
// those of fans. The nodes of all loops must be there.
func (b *assembler) drives() {
	var air []network.Drive
	var fans []*fanDrive
	for i := range b.devices {
		d := &b.devices[i]
		c, ok := b.controlled(d)
		if !ok {
			continue
		}
		b.plan.Controlled = append(b.plan.Controlled, c)
		if d.fans != nil {
			air, fans = append(air, c.Drive), append(fans, d.fans)
		}
	}
	if len(air) == 0 || b.problems != nil {
		return
	}
	b.net.AirBy(air, b.airSettings(), func(speeds []float64, passes []network.AirFlow, stream, setting []float64) error {
		for i, f := range fans {
			f.speed = math.Max(0, speeds[i]) * f.drive.Rated
		}
		b.solveAir()
		if err := b.problems.err(); err != nil {
			return err
		}
		b.fillAir(passes, stream)
		next := 0
		for _, w := range b.flows.list {
			if w.moves {
				setting[next] = w.through()
				next++
			}
		}
		return nil
	})
}

// airSettings lists the settings of the air through cores, in the order of ways.
func (b *assembler) airSettings() []network.Setting {
	var all []network.Setting
	for _, w := range b.flows.list {
		if w.moves {
			all = append(all, w.setting)
		}
	}
	return all
}

// fillAir writes what flows at present to passes and streams.
func (b *assembler) fillAir(passes []network.AirFlow, stream []float64) {
	for _, w := range b.flows.list {
		passes[w.pass] = w.input(b.airState)
		if passes[w.pass].Backward && passes[w.pass].Forced == 0 {
			passes[w.pass].Backward = false
		}
	}
	if b.plan.Scenario.Case == nil {
		return
	}
	for _, f := range b.flows.caseFans {
		stream[f.stream] = f.flow * b.heatOfAir()
	}
	stream[b.flows.vent] = b.flows.vents * b.heatOfAir()
}

// controlled adds the drive of one device.
func (b *assembler) controlled(d *device) (Controlled, bool) {
	c := d.control
	low, high := d.span()
	out := Controlled{Name: d.name, Pump: d.pump != nil, Rated: d.rated, Source: d.source, Lag: c.Sensor.Lag.Value}
	out.Sensor = control.Sensor{Offset: c.Sensor.Offset.Value, Resolution: c.Sensor.Resolution.Value, Origin: zeroCelsius}
	out.Held = d.held
	input, ok := b.followed(d, &out)
	if !ok {
		return out, false
	}
	if high > mostSpeed*(1+1e-9) {
		b.problems.add(d.path, "it asks for %.0f rpm, more than 150 %% of the rated %.0f rpm; state the speed at which the device's figures hold, e.g. rated: 2000 rpm", 60*high*d.rated, 60*d.rated)
		return out, false
	}
	if high <= low {
		high = low + 1e-6 // a level curve is one speed
	}
	law := func(float64) (y, slope float64) { return high, 0 }
	var exact *control.Curve
	points, width := controlPoints(c, d.rated), control.Smoothing
	if out.Holds = c.Target.Set; out.Holds {
		at := c.Target.Value
		points, width = []control.Point{{In: at - steepWithin/2, Out: math.Max(low, d.least)}, {In: at + steepWithin/2, Out: high}}, steepWithin/2
	}
	if len(points) > 0 {
		smooth, err := control.NewCurve(points, width)
		if err == nil && !out.Holds {
			exact, err = control.NewCurve(points, 0)
		}
		if err != nil {
			b.problems.add(d.path, "%v", err)
			return out, false
		}
		offset := out.Sensor.Offset
		lean, left := 0.0, 1.0
		out.Bend = func(by, share float64) { lean, left = by, share }
		law = func(x float64) (y, slope float64) {
			y, slope = smooth.At(x + offset + lean)
			return left * y, left * slope
		}
	}
	if c.Sensor.Lag.Value > 0 && !c.Period.Set {
		b.problems.add(d.path+".sensor.lag", "a curve without a period acts at once; state period, e.g. period: 2 s, for a sensor that lags")
		return out, false
	}
	if c.Period.Set {
		if out.Sampled, ok = b.sampled(d, exact, high); !ok {
			return out, false
		}
	}
	var settings []network.Setting
	if d.pump != nil {
		settings = append(settings, b.pumpSettings[*d.pump])
	}
	out.Law = law
	out.Drive = b.net.Drive(d.name, low, high, input, law, settings...)
	return out, true
}

// leastPump is the share of its rated speed below which a pump that holds a temperature
// is not taken: one that stands would let its loop boil. Common practice, no source.
const leastPump = 0.2

// steepWithin is over how many kelvin the law of what holds a temperature goes from
// standing to full speed: its level is the temperature held, to half of that. Our
// choice, no source.
const steepWithin = 0.1

// sampled returns the controller of a device that is sampled.
func (b *assembler) sampled(d *device, curve *control.Curve, high float64) (*control.Sampled, bool) {
	c := d.control
	if d.stop > high {
		b.problems.add(d.path, "it asks for %.0f rpm at most, and below %.0f rpm the device stands; ask for more, or state a lower stop, e.g. stop: 150 rpm", 60*high*d.rated, 60*d.stop*d.rated)
		return nil, false
	}
	up := c.SlewUp.Value / d.rated
	if d.spinUp > 0 && (up == 0 || d.spinUp < up) {
		up = d.spinUp
	}
	s := control.SampledSpec{
		Period: c.Period.Value, Window: c.Average.Value,
		Hysteresis: control.UpDown{Up: c.HysteresisUp.Value, Down: c.HysteresisDown.Value},
		Hold:       control.UpDown{Up: c.HoldUp.Value, Down: c.HoldDown.Value},
		Slew:       control.UpDown{Up: up, Down: c.SlewDown.Value / d.rated},
		Start:      math.Min(d.start, high), Stop: d.stop, Resolution: c.Resolution.Or(control.DefaultResolution),
		Max: math.Max(high, control.DefaultResolution), Curve: curve,
	}
	for i, p := range controlPoints(c, d.rated) {
		if i == 0 || p.Out < s.Min {
			s.Min = math.Min(p.Out, s.Max) // rounding does not go below the curve
		}
	}
	if c.Target.Set {
		s.Min = d.least
	}
	if c.OffBelow.Set {
		on := c.OnAbove.Or(c.OffBelow.Value)
		s.Zero = control.Zero{On: true, Below: c.OffBelow.Value, Band: on - c.OffBelow.Value}
	}
	if c.Target.Set {
		s.PI = &control.PI{Setpoint: c.Target.Value, Gain: c.Gain.Or(0.04), Integral: c.IntegralTime.Or(180)}
	}
	sampled, err := control.NewSampled(s)
	if err != nil {
		b.problems.add(d.path, "%v", err)
	}
	return sampled, err == nil
}

// followed finds the nodes that a device follows.
func (b *assembler) followed(d *device, out *Controlled) (network.DriveInput, bool) {
	c := d.control
	var nodes []network.Node
	switch follow := c.Follow; follow {
	case "", "coolant":
		if d.held > 0 && len(b.plan.Nodes) > 0 && d.loop >= len(b.plan.Loops) {
			nodes = append(nodes, b.plan.Nodes[0].Lump) // any will do: it follows nothing
			break
		}
		if d.loop >= len(b.plan.Loops) {
			b.problems.add(d.path, "there is no coolant to follow; name a node, e.g. follow: cpu.die")
			return network.DriveInput{}, false
		}
		nodes = append(nodes, b.plan.Loops[d.loop].Outlet)
	case "hottest die":
		for _, chip := range b.plan.Chips {
			nodes = append(nodes, chip.Die)
		}
	default:
		for _, n := range findNodes(b.plan.Nodes, follow) {
			nodes = append(nodes, n.Lump)
		}
	}
	if len(nodes) == 0 {
		b.problems.add(d.path+".follow", "there is no node %s to follow; it may follow coolant, hottest die, or one of %s", c.Follow, b.lumpList())
		return network.DriveInput{}, false
	}
	var inputs []network.DriveInput
	for _, n := range nodes {
		terms, sum := []network.Signal{network.TemperatureOf(n, 1)}, []Followed{{n, 1}}
		if len(c.Rises) > 0 {
			terms, sum = append(terms, network.TemperatureOf(b.roomNode, -1)), append(sum, Followed{b.roomNode, -1})
		}
		inputs, out.Follow = append(inputs, network.SumOf(terms...)), append(out.Follow, sum)
	}
	if len(inputs) == 1 {
		return inputs[0], true
	}
	return network.LargestOf(inputs...), true
}

// loopOf returns the number of the loop in which a part lies.
func (b *assembler) loopOf(p *spec.Part) int {
	for i := range b.plan.Scenario.Loops {
		for q := range b.plan.Scenario.Loops[i].All() {
			if q == p {
				return i
			}
		}
	}
	return 0
}

// moving is the exchange of a core through which the air changes, over coolant
// temperature, the speeds of the loop's controlled pumps and the air through it.
type moving struct {
	ring  *ringFlow
	place flowPlace
	base  geometric
	way   *airWay
	air   part.Air
	bench []benchSpeed // of a core with measured points: speeds by airflow
}

// benchSpeed is the airflow (m3/s) that a speed gives on the bench.
type benchSpeed struct{ flow, speed float64 }

func (m *moving) Values() int { return 2 }

func (m *moving) AtSettings(values []float64, temperature float64, dst []float64) error {
	through := values[len(values)-1]
	q, liquid, err := m.ring.solve(values[:len(values)-1], temperature)
	if err != nil {
		return err
	}
	heat := liquid.Density * m.ring.coolant.SpecificHeat(temperature)
	flow := m.ring.flowAt(m.place, q)
	g := m.base
	g.airSide = m.way.core.Air(through, m.air).Conductance * m.way.part.Radiator.CoreFactor.Or(1)
	if m.way.factor != nil {
		factor, _ := m.way.factor.At(m.speedOf(through))
		g.airSide *= factor
	}
	g.airRate = through * m.air.Density * m.air.SpecificHeat
	dst[0], dst[1] = g.conduct(flow, flow*heat, temperature)
	return nil
}

// speedOf returns the fan speed that gives an airflow on the bench.
func (m *moving) speedOf(flow float64) float64 {
	last := len(m.bench) - 1
	for i := 1; i <= last; i++ {
		a, b := m.bench[i-1], m.bench[i]
		if flow <= b.flow || i == last {
			return math.Max(0, a.speed+(b.speed-a.speed)*(flow-a.flow)/(b.flow-a.flow))
		}
	}
	return 0
}
