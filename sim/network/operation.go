package network

// Operation is a circuit whose flow follows its pumps. It gives, at a coolant
// temperature, everything that depends on the flow: masses carried and
// conductances. See Adjustable for one whose pumps change speed.
type Operation interface {
	// Values returns how many quantities At gives. The first is the circuit's
	// mass flow, kg/s; others are mass flows of branches (kg/s) or conductances
	// (W/K). None is below zero.
	Values() int
	// At writes the quantities at a coolant temperature (K) to dst. It is called
	// while the network is built only, and gives the same for the same.
	At(temperature float64, dst []float64) error
}

// operated is a circuit, or a law of its own, whose quantities follow the
// temperature of its reference lump: by one table, or by several that are
// blended by its settings.
type operated struct {
	reference int32 // lump whose temperature sets the properties
	first     int   // number of its first quantity among those of the network
	table
	by *blend // nil if no setting moves: then the table is all
}

// table holds quantities over a temperature: cubics between knots that all
// quantities share, with continuous slopes. The slopes at the knots are linear in the values, with
// weights that all quantities share, so that sums that hold at the knots, of the
// flows into and out of a fork, hold everywhere.
//
// Beyond the range of the table, where a run has ended already, the slopes run
// out to zero over the first and the last interval of the grid, and everything
// stays as it is from there on.
type table struct {
	count int // of quantities
	grid  grid
	cubic []cubic // by interval, in it by quantity
	moves []bool  // whether a quantity is ever above zero
}

// evaluate writes the quantities at temperature t to value.
func (o *operated) evaluate(t float64, value []float64) {
	if o.by != nil {
		o.by.evaluate(t, value)
		return
	}
	o.table.evaluate(t, value)
}

// differentiate writes their derivatives with respect to t, 1/K, to slope.
func (o *operated) differentiate(t float64, slope []float64) {
	if o.by != nil {
		o.by.differentiate(t, slope)
		return
	}
	o.table.differentiate(t, slope)
}

// row returns the cubics of all quantities in interval k.
func (o *table) row(k int) []cubic { return o.cubic[k*o.count : (k+1)*o.count] }

func (o *table) evaluate(t float64, value []float64) {
	k, u := o.grid.locate(t)
	row := o.row(k)
	value = value[:len(row)]
	for v := range row {
		value[v] = row[v].at(u)
	}
}

func (o *table) differentiate(t float64, slope []float64) {
	k, u := o.grid.locate(t)
	perKelvin := o.grid.perPlace(k)
	row := o.row(k)
	for v := range row {
		slope[v] = row[v].slope(u) * perKelvin
	}
}

// Quantity returns quantity value of a circuit's operation at a temperature of
// its reference, K, and at the present settings; false if the circuit has none.
func (n *Network) Quantity(c Circuit, value int, temperature float64) (float64, bool) {
	if c < 0 || int(c) >= len(n.operation) || n.operation[c] == nil {
		return 0, false
	}
	return n.operation[c].quantity(value, temperature)
}

// QuantityOf is Quantity of a law.
func (n *Network) QuantityOf(l Law, value int, temperature float64) (float64, bool) {
	if l < 0 || int(l) >= len(n.lawOperation) {
		return 0, false
	}
	return n.lawOperation[l].quantity(value, temperature)
}

// quantity returns one quantity at a temperature, K.
func (o *operated) quantity(value int, t float64) (float64, bool) {
	switch {
	case value < 0 || value >= o.count:
		return 0, false
	case o.by != nil:
		return o.by.quantity(value, t), true
	}
	return o.table.quantity(value, t), true
}

func (o *table) quantity(value int, t float64) float64 {
	k, u := o.grid.locate(t)
	return o.row(k)[value].at(u)
}
