package sim

import (
	"fmt"
	"math"

	"soakledger/sim/assemble"
	"soakledger/sim/control"
)

// protector cuts the power of one chip: by its throttle, its power limits, its cut-out.
type protector struct {
	chip       *assemble.Chip
	on         bool             // it throttles
	off        bool             // it has shut down
	regimes    []control.Regime // of its limits
	averages   []float64        // W, of each limit, at the end of the last step
	before     []float64        // W, likewise, at its start
	leak       float64          // W, mean over the last step
	request    float64          // W, at present; its slope
	slope      float64          // W/s
	lost       float64          // J of work lost up to since
	lostBefore float64          // J, likewise, when the phase in hand began
	losing     float64          // W, from then on; its slope
	bending    float64          // W/s
	since      float64          // s
	held       float64          // s for which it has throttled or been limited
	began      float64          // s, since when it does; NaN while it does not
	crossed    float64          // s, when in the last step the throttle switches; +Inf if it does not
	met        float64          // s, likewise the limits
	cut        float64          // s, likewise the cut-out
	first      float64          // s, when it first did; NaN if never
}

// newProtectors prepares what protects chips.
func (s *Simulation) newProtectors() error {
	var names []string
	for i := range s.Plan.Chips {
		c := &s.Plan.Chips[i]
		if !c.Protected() {
			continue
		}
		s.protectors = append(s.protectors, &protector{
			chip: c, regimes: make([]control.Regime, len(c.Limits)), averages: make([]float64, len(c.Limits)), before: make([]float64, len(c.Limits)), began: math.NaN(), first: math.NaN(),
		})
		names = append(names, c.Name)
	}
	if len(names) == 0 {
		return nil
	}
	var err error
	s.chatter, err = control.NewChatter(names, control.MostSwitches)
	return err
}

// settleProtectors takes averages as those of the power that is drawn at the start
// for ever.
func (s *Simulation) settleProtectors(temperatures []float64) {
	for _, p := range s.protectors {
		p.request = s.in.Power[p.chip.Source]
		for i := range p.averages {
			p.averages[i] = 0
		}
		if s.Plan.Scenario.Start.Rule != "ambient" {
			for i := range p.averages {
				p.averages[i] = p.request
			}
		}
		if p.chip.Throttle != nil {
			p.on = p.chip.Throttle.Next(false, temperatures[p.chip.Die])
		}
	}
}

// allowed returns what a chip draws of a request at present, W, leakage left aside.
func (p *protector) allowed(request float64) float64 {
	if p.off {
		return 0
	}
	if p.chip.Throttle != nil {
		request = p.chip.Throttle.Power(p.on, request)
	}
	return math.Max(0, math.Min(request, p.chip.Limits.Allowed(p.regimes)-p.leak))
}

// total returns what a chip would draw without its limits, leakage included, W.
func (p *protector) total() float64 {
	if p.off {
		return 0
	}
	request := p.request
	if p.chip.Throttle != nil {
		request = p.chip.Throttle.Power(p.on, request)
	}
	return request + p.leak
}

// protect puts what chips draw in place of what they are asked for, from time t on.
func (s *Simulation) protect(t float64) {
	for _, p := range s.protectors {
		k := p.chip.Source
		d := t - p.since
		p.lost += (p.losing + p.bending*d/2) * d
		p.since = t
		p.request, p.slope = s.in.Power[k], s.in.PowerSlope[k]
		p.chip.Limits.Next(p.regimes, p.total(), p.averages)
		drawn := p.allowed(p.request)
		slope := p.slope
		if drawn != p.request { // a cut power does not follow a ramp until the next look
			slope = 0
		}
		p.losing, p.bending = p.request-drawn, p.slope-slope
		if p.off && p.chip.Leak >= 0 {
			s.in.Leak[p.chip.Leak] = 0
		}
		s.in.Power[k], s.in.PowerSlope[k] = drawn, slope
		p.mark(t, drawn < p.request)
	}
}

