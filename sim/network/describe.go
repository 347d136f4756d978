package network

// Description is a network in plain data, for checking it against another
// integrator. Nodes are named; a lump holds coolant or has a capacity.
type Description struct {
	Lumps        []LumpDescription
	Boundaries   []string
	Coolant      *CoolantTable // nil if no lump holds any
	Conductances []ConductDescription
	Streams      []StreamDescription
	Leaks        []LeakDescription
	Sources      []SourceDescription
	Operations   []OperationDescription
	Laws         []LawDescription
	Flows        []FlowDescription
	Curves       []CurveDescription
	Passes       []PassDescription
	AirStreams   []AirStreamDescription
	Settings     []SettingDescription
	Drives       []DriveDescription
}

// LumpDescription is one store of heat.
type LumpDescription struct {
	Name     string
	Capacity float64 // J/K; 0 for coolant
	Mass     float64 // kg of coolant; 0 otherwise
}

// CoolantTable samples the coolant's enthalpy and specific heat.
type CoolantTable struct {
	Temperature  []float64 // K
	Enthalpy     []float64 // J/kg
	SpecificHeat []float64 // J/(kg K)
}

// ConductDescription is a conductance between two nodes, W/K.
type ConductDescription struct {
	From, To    string
	Conductance float64
}

// StreamDescription is a mass flow from one node to another, kg/s, at the
// present inputs.
type StreamDescription struct {
	From, To string
	MassFlow float64
}

// LeakDescription is a power that grows with its lump's temperature.
type LeakDescription struct {
	Name, Lump        string
	Power, At, Growth float64 // W, K, 1/K
	Linear            bool
}

// SourceDescription is a requested power and the lumps that share it evenly;
// none if it heats air.
type SourceDescription struct {
	Name  string
	Lumps []string
}

// Describe returns the network as plain data. The coolant is sampled at steps
// of tableStep from low to high (K).
func (n *Network) Describe(low, high float64) Description {
	d := Description{Boundaries: append([]string(nil), n.boundaries...)}
	for i, name := range n.names {
		l := LumpDescription{Name: name, Mass: n.mass[i]}
		if l.Mass == 0 {
			l.Capacity = n.capacity[i]
		}
		d.Lumps = append(d.Lumps, l)
	}
	if n.coolant != nil {
		d.Coolant = n.sampleCoolant(low, high)
	}
	for i, g := range n.inner.g {
		d.Conductances = append(d.Conductances, ConductDescription{n.names[n.inner.a[i]], n.names[n.inner.b[i]], g})
	}
	for _, l := range n.outer {
		d.Conductances = append(d.Conductances, ConductDescription{n.names[l.lump], n.boundaries[l.boundary], l.g})
	}
	for _, s := range n.rings {
		d.Streams = append(d.Streams, StreamDescription{n.names[s.from], n.names[s.to], s.share * n.in.MassFlow[s.circuit]})
	}
	for _, s := range n.inflows {
		d.Streams = append(d.Streams, StreamDescription{n.boundaries[s.boundary], n.names[s.lump], s.share * n.in.MassFlow[s.circuit]})
	}
	for _, s := range n.outflows {
		d.Streams = append(d.Streams, StreamDescription{n.names[s.lump], n.boundaries[s.boundary], s.share * n.in.MassFlow[s.circuit]})
	}
	n.describeLaws(&d)
	for i := range n.leaks {
		l := &n.leaks[i].leak
		d.Leaks = append(d.Leaks, LeakDescription{l.name, n.names[l.lump], l.power, l.at, l.growth, l.linear})
	}
	for _, s := range n.sources {
		source := SourceDescription{Name: s.name}
		for _, lump := range s.lumps {
			source.Lumps = append(source.Lumps, n.names[lump])
		}
		d.Sources = append(d.Sources, source)
	}
	n.describeAir(&d)
	n.describeDrives(&d)
	return d
}

// tableStep is fine enough for a cubic Hermite interpolation to be within
// 1e-5 J/kg of the coolant, which is 3e-9 K.
const tableStep = 0.25 // K

// sampleCoolant tabulates enthalpy and specific heat.
func (n *Network) sampleCoolant(low, high float64) *CoolantTable {
	var c CoolantTable
	for k := 0; low+float64(k)*tableStep <= high; k++ {
		t := low + float64(k)*tableStep
		h := n.coolant.EnthalpyOf(t)
		_, slope := n.coolant.Temperature(h)
		c.Temperature = append(c.Temperature, t)
		c.Enthalpy = append(c.Enthalpy, h)
		c.SpecificHeat = append(c.SpecificHeat, 1/slope)
	}
	return &c
}
