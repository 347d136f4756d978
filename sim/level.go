package sim

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"soakledger/sim/control"
	"soakledger/sim/equilibrium"
	"soakledger/sim/metric"
	"soakledger/sim/network"
)

// findLevel finds where the load in hand leads, from the present state.
func (s *Simulation) findLevel(t float64) {
	if !s.constant {
		s.level = metric.Level{Why: "the load changes within the phase"}
		return
	}
	if len(s.faults) > 0 || s.Plan.RoomMoves() || len(s.controllers) > 0 || len(s.protectors) > 0 {
		s.setLevelInputs(t, s.phaseEnd)
		defer s.setInputs(t)
	}
	loose, err := s.settleProtected(t, s.here()[:len(s.levelAt)])
	switch {
	case errors.Is(err, errCycles):
		s.level = metric.Level{Why: err.Error(), Kind: metric.Cycling}
	case err != nil:
		s.level = metric.Level{Why: err.Error()}
	case len(loose) > 0:
		s.level = metric.Level{State: s.levelAt, Why: s.tiedToNothing(loose)}
	default:
		s.level = metric.Level{State: s.levelAt}
	}
	if s.level.State != nil {
		s.level.Parts = s.levelParts(t)
		s.findPair(t)
	}
}

// errCycles is wrapped by the error of a load that leads to something that goes to and
// fro for ever.
var errCycles = errors.New("goes to and fro for ever")

// errToAndFro is the error of sampled controllers that come to rest nowhere.
var errToAndFro = fmt.Errorf("standing fans let it grow too warm for them to stand, turning ones too cool for them to turn: their speed %w", errCycles)

// settleProtected finds the level as settle does, unless a chip protects itself on the
// way there: one that throttles may come to rest throttled, or goes to and fro; one that
// shuts down leads elsewhere.
func (s *Simulation) settleProtected(t float64, from []float64) (loose []network.Node, err error) {
	from = slices.Clone(from)
	loose, err = s.settle(t, from)
	if err != nil || len(loose) > 0 {
		return loose, err
	}
	var hot []*protector
	for _, p := range s.protectors {
		p.restsThrottled = false
		if p.chip.CutsOut && !p.off && s.levelAt[p.chip.Die] >= p.chip.Shutdown && p.chip.Throttle == nil {
			return nil, fmt.Errorf("%s shuts down at %.0f degC before it settles", p.chip.Name, p.chip.Shutdown-zeroCelsius)
		}
		if th := p.chip.Throttle; th != nil && !p.off && s.levelAt[p.chip.Die] >= th.At {
			hot = append(hot, p)
			p.lasting = th.Power(true, p.lasting)
			s.in.Power[p.chip.Source] = p.limited(p.leak)
		}
	}
	if len(hot) == 0 {
		return nil, nil
	}
	s.Plan.Network.SetInputs(s.in)
	if loose, err = s.settle(t, from); err != nil || len(loose) > 0 {
		return loose, err
	}
	for _, p := range hot {
		if th := p.chip.Throttle; s.levelAt[p.chip.Die] <= th.Release {
			return nil, fmt.Errorf("%s throttles at %.0f degC before it settles, runs freely again at %.0f degC, and so %w", p.chip.Name, th.At-zeroCelsius, th.Release-zeroCelsius, errCycles)
		}
		p.restsThrottled = true
	}
	return nil, nil
}

// nearLevels is how close the levels of a pair may lie to count as one, K.
const nearLevels = 0.01

// settle finds the level to which sampled controllers lead from where they are: those
// that turn and those that stand now, held back by their hysteresis on the way.
func (s *Simulation) settle(t float64, from []float64) (loose []network.Node, err error) {
	if !slices.ContainsFunc(s.controllers, (*controller).rests) {
		return s.solveLevel(t, from)
	}
	from = slices.Clone(from)
	turning := make([]bool, len(s.controllers))
	for i, c := range s.controllers {
		turning[i] = c.speed != 0
	}
	if loose, err = s.settleFrom(t, from, 0, turning); err != nil || len(loose) > 0 || !slices.ContainsFunc(s.controllers, (*controller).lags) {
		return loose, err
	}
	// A pair tells how far hysteresis may hold it back; the level is that of the way it goes.
	way := 1.0
	if subject := s.Plan.Subject.Lump; s.levelAt[subject] < from[subject] {
		way = -1
	}
	return s.settleFrom(t, from, way, turning)
}

