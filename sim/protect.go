package sim

import (
	"fmt"
	"math"

	"soakledger/sim/assemble"
	"soakledger/sim/control"
	"soakledger/sim/record"
	"soakledger/sim/work"
)

// protector cuts the power of one chip: by its throttle, its power limits, its cut-out.
type protector struct {
	chip           *assemble.Chip
	on             bool              // it throttles
	off            bool              // it has shut down
	restsThrottled bool              // at the level last found it does
	regimes        []control.Regime  // of its limits
	averages       []float64         // W, of each limit, at the end of the last step
	before         []float64         // W, likewise, at its start
	leak           float64           // W, at the end of the last step
	leakSlope      float64           // W/s, likewise
	energy         record.Polynomial // J, of the leakage over the last step
	from           float64           // s, when that began
	length         float64           // s, of it
	lasting        float64           // W, what is asked for at a level
	request        float64           // W, at present; its slope
	slope          float64           // W/s
	lost           float64           // J of work lost up to since
	lostBefore     float64           // J, likewise, when the phase in hand began
	losing         float64           // W, from then on; its slope
	bending        float64           // W/s
	since          float64           // s
	held           float64           // s for which it has throttled or been limited
	began          float64           // s, since when it does; NaN while it does not
	crossed        float64           // s, when in the last step the throttle switches; +Inf if it does not
	met            float64           // s, likewise the limits
	cut            float64           // s, likewise the cut-out
	first          float64           // s, when it first did; NaN if never
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
		if p.chip.Leak >= 0 {
			p.leak = s.leakAt(0, temperatures, p.chip.Leak)
		}
		for i := range p.averages {
			p.averages[i] = 0
			if s.Plan.Scenario.Start.Rule != "ambient" {
				p.averages[i] = s.in.Power[p.chip.Source] + p.leak
			}
		}
		if p.chip.Throttle != nil {
			p.on = p.chip.Throttle.Next(p.restsThrottled, temperatures[p.chip.Die])
		}
	}
}

// asked returns what a chip would draw of a request without limits, leakage left
// aside (W), and how much of a small change of the request it takes.
func (p *protector) asked(request float64) (power, share float64) {
	th := p.chip.Throttle
	switch {
	case p.off:
		return 0, 0
	case th == nil || !p.on:
		return request, 1
	case th.Share:
		return th.Power(true, request), th.To
	case request > th.To:
		return th.To, 0
	}
	return request, 1
}

// draws returns what a chip draws of a request that changes by a slope (W, W/s),
// leakage left aside, and how that changes.
func (p *protector) draws(request, slope float64) (power, change float64) {
	power, share := p.asked(request)
	change = share * slope
	most := p.chip.Limits.Allowed(p.regimes) - p.leak
	if p.off || power < most || power == most && change <= -p.leakSlope {
		return power, change
	}
	if most <= 0 {
		return 0, 0
	}
	return most, -p.leakSlope
}

// total returns what a chip would draw without its limits, leakage included, W.
func (p *protector) total() float64 {
	power, _ := p.asked(p.request)
	if p.off {
		return 0
	}
	return power + p.leak
}

// protect puts what chips draw in place of what they are asked for, from time t on, and
// shortens the time for which that holds to where what cuts a ramp changes.
func (s *Simulation) protect(t float64) {
	for _, p := range s.protectors {
		k := p.chip.Source
		p.lost = p.lostAt(t)
		p.since = t
		p.request, p.slope = s.in.Power[k], s.in.PowerSlope[k]
		p.chip.Limits.Next(p.regimes, p.total(), p.averages)
		drawn, slope := p.draws(p.request, p.slope)
		p.losing, p.bending = p.request-drawn, p.slope-slope
		if p.off && p.chip.Leak >= 0 {
			s.in.Leak[p.chip.Leak] = 0
		}
		s.in.Power[k], s.in.PowerSlope[k] = drawn, slope
		p.mark(t, drawn < p.request)
		s.heldUntil = math.Min(s.heldUntil, p.edge(t))
	}
}

// edge returns when a ramp of the request next comes to where another rule cuts it, +Inf
// where it comes to none.
func (p *protector) edge(t float64) float64 {
	if p.slope == 0 || p.off {
		return math.Inf(1)
	}
	_, share := p.asked(p.request)
	first := math.Inf(1)
	at := func(request float64) {
		if when := p.since + (request-p.request)/p.slope; when > t && !work.Together(t, when) {
			first = math.Min(first, when)
		}
	}
	if th := p.chip.Throttle; th != nil && p.on && !th.Share {
		at(th.To)
		share = 1
	}
	if share > 0 {
		p.chip.Limits.Edges(p.slope > 0, func(total float64) { at((total - p.leak) / share) })
	}
	return first
}

