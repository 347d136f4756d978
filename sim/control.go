package sim

import (
	"fmt"
	"math"
	"slices"

	"soakledger/sim/assemble"
	"soakledger/sim/control"
	"soakledger/sim/network"
)

// controller is a controlled device in a run.
type controller struct {
	assemble.Controlled
	state    control.SampledState
	trial    control.SampledState // of samples that are looked at ahead
	sensed   sensed               // at the last sample
	ahead    sensed               // the same, looking ahead
	next     int                  // number of the sample that comes next
	look     int                  // likewise, ahead
	left     float64              // share of the speed it is told that faults have left it
	speed    float64              // over rated, at present; of a sampled one
	whole    float64              // over rated, of a curve when a fault first slowed it
	upcoming float64              // likewise, from the end of the step in hand on
	changes  []control.Change     // of its speed, in revolutions per second
}

// sensed is what a sensor with a lag reads (K), and what it is given.
type sensed struct{ reading, input float64 }

// newControllers prepares what is controlled. Sampled controllers begin as if their
// input had been what it is for ever.
func (s *Simulation) newControllers() {
	for _, c := range s.Plan.Controlled {
		s.controllers = append(s.controllers, &controller{Controlled: c, speed: math.NaN(), left: 1})
		s.continuous = s.continuous || c.Sampled == nil && c.Held == 0
	}
	s.drawn, s.drawing, s.drawnSince = make([]float64, len(s.in.Power)), make([]float64, len(s.in.Power)), 0
	states, quads := s.Plan.Network.Dim()
	s.rates = make([]float64, states+quads)
	s.used, s.usedBefore = make([]float64, len(s.in.Power)), make([]float64, len(s.in.Power))
}

// settleControllers sets sampled controllers to rest at the temperatures at hand (K).
func (s *Simulation) settleControllers(temperatures []float64) {
	for _, c := range s.controllers {
		if c.Sampled == nil {
			continue
		}
		input := c.follow(func(n network.Node) float64 { return s.nodeAt(n, temperatures, 0) })
		c.sensed = sensed{input, input}
		c.state = c.Sampled.Settled(c.Sensor.Read(input))
		if c.Holds { // its output at rest is not known by the input alone
			y, _ := c.Law(input)
			c.state = c.Sampled.Begin(y)
		}
		c.next, _ = c.Sampled.After(-1)
		c.upcoming = c.state.Output()
		c.turn(0, c.upcoming)
		s.in.Speed[c.Drive] = c.speed
	}
}

// nodeAt returns a node's temperature from those of all lumps (K), or the room's.
func (s *Simulation) nodeAt(n network.Node, temperatures []float64, t float64) float64 {
	if n < 0 {
		return s.Plan.Network.BoundaryTemperature(-1-int(n), t)
	}
	return temperatures[n]
}

// follow returns what a controller follows, K.
func (c *controller) follow(at func(n network.Node) float64) float64 {
	largest := math.Inf(-1)
	for _, sum := range c.Follow {
		x := 0.0
		for _, term := range sum {
			x += term.Weight * at(term.Node)
		}
		largest = math.Max(largest, x)
	}
	return largest
}

// at returns the speed over the rated one at a time, from the temperatures of lumps:
// that of the last sample, or of the curve.
func (c *controller) at(t float64, n *network.Network, lump func(n network.Node) float64) float64 {
	if held := c.told(); !math.IsNaN(held) {
		return held
	}
	y, _ := c.Law(c.follow(func(node network.Node) float64 {
		if node < 0 {
			return n.BoundaryTemperature(-1-int(node), t)
		}
		return lump(node)
	}))
	return y
}

// turn records a new speed over the rated one.
func (c *controller) turn(t, speed float64) {
	if speed != c.speed {
		c.speed = speed
		c.changes = append(c.changes, control.Change{Time: t, Value: speed * c.Rated})
	}
}

// after moves a sensor on to the input at a sample, a time dt > 0 after the last one:
// a first order lag, for an input that went there along a straight line.
func (v sensed) after(dt, input, lag float64) sensed {
	if lag == 0 {
		return sensed{input, input}
	}
	behind := lag * (input - v.input) / dt // of a ramp that has lasted for ever
	return sensed{input - behind + (v.reading-v.input+behind)*math.Exp(-dt/lag), input}
}

// sample gives all sampled controllers their samples of the step at hand, and cuts
// the step at the first at which a speed changes. It reports whether one has.
func (s *Simulation) sample() bool {
	end := s.view.End()
	cut := math.Inf(1)
	if len(s.faults) > 0 && s.due(end) { // what fails then comes first: it is a sample of the next step
		end = math.Nextafter(end, 0)
	}
	for _, c := range s.controllers {
		if c.Sampled == nil {
			continue
		}
		if t, changed := s.lookAhead(c, math.Min(end, cut)); changed {
			cut = t
		}
	}
	for _, c := range s.controllers {
		if c.Sampled != nil {
			s.commit(c, math.Min(end, cut))
		}
	}
	if math.IsInf(cut, 1) {
		return false
	}
	if cut < s.view.End() {
		s.it.TruncateTo(cut)
		s.view.read(s.it.Segment())
	}
	return true
}

