package network

import "math"

// Aux numbers the auxiliary states, in the order in which they were added.
type Aux int

// Signal is what an auxiliary state follows: see TemperatureOf, InletOf,
// OutletOf and PowerOf.
type Signal struct {
	kind   signalKind
	index  int
	weight float64
}

type signalKind uint8

const (
	ofNode signalKind = iota
	ofInlet
	ofOutlet
	ofPower
	ofState
)

// TemperatureOf is weight times the temperature (K) of a node.
func TemperatureOf(n Node, weight float64) Signal { return Signal{ofNode, int(n), weight} }

// InletOf is weight times the temperature (K) of a pass's air at the inlet of its
// core, as Network.Air tells it.
func InletOf(p Pass, weight float64) Signal { return Signal{ofInlet, int(p), weight} }

// OutletOf is weight times the temperature (K) of a pass's air at the outlet of
// its core.
func OutletOf(p Pass, weight float64) Signal { return Signal{ofOutlet, int(p), weight} }

// PowerOf is weight times the power (W) of a source and of all leaks on the
// lumps that it heats.
func PowerOf(s Source, weight float64) Signal { return Signal{ofPower, int(s), weight} }

// wattsPerKelvin is how much error of a power counts as much as a kelvin of a
// temperature: a few milliwatt at common tolerances. Our choice, no source.
const wattsPerKelvin = 10

// auxOf is what a builder keeps of an auxiliary state.
type auxOf struct {
	name    string
	tau     float64
	scale   float64
	signals []Signal
}

// Lag adds an auxiliary state, a sensor with the time constant tau (s, > 0): its
// reading y follows the sum u of temperatures by y' = (u - y)/tau. It takes up no
// heat. Weights that sum to 1 give a mean.
func (b *Builder) Lag(name string, tau float64, of ...Signal) Aux {
	for _, s := range of {
		if s.kind == ofPower {
			b.fail("lag %s: a power is averaged, not sensed", name)
		}
	}
	return b.follow("lag "+name, auxOf{name: name, tau: tau, scale: 1, signals: of})
}

// Average adds an auxiliary state, the exponential moving average, with the time
// constant tau (s, > 0), of the sum of powers.
func (b *Builder) Average(name string, tau float64, of ...Signal) Aux {
	for _, s := range of {
		if s.kind != ofPower {
			b.fail("average %s: a temperature is sensed with a lag, not averaged", name)
		}
	}
	return b.follow("average "+name, auxOf{name: name, tau: tau, scale: wattsPerKelvin, signals: of})
}

// follow adds an auxiliary state and records what is wrong with it.
func (b *Builder) follow(what string, a auxOf) Aux {
	if !(a.tau > 0) || math.IsInf(a.tau, 1) {
		b.fail("%s: a time constant of %g s is not above zero and finite", what, a.tau)
	}
	if len(a.signals) == 0 {
		b.fail("%s follows nothing", what)
	}
	for _, s := range a.signals {
		count, kind := len(b.passes), "pass"
		if s.kind == ofPower {
			count, kind = len(b.sources), "source"
		}
		switch {
		case math.IsNaN(s.weight) || math.IsInf(s.weight, 0):
			b.fail("%s: a weight of %g is not finite", what, s.weight)
		case s.kind == ofState:
			b.fail("%s: an auxiliary state follows no other", what)
		case s.kind == ofNode && !b.known(Node(s.index)):
			b.fail("%s: there is no node %d", what, s.index)
		case s.kind == ofNode:
		case s.index < 0 || s.index >= count:
			b.fail("%s: there is no %s %d", what, kind, s.index)
		case s.kind != ofPower:
			b.passes[s.index].sensed = true
		}
	}
	b.auxiliaries = append(b.auxiliaries, a)
	return Aux(len(b.auxiliaries) - 1)
}

// auxLink is the working data of an auxiliary state.
type auxLink struct {
	name       string
	tau, scale float64
	terms      []auxTerm
}

// auxTerm is one signal of it.
type auxTerm struct {
	kind   signalKind
	index  int32 // among nodes, passes or sources
	weight float64
	leaks  []int32 // of a power
	entry  []int32 // entries of the Jacobian: at the lump, the columns of inlet or outlet, or the lumps of the leaks
}

// addAuxiliaries copies what a checked builder has of auxiliary states.
func (n *Network) addAuxiliaries(b *Builder) {
	for _, a := range b.auxiliaries {
		link := auxLink{name: a.name, tau: a.tau, scale: a.scale}
		for _, s := range a.signals {
			term := auxTerm{kind: s.kind, index: int32(s.index), weight: s.weight}
			switch s.kind {
			case ofNode:
				if k, out := Node(s.index).boundary(); out {
					term.index = int32(len(n.names) + k)
				}
			case ofPower:
				term.leaks = n.leaksWith(&n.sources[s.index])
			}
			link.terms = append(link.terms, term)
		}
		n.auxiliaries = append(n.auxiliaries, link)
	}
}

// leaksWith returns the leaks on the lumps that a source heats.
func (n *Network) leaksWith(s *sourceOf) (leaks []int32) {
	heated := make(map[Node]bool, len(s.lumps))
	for _, lump := range s.lumps {
		heated[lump] = true
	}
	for i := range n.leaks {
		if heated[n.leaks[i].lump] {
			leaks = append(leaks, int32(i))
		}
	}
	return leaks
}