// levelRequests sets the powers that last: requests, which limits cut when their level
// is found.
func (s *Simulation) levelRequests() {
	for _, p := range s.protectors {
		p.lasting = p.request
		if p.off {
			p.lasting = 0
		}
		s.in.Power[p.chip.Source] = p.limited(p.leak)
	}
}

// limited returns what lasts of a request under the long limits, with a leakage (W).
func (p *protector) limited(leak float64) float64 {
	power := p.lasting
	for _, l := range p.chip.Limits {
		power = math.Min(power, l.Long-leak)
	}
	return math.Max(0, power)
}

// levelLimits sets the powers that last with the leakage at a level (K), and reports
// whether any moved.
func (s *Simulation) levelLimits(t float64, level []float64) (moved bool) {
	for _, p := range s.protectors {
		if p.chip.Leak < 0 || len(p.chip.Limits) == 0 {
			continue
		}
		power := p.limited(s.leakAt(t, level, p.chip.Leak))
		k := p.chip.Source
		moved = moved || math.Abs(power-s.in.Power[k]) > 1e-4
		s.in.Power[k] = power
	}
	return moved
}

// leakAt returns the power (W) of a leak at temperatures (K).
func (s *Simulation) leakAt(t float64, temperatures []float64, leak int) float64 {
	states := len(s.Plan.Nodes)
	copy(s.present, temperatures)
	s.Plan.Network.States(s.present[:states], s.present[:states])
	all, _ := s.Plan.Network.Dim()
	s.Plan.Network.F(t, s.present, s.rates)
	return s.rates[all+len(s.Plan.Network.Paths())+leak]
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

// watchLeak reads leakage and its slope at the end of a step off the ledger.
func (s *Simulation) watchLeak(p *protector, start, end float64) {
	p.from, p.length = start, end-start
	if p.chip.Leak < 0 || end == start {
		return
	}
	i := len(s.lowest) + len(s.Plan.Network.Paths()) + p.chip.Leak
	p.energy = *s.view.of(i)
	e := &p.energy
	p.leak = (e[1] + 2*e[2] + 3*e[3] + 4*e[4]) / p.length
	p.leakSlope = (2*e[2] + 6*e[3] + 12*e[4]) / (p.length * p.length)
}

// drewAt returns the total power that was drawn at a time in the step at hand, W.
func (p *protector) drewAt(t float64) float64 {
	power := p.drawn(t)
	if p.chip.Leak < 0 || p.length == 0 {
		return power
	}
	theta := (t - p.from) / p.length
	e := &p.energy
	return power + (e[1]+theta*(2*e[2]+theta*(3*e[3]+theta*4*e[4])))/p.length
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

// limitCrossing returns when in the step a moving average first meets a long limit, +Inf
// if none does.
func (p *protector) limitCrossing(start, end float64) float64 {
	first := math.Inf(1)
	for i, l := range p.chip.Limits {
		if _, waits := l.AverageCrossing(p.regimes[i]); !waits {
			continue
		}
		if after, met := l.Meets(p.averages[i], func(d float64) float64 { return p.drewAt(start + d) }, end-start); met {
			first = math.Min(first, start+after)
		}
	}
	return first
}

// drawn returns the power that is drawn at a time, leakage left aside, W.
func (p *protector) drawn(t float64) float64 {
	d := t - p.since
	return p.request + p.slope*d - p.losing - p.bending*d
}

// settleGuard brings averages to the end of the step, and throttles and limits to
// where they then are. It reports whether any has switched, and why the run cannot go
// on.
func (s *Simulation) settleGuard() (switched bool, err error) {
	start, end := s.view.Start(), s.view.End()
	for i, p := range s.protectors {
		s.watchLeak(p, start, end) // something else may have cut the step
		copy(p.before, p.averages)
		for k, l := range p.chip.Limits {
			p.averages[k] = l.AverageOf(p.averages[k], func(d float64) float64 { return p.drewAt(start + d) }, end-start)
			if _, waits := l.AverageCrossing(p.regimes[k]); waits && p.met <= end && p.averages[k] > l.Long*(1-1e-9) {
				p.averages[k] = math.Max(p.averages[k], l.Long) // the crossing was located to rounding
			}
		}
		changed := p.chip.Limits.Next(p.regimes, p.total(), p.averages)
		if changed {
			s.events = append(s.events, Event{Time: end, Kind: "limit", Text: fmt.Sprintf("%s is %s by its power limits: %.0f W", p.chip.Name, p.worst(), p.drawsAt(end)+p.leak)})
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
		switched = switched || changed || math.Abs(p.drawsAt(end)-p.drawn(end)) > littlePower
	}
	return switched, nil
}

// drawsAt returns what the chip draws by its rules at a time, leakage left aside, W.
func (p *protector) drawsAt(t float64) float64 {
	power, _ := p.draws(p.request+p.slope*(t-p.since), p.slope)
	return power
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