// lookAhead steps a copy of a controller through its samples up to a time, and stops
// at the first that changes its speed.
func (s *Simulation) lookAhead(c *controller, end float64) (at float64, changed bool) {
	c.trial, c.ahead, c.look = c.state, c.sensed, c.next
	for {
		t := c.Sampled.Time(c.look)
		if t > end {
			return 0, false
		}
		if s.step(c, t) {
			return t, true
		}
	}
}

// step gives a controller's copy its next sample, at time t in the step at hand.
func (s *Simulation) step(c *controller, t float64) (changed bool) {
	theta := math.Max(0, math.Min(1, (t-s.view.Start())/(s.view.End()-s.view.Start())))
	input := c.follow(func(n network.Node) float64 {
		if n < 0 {
			return s.Plan.Network.BoundaryTemperature(-1-int(n), t)
		}
		return s.view.of(int(n)).At(theta)
	})
	if c.look > 0 { // until the first sample the input has been the same for ever
		c.ahead = c.ahead.after(t-c.Sampled.Time(c.look-1), input, c.Lag)
	}
	c.look++
	_, changed = c.Sampled.Step(&c.trial, t, c.Sensor.Read(c.ahead.reading))
	return changed
}

// commit takes over the samples up to a time, and the speed that they lead to.
func (s *Simulation) commit(c *controller, end float64) {
	c.trial, c.ahead, c.look = c.state, c.sensed, c.next
	for c.Sampled.Time(c.look) <= end {
		s.step(c, c.Sampled.Time(c.look))
	}
	c.state, c.sensed, c.next = c.trial, c.ahead, c.look
	c.upcoming = c.state.Output() // from the end of the step on; see turnAll
}

// turnAll lets the speeds that the samples of the last step have led to hold from
// time t on.
func (s *Simulation) turnAll(t float64) {
	for _, c := range s.controllers {
		if c.Sampled != nil {
			s.switchedOn = s.switchedOn || c.speed == 0 && c.upcoming > 0
			c.turn(t, c.upcoming)
		}
	}
}

// book sets the powers that go with the present speeds, from time t on, and counts
// the energy that they have used up to there. The power of a continuous curve goes on
// along the tangent: held as it is, it would be wrong by all that a step changes it.
func (s *Simulation) book(t float64) {
	for k := range s.drawn {
		s.used[k] += s.drew(k, t)
	}
	s.drawnSince = t
	s.powers(func(source network.Source, power float64) {
		s.drawn[source], s.in.Power[source] = power, power
	})
	if s.continuous {
		s.bookSlopes(t)
	}
}

// drew returns the energy (J) that a source has drawn by a controlled speed since it
// was last booked, up to a time.
func (s *Simulation) drew(k int, t float64) float64 {
	d := t - s.drawnSince
	return (s.drawn[k] + s.drawing[k]*d/2) * d
}

// bookSlopes sets how the powers of continuous curves begin to change at time t, by
// the rates at which the temperatures do that they follow.
func (s *Simulation) bookSlopes(t float64) {
	const apart = 1e-6 // of the rated speed
	net, state := s.Plan.Network, s.it.State()
	net.F(t, state, s.rates)
	for _, c := range s.controllers {
		if !math.IsNaN(s.in.Speed[c.Drive]) {
			for _, p := range c.Source {
				s.drawing[p.Source] = 0
			}
			continue
		}
		rate := c.rate(func(n network.Node) (value, rate float64) {
			if n < 0 {
				return net.BoundaryTemperature(-1-int(n), t), s.in.Slope[-1-int(n)]
			}
			return net.Temperature(n, state[n]), net.Slope(n, state[n]) * s.rates[n]
		})
		speed := net.Speed(c.Drive)
		for _, p := range c.Source {
			slope := rate * (p.Power(speed+apart) - p.Power(speed-apart)) / (2 * apart)
			s.drawing[p.Source], s.in.PowerSlope[p.Source] = slope, slope
		}
	}
}

// rate returns how fast a continuous curve turns its speed (over the rated one, 1/s),
// from values and rates of nodes.
func (c *controller) rate(at func(n network.Node) (value, rate float64)) float64 {
	largest, rate := math.Inf(-1), 0.0
	for _, sum := range c.Follow {
		x, dx := 0.0, 0.0
		for _, term := range sum {
			v, r := at(term.Node)
			x, dx = x+term.Weight*v, dx+term.Weight*r
		}
		if x > largest {
			largest, rate = x, dx
		}
	}
	_, slope := c.Law(largest)
	return slope * rate
}

