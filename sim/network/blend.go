package network

// blend is what an operation has whose settings move: tables over temperature at
// knots of one setting, or of two, each made when it is first needed, and those that
// count at the present settings.
type blend struct {
	compute   func(settings, dst []float64, t float64) error
	check     func(*table) error // what else a table must be; may be nil
	name      string
	count     int        // of quantities
	low, high float64    // K, range of the tables
	settings  []Setting  // of the operation
	values    []float64  // of those, for compute: the fixed ones, and those of the knot in hand
	moving    []int      // which of them move: one or two
	axes      [2]axis    // theirs; a single one has the first, and the second stands at its only knot
	at        [2]float64 // values of those settings
	tables    []*table   // by knot of the first, then of the second

	active [atMost * atMost]weighted
	many   int // how many of them count
}

// weighted is a table with its weight.
type weighted struct {
	table  *table
	weight float64
}

// newBlend prepares the blend of an operation.
func newBlend(o *operation, ranges []settingOf) *blend {
	b := &blend{
		compute: func(settings, dst []float64, t float64) error { return o.adjustable.AtSettings(settings, t, dst) },
		name:    o.name, count: o.count, low: o.low, high: o.high, settings: o.settings,
	}
	size := 1
	for i, s := range o.settings {
		b.values = append(b.values, ranges[s].high)
		if ranges[s].moves() {
			b.axes[len(b.moving)] = newAxis(ranges[s].low, ranges[s].high)
			b.moving = append(b.moving, i)
			size *= knotsPerSetting + 1
		}
	}
	if len(b.moving) == 1 {
		b.axes[1].count, b.axes[1].weight[0] = 1, 1
	}
	b.tables = make([]*table, size)
	return b
}

// set moves to the settings (all of the network), and makes the tables that count there.
func (b *blend) set(settings []float64) error {
	moved := b.many == 0
	for i, m := range b.moving {
		if x := settings[b.settings[m]]; x != b.at[i] || b.many == 0 {
			b.at[i], moved = x, true
			b.axes[i].set(x)
		}
	}
	if !moved {
		return nil
	}
	b.many = 0
	one, other := &b.axes[0], &b.axes[1]
	for i := range one.count {
		for j := range other.count {
			t, err := b.tableAt(one.first+i, other.first+j)
			if err != nil {
				b.many = 0
				return err
			}
			b.active[b.many] = weighted{t, one.weight[i] * other.weight[j]}
			b.many++
		}
	}
	return nil
}

// hold keeps the intervals of the settings, or lets them go.
func (b *blend) hold(held bool) {
	for i := range b.moving {
		b.axes[i].held = held
	}
}

// tableAt returns the table at a knot of each axis.
func (b *blend) tableAt(i, j int) (*table, error) {
	place := i
	if len(b.moving) == 2 {
		place = i*(knotsPerSetting+1) + j
	}
	if t := b.tables[place]; t != nil {
		return t, nil
	}
	for axis, knot := range [2]int{i, j} {
		if axis < len(b.moving) {
			b.values[b.moving[axis]] = b.axes[axis].knots[knot]
		}
	}
	t, err := tabulate(b.count, func(t float64, dst []float64) error { return b.compute(b.values, dst, t) }, b.low, b.high)
	if err == nil && b.check != nil {
		err = b.check(&t)
	}
	if err != nil {
		return nil, settingError{b.name, append([]float64(nil), b.values...), err}
	}
	b.tables[place] = &t
	return &t, nil
}

// evaluate writes the quantities at temperature t to value.
func (b *blend) evaluate(t float64, value []float64) {
	value = value[:b.count]
	if b.many == 1 { // with the weight 1
		b.active[0].table.evaluate(t, value)
		return
	}
	clear(value)
	for i := range b.active[:b.many] {
		a := &b.active[i]
		k, u := a.table.grid.locate(t)
		row := a.table.row(k)
		for v := range row {
			value[v] += a.weight * row[v].at(u)
		}
	}
}

// differentiate writes their derivatives with respect to t, 1/K, to slope.
func (b *blend) differentiate(t float64, slope []float64) {
	slope = slope[:b.count]
	clear(slope)
	for i := range b.active[:b.many] {
		a := &b.active[i]
		k, u := a.table.grid.locate(t)
		weight := a.weight * a.table.grid.perPlace(k)
		row := a.table.row(k)
		for v := range row {
			slope[v] += weight * row[v].slope(u)
		}
	}
}

// quantity returns one quantity at temperature t.
func (b *blend) quantity(value int, t float64) float64 {
	sum := 0.0
	for _, a := range b.active[:b.many] {
		sum += a.weight * a.table.quantity(value, t)
	}
	return sum
}

// moves reports whether a quantity is ever above zero at the present settings.
func (b *blend) moves(value int) bool {
	for _, a := range b.active[:b.many] {
		if a.table.moves[value] {
			return true
		}
	}
	return false
}