// levelRequests sets the powers that last: requests up to the long limits, with the
// leakage of the last step.
func (s *Simulation) levelRequests() {
	for _, p := range s.protectors {
		power := p.request
		if p.off {
			power = 0
		}
		for _, l := range p.chip.Limits {
			power = math.Min(power, l.Long-p.leak)
		}
		s.in.Power[p.chip.Source] = math.Max(0, power)
	}
}

// mark keeps count of the time for which power is cut.
func (p *protector) mark(t float64, cut bool) {
	switch was := !math.IsNaN(p.began); {
	case cut && !was:
		p.began = t
		if math.IsNaN(p.first) {
			p.first = t
		}
	case !cut && was:
		p.held += t - p.began
		p.began = math.NaN()
	}
}

// guard looks for the first crossing in the step at hand that switches a throttle or a
// limit, and cuts the step there. It reports whether anything is to be switched.
func (s *Simulation) guard() bool {
	if len(s.protectors) == 0 {
		return false
	}
	start, end := s.view.Start(), s.view.End()
	cut := math.Inf(1)
	for _, p := range s.protectors {
		s.watchLeak(p, start, end)
		p.crossed, p.met, p.cut = s.throttleCrossing(p, start, end), p.limitCrossing(start, end), s.cutCrossing(p, start, end)
		cut = math.Min(cut, math.Min(p.cut, math.Min(p.crossed, p.met)))
	}
	if cut < end {
		s.it.TruncateTo(cut)
		s.view.read(s.it.Segment())
	}
	return cut <= end
}

// watchLeak takes the mean leakage of a step from the ledger.
func (s *Simulation) watchLeak(p *protector, start, end float64) {
	if p.chip.Leak < 0 || end == start {
		return
	}
	i := len(s.lowest) + len(s.Plan.Network.Paths()) + p.chip.Leak
	energy := s.view.of(i)
	p.leak = (energy.At(1) - energy.At(0)) / (end - start)
}

// throttleCrossing returns when a die first passes the temperature that switches its
// throttle, +Inf if it does not in the step.
func (s *Simulation) throttleCrossing(p *protector, start, end float64) float64 {
	if p.chip.Throttle == nil {
		return math.Inf(1)
	}
	return s.dieCrossing(p, p.chip.Throttle.Crossing(p.on), start, end)
}

// cutCrossing returns when a die first passes its shutdown, likewise.
func (s *Simulation) cutCrossing(p *protector, start, end float64) float64 {
	if c, waits := p.chip.Cutout().Crossing(p.off); waits && p.chip.CutsOut {
		return s.dieCrossing(p, c, start, end)
	}
	return math.Inf(1)
}

// dieCrossing returns when a die first meets a crossing, likewise.
func (s *Simulation) dieCrossing(p *protector, c control.Crossing, start, end float64) float64 {
	die := *s.view.of(int(p.chip.Die))
	low, high := die.Bounds()
	if c.Rising && high < c.Level || !c.Rising && low > c.Level {
		return math.Inf(1)
	}
	s.roots = die.Crossings(c.Level, s.roots[:0])
	for _, theta := range s.roots {
		return start + theta*(end-start)
	}
	if c.Met(die.At(1)) {
		return end
	}
	return math.Inf(1)
}

// limitCrossing returns when a moving average first meets a long limit, with the
// mean power of the step.
func (p *protector) limitCrossing(start, end float64) float64 {
	first := math.Inf(1)
	for i, l := range p.chip.Limits {
		if _, waits := l.AverageCrossing(p.regimes[i]); !waits {
			continue
		}
		if left := l.BoostLeft(p.averages[i], p.drawn((start+end)/2)); left <= end-start {
			first = math.Min(first, start+left)
		}
	}
	return first
}

// drawn returns the total power that is drawn at a time, W.
func (p *protector) drawn(t float64) float64 {
	d := t - p.since
	return p.request + p.slope*d - p.losing - p.bending*d + p.leak
}

