package network

// stepOfSpeed is the part of the interval between knots by which a drive's speed is moved to
// either side for derivatives: they are then those of a cubic to 1e-7 of its third order, and rounding is
// smaller still. With several drives on the air, whose flows are not blended, it is a part of the drive's range.
const stepOfSpeed = 3e-4

// markDrives marks the structural nonzeros of what follows drives.
func (n *Network) markDrives(mark func(row int, col int32)) {
	for i := range n.drives {
		d := &n.drives[i]
		d.rows = n.rowsOf(d)
		for _, row := range d.rows {
			markAll(mark, row, d.columns)
		}
	}
}

// rowsOf lists the rows of F that depend on a drive's speed.
func (n *Network) rowsOf(d *driveLink) []int32 {
	quantities, rows := make([]bool, len(n.quantity)), make(lumpSet, len(n.perRow))
	for _, o := range d.ops {
		for v := range o.count {
			quantities[o.first+v] = true
		}
	}
	for i := range n.laws {
		if l := &n.laws[i]; quantities[l.value] {
			rows[l.a], rows[l.row] = true, true
		}
	}
	for i := range n.flows {
		if s := &n.flows[i]; quantities[s.value] {
			rows[s.from], rows[s.to] = true, true
		}
	}
	breathes := d.air
	for _, k := range n.order {
		for _, t := range n.passes[k].ties {
			breathes = breathes || quantities[t.value]
		}
	}
	if breathes {
		d.air = true
		n.addAirRows(rows)
	}
	return rows.list()
}

// addAirRows adds the rows that air heats.
func (n *Network) addAirRows(rows lumpSet) {
	for _, k := range n.order {
		p := &n.passes[k]
		for _, t := range p.ties {
			rows[t.metal] = true
		}
		for _, ends := range [][]airEnd{p.from, p.to} {
			for i := range ends {
				rows[ends[i].row] = true
			}
		}
	}
	for i := range n.airStreams {
		rows[n.airStreams[i].from.row], rows[n.airStreams[i].to.row] = true, true
	}
	for k := range n.auxiliaries {
		for _, s := range n.auxiliaries[k].terms {
			if s.kind == ofInlet || s.kind == ofOutlet {
				rows[len(n.names)+k] = true
			}
		}
	}
}

// placeDrives looks up where their derivatives go.
func (n *Network) placeDrives() {
	for i := range n.drives {
		d := &n.drives[i]
		for _, col := range d.columns {
			for _, row := range d.rows {
				d.entry = append(d.entry, n.entry(int(row), col))
			}
		}
	}
}

// addDriveDerivatives adds what the drives that follow their laws change with the
// state. All must be up to date at the state and the time.
func (n *Network) addDriveDerivatives(y, jac []float64) {
	for i := range n.drives {
		d := &n.drives[i]
		if d.frozen || d.slope == 0 {
			continue
		}
		rates := n.bySpeed(d, y)
		d.differentiate(n.slope)
		at := 0
		for c := range d.columns {
			by := d.slope * d.byState[c]
			for _, row := range d.rows {
				jac[d.entry[at]] += by * rates[row] * n.perRow[row]
				at++
			}
		}
	}
}

// addDriveDrift adds what the drives change as boundaries move, W/s.
func (n *Network) addDriveDrift(y, dfdt []float64) {
	for i := range n.drives {
		d := &n.drives[i]
		if d.frozen || d.slope == 0 {
			continue
		}
		by := 0.0
		for k, terms := range d.terms {
			for _, t := range terms {
				if t.node >= 0 {
					by += d.values[len(d.terms)+k] * t.weight * n.drift[t.node]
				}
			}
		}
		if by == 0 {
			continue
		}
		rates := n.bySpeed(d, y)
		for _, row := range d.rows {
			dfdt[row] += d.slope * by * rates[row]
		}
	}
}

// differentiate finds the derivatives of the input with respect to states; slope
// is that of temperatures over them.
func (d *driveLink) differentiate(slope []float64) {
	clear(d.byState)
	for k, terms := range d.terms {
		share := d.values[len(d.terms)+k]
		for i := range terms {
			switch t := &terms[i]; {
			case t.column < 0:
			case t.node >= 0:
				d.byState[t.column] += share * t.weight * slope[t.node]
			default:
				d.byState[t.column] += share * t.weight
			}
		}
	}
}

// bySpeed returns the derivatives with respect to a drive's speed, by row: W, and of
// auxiliary states those of their rates. What conducts and flows by quantities changes as they do, the same at both ends of a
// link, so that the ledger closes; air by a central difference of its heat.
func (n *Network) bySpeed(d *driveLink, y []float64) []float64 {
	s, speed := &n.steering, d.speed
	step := n.stepOf(d)
	copy(s.base, n.quantity)
	if n.airBy != nil {
		n.keepAir()
	}
	n.hold(d, true)
	n.moveSpeed(d, speed+step, s.high, s.rates)
	n.moveSpeed(d, speed-step, s.low, s.other)
	n.hold(d, false)
	d.speed = speed
	if n.airBy != nil {
		n.restoreAir()
	}
	n.applySpeeds()
	copy(n.quantity, s.base)
	for _, row := range d.rows {
		s.rates[row] = (s.rates[row] - s.other[row]) / (2 * step)
	}
	for v := range s.high {
		s.high[v] = (s.high[v] - s.low[v]) / (2 * step)
	}
	n.addByQuantity(s.high, y, s.rates)
	return s.rates
}

// stepOf returns by how much a drive's speed is moved.
func (n *Network) stepOf(d *driveLink) float64 {
	if d.air && n.airBy != nil && n.airBy.knots == nil {
		return stepOfSpeed * (d.high - d.low)
	}
	d.knots.set(d.speed)
	return stepOfSpeed * d.knots.width()
}

// hold keeps all that follows a drive on the cubics on which it is, or lets it go.
func (n *Network) hold(d *driveLink, held bool) {
	if n.airBy != nil {
		n.airBy.axis.held = held
	}
	for _, o := range d.ops {
		o.by.hold(held)
	}
}

// moveSpeed moves a drive and what follows it, and writes the quantities and the
// heat of air there.
func (n *Network) moveSpeed(d *driveLink, speed float64, quantities, rates []float64) {
	d.speed = speed
	n.applySpeeds()
	for _, o := range d.ops {
		o.evaluate(n.nodes[o.reference], n.quantity[o.first:])
	}
	copy(quantities, n.quantity)
	if !d.air {
		clearRows(rates, d.rows)
		return
	}
	if n.airBy != nil {
		n.blowRates()
	}
	clear(rates)
	n.breathe(n.nodes, n.airRest, n.fanNow)
	n.blow(n.nodes, n.airRest, rates)
	for k := range n.auxiliaries {
		rates[len(n.names)+k] += n.airSignal(&n.auxiliaries[k]) / n.auxiliaries[k].tau
	}
}

func clearRows(rates []float64, rows []int32) {
	for _, row := range rows {
		rates[row] = 0
	}
}

// addByQuantity adds the heat of links that follow operations, with other quantities in
// place of theirs: it is linear in them.
func (n *Network) addByQuantity(quantity, y, rates []float64) {
	for i := range n.laws {
		l := &n.laws[i]
		q := n.lawful.share[i] * quantity[l.value] * (n.nodes[l.a] - n.nodes[l.b])
		rates[l.a] -= q
		rates[l.row] += q
	}
	for i := range n.flows {
		s := &n.flows[i]
		q := quantity[s.value] * n.c0 * (y[s.from] - n.rest)
		rates[s.from] -= q
		rates[s.to] += q
	}
}