// signal returns what an auxiliary state follows at time t. Temperatures, leaks
// and air must be up to date.
func (n *Network) signal(a *auxLink, t float64) float64 {
	sum := 0.0
	for i := range a.terms {
		s := &a.terms[i]
		switch s.kind {
		case ofNode:
			sum += s.weight * n.nodes[s.index]
		case ofInlet:
			sum += s.weight * (n.breaths[s.index].inlet + n.airRest)
		case ofOutlet:
			sum += s.weight * (n.breaths[s.index].outlet + n.airRest)
		case ofPower:
			p := n.PowerAt(int(s.index), t)
			for _, l := range s.leaks {
				p += n.leaks[l].p
			}
			sum += s.weight * p
		}
	}
	return sum
}

// airSignal returns the part of signal that depends on air.
func (n *Network) airSignal(a *auxLink) float64 {
	sum := 0.0
	for i := range a.terms {
		switch s := &a.terms[i]; s.kind {
		case ofInlet:
			sum += s.weight * n.breaths[s.index].inlet
		case ofOutlet:
			sum += s.weight * n.breaths[s.index].outlet
		}
	}
	return sum
}

// follow adds the rates of auxiliary states, as signal.
func (n *Network) follow(t float64, y, dydt []float64) {
	first := len(n.names)
	for k := range n.auxiliaries {
		a := &n.auxiliaries[k]
		dydt[first+k] = (n.signal(a, t) - y[first+k]) / a.tau
	}
}

// addAuxDrift adds the derivatives of auxiliary states with time, at rates of
// change that breathe has worked out.
func (n *Network) addAuxDrift(dfdt []float64) {
	for k := range n.auxiliaries {
		a, sum := &n.auxiliaries[k], 0.0
		for i := range a.terms {
			s := &a.terms[i]
			switch s.kind {
			case ofNode:
				sum += s.weight * n.drift[s.index]
			case ofInlet:
				sum += s.weight * n.breaths[s.index].inlet
			case ofOutlet:
				sum += s.weight * n.breaths[s.index].outlet
			case ofPower:
				sum += s.weight * n.in.PowerSlope[s.index]
			}
		}
		dfdt[len(n.names)+k] = sum / a.tau
	}
}

// auxColumns returns the lumps on whose states a signal depends.
func (n *Network) auxColumns(s *auxTerm) []int32 {
	switch s.kind {
	case ofInlet:
		return n.passes[s.index].inletCols
	case ofOutlet:
		return n.passes[s.index].outletCols
	case ofPower:
		var lumps []int32
		for _, l := range s.leaks {
			lumps = append(lumps, int32(n.leaks[l].lump))
		}
		return lumps
	}
	if int(s.index) < len(n.names) {
		return []int32{s.index}
	}
	return nil
}

// markAuxiliaries marks the structural nonzeros of auxiliary states.
func (n *Network) markAuxiliaries(mark func(row int, col int32)) {
	for k := range n.auxiliaries {
		row := int32(len(n.names) + k)
		mark(int(row), row)
		for i := range n.auxiliaries[k].terms {
			markAll(mark, row, n.auxColumns(&n.auxiliaries[k].terms[i]))
		}
	}
}

// placeAuxiliaries looks up where their derivatives go.
func (n *Network) placeAuxiliaries() {
	for k := range n.auxiliaries {
		for i := range n.auxiliaries[k].terms {
			s := &n.auxiliaries[k].terms[i]
			s.entry = n.entries(int32(len(n.names)+k), n.auxColumns(s))
		}
	}
}

// addAuxDerivatives adds the derivatives of what auxiliary states follow. All
// must be up to date, those of air too.
func (n *Network) addAuxDerivatives(jac []float64) {
	for k := range n.auxiliaries {
		a := &n.auxiliaries[k]
		for i := range a.terms {
			s := &a.terms[i]
			weight := s.weight / a.tau
			for c, at := range s.entry {
				switch s.kind {
				case ofNode:
					jac[at] += weight * n.slope[s.index]
				case ofInlet:
					p := &n.passes[s.index]
					jac[at] += weight * p.dInlet[p.inletCols[c]]
				case ofOutlet:
					p := &n.passes[s.index]
					jac[at] += weight * p.dOutlet[p.outletCols[c]]
				case ofPower:
					l := &n.leaks[s.leaks[c]]
					jac[at] += weight * l.slope(l.p) * n.slope[l.lump]
				}
			}
		}
	}
}

// Auxiliaries returns the names of the auxiliary states, which follow the lumps
// in the state vector.
func (n *Network) Auxiliaries() []string {
	names := make([]string, len(n.auxiliaries))
	for k := range n.auxiliaries {
		names[k] = n.auxiliaries[k].name
	}
	return names
}

// AuxState returns the index of an auxiliary state in the state vector.
func (n *Network) AuxState(a Aux) int { return len(n.names) + int(a) }

// Scale returns what counts as much as a kelvin in state i: 1 of a lump or a
// sensor, 10 W of an average of power. An integrator's absolute tolerance is to
// be multiplied by it.
func (n *Network) Scale(i int) float64 {
	if k := i - len(n.names); k >= 0 {
		return n.auxiliaries[k].scale
	}
	return 1
}

// Settle sets the auxiliary states in y to what they follow at time t and at
// the lumps' states there: where they come to rest, and where a run begins
// whose sensors have had time to settle.
func (n *Network) Settle(t float64, y []float64) {
	n.Bring(t, y)
	for k := range n.auxiliaries {
		y[len(n.names)+k] = n.signal(&n.auxiliaries[k], t)
	}
	if !n.steered {
		return
	}
	n.Bring(t, y) // the air now follows drives that follow sensors at rest
	for k := range n.auxiliaries {
		y[len(n.names)+k] = n.signal(&n.auxiliaries[k], t)
	}
}