// rests reports whether a controller is one that hysteresis can hold back, or one that
// can stand.
func (c *controller) rests() bool {
	if c.Sampled == nil || c.Bend == nil || c.left == 0 {
		return false
	}
	_, _, ok := c.Sampled.Rests(0)
	return ok
}

// lags reports whether it has a hysteresis of its input.
func (c *controller) lags() bool {
	return c.rests() && c.Sampled.Hysteresis() != control.UpDown{}
}

// settleFrom finds a level on a way: rising above zero, falling below, at zero as if
// nothing held controllers back. Those that turn and those that stand change over until
// all are at rest; turning is changed. Where that leads round in circles, nothing is.
func (s *Simulation) settleFrom(t float64, from []float64, way float64, turning []bool) (loose []network.Node, err error) {
	defer s.straighten()
	var tried [][]bool
	for {
		s.lean(way, turning)
		s.Plan.Network.SetInputs(s.in)
		loose, err = s.solveLevel(t, from)
		if len(tried) > 0 && errors.Is(err, equilibrium.ErrNoLevel) {
			err = errToAndFro // without bounds is too warm, too
		}
		if err != nil || len(loose) > 0 {
			return loose, err
		}
		tried = append(tried, slices.Clone(turning))
		if !s.changeOver(t, turning) {
			s.turningAt = append(s.turningAt[:0], turning...)
			return nil, nil
		}
		if slices.ContainsFunc(tried, func(before []bool) bool { return slices.Equal(before, turning) }) {
			return nil, errToAndFro
		}
	}
}

// lean sets the laws and speeds of controllers that rest on a way.
func (s *Simulation) lean(way float64, turning []bool) {
	for i, c := range s.controllers {
		if !c.rests() {
			continue
		}
		h := c.Sampled.Hysteresis()
		lean := 0.0
		switch {
		case way > 0:
			lean = -h.Up
		case way < 0:
			lean = h.Down
		}
		c.Bend(lean, c.left)
		s.in.Speed[c.Drive] = math.NaN()
		if !turning[i] {
			s.in.Speed[c.Drive] = 0
		}
	}
}

// straighten lets all laws be as they are without hysteresis.
func (s *Simulation) straighten() {
	for _, c := range s.controllers {
		if c.Sampled != nil && c.Bend != nil {
			c.Bend(0, c.left)
		}
	}
}

// changeOver lets those stand that do not turn at the level found, and those turn that
// do not stand, and reports whether there are any.
func (s *Simulation) changeOver(t float64, turning []bool) (any bool) {
	for i, c := range s.controllers {
		if !c.rests() {
			continue
		}
		input := c.follow(func(n network.Node) float64 { return s.nodeAt(n, s.levelAt, t) })
		rising, falling, _ := c.Sampled.Rests(input + c.Sensor.Offset)
		if turning[i] && falling == 0 || !turning[i] && rising > 0 {
			turning[i], any = !turning[i], true
		}
	}
	return any
}

// findPair finds the two ends of the levels at which hysteresis may let the machine
// come to rest under the load in hand: from below with all fans standing, from above
// with all turning.
func (s *Simulation) findPair(t float64) {
	if !slices.ContainsFunc(s.controllers, (*controller).rests) {
		return
	}
	level, turningAt := slices.Clone(s.levelAt), slices.Clone(s.turningAt)
	defer func() {
		copy(s.levelAt, level)
		s.turningAt = turningAt
	}()
	subject := s.Plan.Subject.Lump
	var ends [2]float64
	for k, way := range [2]float64{1, -1} {
		turning := slices.Repeat([]bool{way < 0}, len(s.controllers))
		if _, err := s.settleFrom(t, level, way, turning); err != nil {
			return
		}
		ends[k] = s.levelAt[subject]
	}
	if math.Abs(ends[0]-ends[1]) > nearLevels {
		s.level.Kind, s.level.Rising, s.level.Falling = metric.Pair, ends[0], ends[1]
	}
}
