package network

// OperationDescription is a circuit, or a law without one, whose quantities follow the temperature of
// its reference, at the present settings. Between two neighbours of Knots, T0 and T1, a quantity is
// c0 + c1 u + c2 u² + c3 u³ at u = (T - T0)/(T1 - T0), with the coefficients of
// that interval; outside all knots it stays as at the nearest.
type OperationDescription struct {
	Circuit, Reference string
	Knots              []float64      // K
	Quantities         [][][4]float64 // kg/s or W/K; by quantity, by interval
	Blend              []TableDescription
}

// TableDescription is one of several tables of an operation whose settings move, each as in
// OperationDescription, which then has neither Knots nor Quantities of its own: a quantity is the sum of Weight
// times what it is by each table.
type TableDescription struct {
	Weight     float64
	Knots      []float64
	Quantities [][][4]float64
}

// LawDescription is a conductance that is a share of a quantity (W/K). Circuit is that of the operation, by its name.
type LawDescription struct {
	From, To, Circuit string
	Quantity          int
	Share             float64
}

// FlowDescription is a mass flow that is a quantity (kg/s).
type FlowDescription struct {
	From, To, Circuit string
	Quantity          int
}

// CurveDescription is a heat flow (W) that depends on the difference of the
// temperatures From minus To: cubics between knots as in OperationDescription,
// and straight lines with their last slopes beyond.
type CurveDescription struct {
	From, To string
	Knots    []float64    // K
	Cubics   [][4]float64 // W, by interval
}

// describeLaws adds what follows operations, and curves.
func (n *Network) describeLaws(d *Description) {
	for c, o := range n.operation {
		if o != nil {
			d.Operations = append(d.Operations, o.describe(n.circuits[c], n.names[o.reference]))
		}
	}
	for l, o := range n.lawOperation {
		d.Operations = append(d.Operations, o.describe(n.lawNames[l], n.names[o.reference]))
	}
	for i := range n.laws[:n.stated] {
		l := &n.laws[i]
		circuit, value := n.quantityOf(l.value)
		d.Laws = append(d.Laws, LawDescription{n.names[l.a], n.nodeName(l.b), circuit, value, n.lawful.share[i]})
	}
	for _, s := range n.flows {
		circuit, value := n.quantityOf(s.value)
		d.Flows = append(d.Flows, FlowDescription{n.names[s.from], n.names[s.to], circuit, value})
	}
	for i := range n.curves {
		l := &n.curves[i]
		curve := CurveDescription{From: n.names[l.a], To: n.nodeName(l.b), Knots: curveGrid.knots()}
		for _, p := range l.curve.cubic {
			curve.Cubics = append(curve.Cubics, p)
		}
		d.Curves = append(d.Curves, curve)
	}
}

// describe returns the operation in plain data.
func (o *operated) describe(circuit, reference string) OperationDescription {
	d := OperationDescription{Circuit: circuit, Reference: reference}
	if o.by == nil {
		d.Knots, d.Quantities = o.table.describe()
		return d
	}
	for _, a := range o.by.active[:o.by.many] {
		t := TableDescription{Weight: a.weight}
		t.Knots, t.Quantities = a.table.describe()
		d.Blend = append(d.Blend, t)
	}
	return d
}

// describe returns the table in plain data.
func (o *table) describe() (knots []float64, quantities [][][4]float64) {
	quantities = make([][][4]float64, o.count)
	for k := range o.grid.intervals() {
		for v, p := range o.row(k) {
			quantities[v] = append(quantities[v], p)
		}
	}
	return o.grid.knots(), quantities
}

// quantityOf returns the circuit of a quantity of the network, and its number
// there.
func (n *Network) quantityOf(value int32) (circuit string, number int) {
	for c, o := range n.operation {
		if o != nil && o.has(value) {
			return n.circuits[c], int(value) - o.first
		}
	}
	for l, o := range n.lawOperation {
		if o.has(value) {
			return n.lawNames[l], int(value) - o.first
		}
	}
	panic("network: a quantity of no operation")
}

// has reports whether a quantity of the network is the operation's.
func (o *operated) has(value int32) bool {
	return int(value) >= o.first && int(value) < o.first+o.count
}

// nodeName names a lump, or a boundary behind the lumps.
func (n *Network) nodeName(node int32) string {
	if k := int(node) - len(n.names); k >= 0 {
		return n.boundaries[k]
	}
	return n.names[node]
}