// settleGuard brings averages to the end of the step, and throttles and limits to
// where they then are. It reports whether any has switched, and why the run cannot go
// on.
func (s *Simulation) settleGuard() (switched bool, err error) {
	start, end := s.view.Start(), s.view.End()
	for i, p := range s.protectors {
		copy(p.before, p.averages)
		power := p.drawn((start + end) / 2)
		for k, l := range p.chip.Limits {
			p.averages[k] = l.Average(p.averages[k], power, end-start)
			if _, waits := l.AverageCrossing(p.regimes[k]); waits && p.met <= end && p.averages[k] > l.Long*(1-1e-9) {
				p.averages[k] = math.Max(p.averages[k], l.Long) // the crossing was located to rounding
			}
		}
		changed := p.chip.Limits.Next(p.regimes, p.total(), p.averages)
		if changed {
			s.events = append(s.events, Event{Time: end, Kind: "limit", Text: fmt.Sprintf("%s is %s by its power limits: %.0f W", p.chip.Name, p.worst(), p.allowed(p.request)+p.leak)})
		}
		if th := p.chip.Throttle; th != nil && !p.off {
			// A crossing that was located switches, though rounding may have left the die on its
			// near side.
			if on := th.Next(p.on, s.view.of(int(p.chip.Die)).At(1)); on != p.on || p.crossed <= end {
				p.on, changed = !p.on, true
				word := "throttles"
				if !p.on {
					word = "runs freely again"
				}
				s.switchedOn = s.switchedOn || p.on
				s.events = append(s.events, Event{Time: end, Kind: "throttle", Text: fmt.Sprintf("%s %s at %.1f degC", p.chip.Name, word, s.view.of(int(p.chip.Die)).At(1)-zeroCelsius)})
			}
		}
		if p.cut <= end {
			p.off, changed = true, true
			s.events = append(s.events, Event{Time: end, Kind: "shutdown", Text: fmt.Sprintf("%s shuts down at %.1f degC; the rest of the machine is taken to run on", p.chip.Name, p.chip.Shutdown-zeroCelsius)})
		}
		if changed {
			if err := s.chatter.Switched(i, end); err != nil {
				return true, fmt.Errorf("protecting %s: %w", p.chip.Name, err)
			}
		}
		switched = switched || changed || math.Abs(p.allowed(p.request+p.slope*(end-p.since))-(p.drawn(end)-p.leak)) > littlePower
	}
	return switched, nil
}

// worst returns the tightest regime of a chip's limits.
func (p *protector) worst() control.Regime {
	worst := control.Free
	for _, r := range p.regimes {
		worst = max(worst, r)
	}
	return worst
}

// Protection is what cutting a chip's power came to in a run.
type Protection struct {
	Chip  string
	Lost  float64 // J that were asked for and not drawn
	Share float64 // of all that was asked for
	Held  float64 // s for which it drew less than it was asked for
	First float64 // s, when it first did; NaN if never
	Off   bool    // it shut down
}

// protections sums up at the end of the run.
func (s *Simulation) protections() []Protection {
	end := s.it.Time()
	var all []Protection
	asked := make([]float64, len(s.in.Power))
	s.Plan.Timeline.Energy(0, end, asked)
	for _, p := range s.protectors {
		one := Protection{Chip: p.chip.Name, Lost: p.lostAt(end), Held: p.held, First: p.first, Off: p.off}
		if !math.IsNaN(p.began) {
			one.Held += end - p.began
		}
		if total := asked[p.chip.Source]; total > 0 {
			one.Share = one.Lost / total
		}
		all = append(all, one)
	}
	return all
}

// lostAt returns the work lost up to a time, J.
func (p *protector) lostAt(t float64) float64 {
	d := t - p.since
	return p.lost + (p.losing+p.bending*d/2)*d
}
