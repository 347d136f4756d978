package control

import "math"

// SampledState is what a sampled controller remembers. It is a value of fixed
// size: a copy is a state of its own, and two states are the same if == says so.
type SampledState struct {
	recent   [MaxWindow]float64 // the newest inputs, a ring
	newest   int32              // place of the newest in it
	filled   int32              // how many there are
	pending  int32              // direction in which the mean has left the held input, or 0
	started  bool               // the held input is set
	primed   bool               // the integral is set
	standing bool               // the output is 0 until Start is asked for
	zero     bool               // the input is low enough to stand
	held     float64            // input the law works with
	since    float64            // s, when pending began
	integral float64            // of the PI
	goal     float64            // the output asked for
	level    float64            // the output before it is rounded
	output   float64
}

// Output returns the output that holds since the last sample.
func (s *SampledState) Output() float64 { return s.output }

// Like reports whether a controller goes on from s as it does from o, each at a sample
// of its own: what switches is alike, inputs differ by no more than input and outputs,
// the integral of a PI among them, by no more than output. How long a hold has waited
// is left aside.
func (s *SampledState) Like(o *SampledState, input, output float64) bool {
	switch {
	case s.pending != o.pending || s.started != o.started || s.primed != o.primed || s.standing != o.standing || s.zero != o.zero:
		return false
	case math.Abs(s.output-o.output) > output || math.Abs(s.goal-o.goal) > output || math.Abs(s.level-o.level) > output:
		return false
	}
	return math.Abs(s.integral-o.integral) <= output && math.Abs(s.held-o.held) <= input && math.Abs(s.mean()-o.mean()) <= input
}

// mean returns the mean of the inputs in the window, 0 of none.
func (s *SampledState) mean() float64 {
	sum := 0.0
	for _, x := range s.recent[:s.filled] {
		sum += x / float64(s.filled)
	}
	return sum
}

// Begin returns the state of a controller that has seen no input yet and whose
// output is the one given, as far as Min, Max, Stop and the resolution allow;
// 0 stands. The first sample takes its input as held, whatever hysteresis and
// hold say; slew counts from here, and a PI begins where it asks for this output.
func (c *Sampled) Begin(output float64) SampledState {
	if !(output > 0) {
		return SampledState{standing: true}
	}
	level := c.rounded(output, c.least)
	return SampledState{level: level, output: level}
}

// Settled returns the state of a controller on a curve as if the input had been
// at this value for ever. Where that leaves open whether a fan turns, between
// stop and start or within the zero band, it turns. With a PI, for which an input
// off the setpoint is never settled, the output is Max above the setpoint and
// Min elsewhere.
func (c *Sampled) Settled(input float64) SampledState {
	s := SampledState{held: input, started: true, filled: int32(c.samples)}
	for i := range c.samples {
		s.recent[i] = input
	}
	level := c.spec.Min
	switch {
	case c.spec.Curve != nil:
		level = c.asked(c.spec.Curve.Exact(input))
	case input > c.spec.PI.Setpoint:
		level = c.spec.Max
	}
	if c.spec.PI != nil {
		s.integral, s.primed = c.spec.PI.integralFor(level, input), true
	}
	s.goal = level
	s.zero = c.spec.Zero.On && input <= c.spec.Zero.Below
	if s.zero || level < c.spec.Stop {
		s.standing = true
		return s
	}
	s.level, s.output = level, c.rounded(level, c.least)
	return s
}

// Step takes the sample at time t (s) of an input, which must be finite, and
// returns the output from t on and whether it differs from the one before. Every
// sample must be given, once, in order; t is that of Time.
func (c *Sampled) Step(s *SampledState, t, input float64) (output float64, changed bool) {
	mean := c.average(s, input)
	moved := c.hold(s, t, mean)
	c.switchZero(s, mean)
	c.ask(s, moved)
	c.move(s)
	switch {
	case s.standing:
		output = 0
	case s.level == s.goal:
		output = s.goal // rounded already
	default:
		output = c.rounded(s.level, c.least)
	}
	changed = output != s.output
	s.output = output
	return output, changed
}

// average puts the input into the window and returns the mean of what is in it:
// fewer than a window at first. The mean is that of differences from the newest,
// so that equal inputs give exactly themselves.
func (c *Sampled) average(s *SampledState, input float64) float64 {
	if c.samples == 1 {
		return input
	}
	n := int32(c.samples)
	s.filled = min(s.filled+1, n)
	if s.newest++; s.newest >= n || s.filled == 1 {
		s.newest = 0
	}
	s.recent[s.newest] = input
	sum := 0.0
	for _, x := range s.recent[:s.filled] {
		sum += x - input
	}
	return input + sum/float64(s.filled)
}

// hold moves the held input to the mean if the two have differed enough for long
// enough, and reports whether it did. Times are compared to a millionth of a
// period, since differences of products round.
func (c *Sampled) hold(s *SampledState, t, mean float64) (moved bool) {
	if !s.started {
		s.held, s.started = mean, true
		return true
	}
	difference := mean - s.held
	direction, wait := int32(0), 0.0
	switch {
	case difference > 0 && difference >= c.spec.Hysteresis.Up:
		direction, wait = 1, c.spec.Hold.Up
	case difference < 0 && -difference >= c.spec.Hysteresis.Down:
		direction, wait = -1, c.spec.Hold.Down
	}
	if direction != s.pending {
		s.pending, s.since = direction, t
	}
	if direction != 0 && t-s.since >= wait-1e-6*c.spec.Period {
		s.held, s.pending = mean, 0
		return true
	}
	return false
}

// switchZero decides on standing at a low input. Hold does not delay it.
func (c *Sampled) switchZero(s *SampledState, mean float64) {
	z := c.spec.Zero
	if !z.On {
		return
	}
	switch {
	case mean <= z.Below:
		s.zero = true
	case mean >= z.Below+z.Band:
		s.zero = false
	}
}

// ask brings the output asked for up to date: a curve asks for another only when
// the held input has moved.
func (c *Sampled) ask(s *SampledState, moved bool) {
	if c.spec.Curve != nil {
		if moved {
			s.goal = c.asked(c.spec.Curve.Exact(s.held))
		}
		return
	}
	if !s.primed {
		s.integral, s.primed = c.spec.PI.integralFor(s.level, s.held), true
	}
	var u float64
	u, s.integral = c.spec.PI.next(s.integral, s.held, c.spec.Period, c.spec.Min, c.spec.Max)
	s.goal = c.asked(u)
}

// move brings the level towards the goal as far as the slew allows. A turning
// fan slows down to the least output at which it turns, then stands; a standing
// one starts with Start, or Min if that is more, at once.
func (c *Sampled) move(s *SampledState) {
	goal := s.goal
	switch {
	case s.standing:
		if s.zero || goal < c.spec.Start {
			return
		}
		s.standing = false
		s.level = min(goal, max(c.rise, c.spec.Start, c.spec.Min))
	case s.zero || goal < c.spec.Stop:
		s.level -= c.fall
		if s.level < c.least || s.level <= 0 {
			s.level, s.standing = 0, true
		}
	case goal > s.level:
		s.level = min(goal, s.level+c.rise)
	default:
		s.level = max(goal, s.level-c.fall)
	}
}