// powers tells the power that each source draws at the present speeds: of a
// continuous curve at the state last brought.
func (s *Simulation) powers(tell func(source network.Source, power float64)) {
	for _, c := range s.controllers {
		speed := s.in.Speed[c.Drive]
		if math.IsNaN(speed) {
			speed = s.Plan.Network.Speed(c.Drive)
		}
		for _, p := range c.Source {
			tell(p.Source, p.Power(speed))
		}
	}
}

// littlePower is a power that moves nothing that could be seen, W.
const littlePower = 0.02

// littleDrift is how far the power of a fan or pump on a continuous curve may stray
// from its tangent before it is booked anew, W: over the 0.1 K/W of a small loop it is
// worth a tenth of a millikelvin.
const littleDrift = 1e-3

// drifted reports whether a power that follows a continuous curve has left its tangent.
func (s *Simulation) drifted() (moved bool) {
	if !s.continuous {
		return false
	}
	t := s.it.Time()
	s.Plan.Network.Bring(t, s.it.State())
	s.powers(func(source network.Source, power float64) {
		booked := s.drawn[source] + s.drawing[source]*(t-s.drawnSince)
		moved = moved || math.Abs(power-booked) > littleDrift
	})
	return moved
}

// levelPowers sets the powers that go with the speeds at a level (K), and reports
// whether any moved.
func (s *Simulation) levelPowers(t float64, level []float64) (moved bool) {
	copy(s.present, level)
	s.Plan.Network.States(s.present[:len(s.Plan.Nodes)], s.present[:len(s.Plan.Nodes)])
	s.Plan.Network.Bring(t, s.present)
	s.powers(func(source network.Source, power float64) {
		moved = moved || math.Abs(power-s.in.Power[source]) > 1e-4
		s.in.Power[source] = power
	})
	return moved
}

// holdTargets holds the drives that hold a temperature at the speeds of a level (K): a
// PI is too slow to take part in time constants.
func (s *Simulation) holdTargets(t float64, level []float64) {
	copy(s.present, level)
	s.Plan.Network.States(s.present[:len(s.Plan.Nodes)], s.present[:len(s.Plan.Nodes)])
	s.Plan.Network.Bring(t, s.present)
	for _, c := range s.controllers {
		if c.Holds {
			s.in.Speed[c.Drive] = s.Plan.Network.Speed(c.Drive)
		}
	}
	s.Plan.Network.SetInputs(s.in)
}

// setSpeeds holds sampled drives at their speeds and lets others follow their laws.
func (s *Simulation) setSpeeds() {
	for _, c := range s.controllers {
		s.in.Speed[c.Drive] = c.told()
	}
}

// told returns the speed over the rated one at which a drive is held, or NaN where it
// follows its law. A curve that a fault has slowed is held where it then was.
func (c *controller) told() float64 {
	switch {
	case c.Sampled != nil:
		return c.speed * c.left
	case c.Held > 0:
		return c.Held * c.left
	case c.left < 1:
		return c.whole * c.left
	}
	return math.NaN()
}

// freeSpeeds lets all drives follow their laws, for a level. A sampled one that a fault
// has slowed follows its law to what is left.
func (s *Simulation) freeSpeeds() {
	for _, c := range s.controllers {
		s.in.Speed[c.Drive] = math.NaN()
		switch {
		case c.Sampled != nil && c.Bend != nil && c.left > 0:
			c.Bend(0, c.left)
		case c.Held > 0 || c.left < 1:
			s.in.Speed[c.Drive] = c.told()
		}
	}
}

// Speeds is what became of a controlled speed in a run.
type Speeds struct {
	Name    string
	Sampled bool
	Verdict control.Verdict // of a sampled one
	Last    float64         // revolutions per second, at the end
}

// speeds judges the record of all controlled speeds.
func (s *Simulation) speeds() []Speeds {
	var all []Speeds
	s.Plan.Network.Bring(s.it.Time(), s.it.State())
	for _, c := range s.controllers {
		one := Speeds{Name: c.Name, Sampled: c.Sampled != nil, Last: s.Plan.Network.Speed(c.Drive) * c.Rated}
		if c.Sampled != nil {
			one.Verdict = control.Hunting(slices.Clone(c.changes), 0, s.it.Time())
			one.Last = c.speed * c.left * c.Rated
		}
		all = append(all, one)
	}
	return all
}

// controlError returns why the network's tables of speeds failed, or nil.
func (s *Simulation) controlError() error {
	if err := s.Plan.Network.Err(); err != nil {
		return fmt.Errorf("following the speeds: %w", err)
	}
	return nil
}
