package network

import "math"

// steering is scratch for derivatives with respect to a drive's speed.
type steering struct {
	high, low, base []float64 // quantities
	rates, other    []float64 // by row
}

// setSpeeds takes speeds and settings from new inputs.
func (n *Network) setSpeeds(in Inputs) {
	if len(n.settings) == 0 && len(n.drives) == 0 {
		return
	}
	for k := range n.settings {
		switch s := &n.settings[k]; {
		case s.drivenBy != "":
		case len(in.Setting) == 0:
			n.in.Setting[k] = s.high
		default:
			n.in.Setting[k] = in.Setting[k]
		}
	}
	n.steered = false
	for i := range n.drives {
		d, speed := &n.drives[i], math.NaN()
		if len(in.Speed) > 0 {
			speed = in.Speed[i]
		}
		n.in.Speed[i] = speed
		if d.frozen = !math.IsNaN(speed); d.frozen {
			d.speed, d.slope = speed, 0
		}
		n.steered = n.steered || !d.frozen
	}
	n.applySpeeds()
	n.forget()
}

// applySpeeds brings to the present speeds all that follows them but rates of air and quantities: settings, the
// inputs of air, and the tables that count.
func (n *Network) applySpeeds() {
	for i := range n.drives {
		for _, s := range n.drives[i].settings {
			n.in.Setting[s] = n.drives[i].speed
		}
	}
	if n.airBy != nil {
		n.keepError(n.moveAir())
	}
	for _, o := range n.blended {
		n.keepError(o.by.set(n.in.Setting))
	}
}

// keepError keeps the first error.
func (n *Network) keepError(err error) {
	if n.err == nil {
		n.err = err
	}
}

// Err returns why a table over settings, or the air at speeds of drives, could not be
// made since the network was built; nil if all could. From then on F gives
// no numbers, so that a run fails.
func (n *Network) Err() error { return n.err }

// steer brings the drives that follow their laws to the state y, and reports
// whether a speed has changed. Temperatures and boundaries must be up to date.
func (n *Network) steer(y []float64) bool {
	changed := false
	for i := range n.drives {
		d := &n.drives[i]
		if d.frozen {
			continue
		}
		speed := d.follow(n.nodes, y)
		if speed != d.speed && !math.IsNaN(speed) {
			d.speed, changed = speed, true
		}
	}
	if !changed {
		return false
	}
	n.applySpeeds()
	if n.airBy != nil {
		n.moveRates()
	}
	return true
}

// moveRates brings the rates of air to the inputs. What else depends on the way
// air goes is worked out only where that has changed.
func (n *Network) moveRates() {
	if !n.turned() {
		n.blowRates()
		return
	}
	n.setAir()
	n.spread(n.in.Power, n.sourceHeat, n.fan)
	n.spread(n.in.PowerSlope, n.heatSlope, n.fanSlope)
	n.evaluateFans(n.in.Since)
}

// follow returns the speed at temperatures of nodes and a state, and keeps its slope over the input and what
// each sum counts in that.
func (d *driveLink) follow(nodes, y []float64) float64 {
	count := len(d.terms)
	values, shares := d.values[:count], d.values[count:]
	largest := math.Inf(-1)
	for i, terms := range d.terms {
		sum := 0.0
		for k := range terms {
			t := &terms[k]
			if t.node >= 0 {
				sum += t.weight * nodes[t.node]
			} else {
				sum += t.weight * y[t.state]
			}
		}
		values[i], shares[i] = sum, 1
		largest = max(largest, sum)
	}
	x := largest
	if count > 1 {
		total := 0.0
		for i, v := range values {
			shares[i] = exponential((v - largest) / largestWithin)
			total += shares[i]
		}
		for i := range shares {
			shares[i] /= total
		}
		x += largestWithin * math.Log(total)
	}
	speed, slope := d.law(x)
	if d.slope = slope; speed < d.low || speed > d.high {
		d.slope = 0
		return min(max(speed, d.low), d.high)
	}
	return speed
}

// Speed returns the speed of a drive: what the inputs hold it at, or what its law
// gave at the state last brought (see Bring).
func (n *Network) Speed(d Drive) float64 { return n.drives[d].speed }

// Drives returns the names of the drives in input order.
func (n *Network) Drives() []string {
	names := make([]string, len(n.drives))
	for i := range n.drives {
		names[i] = n.drives[i].name
	}
	return names
}

// Setting returns the present value of a setting, as Speed.
func (n *Network) Setting(s Setting) float64 { return n.in.Setting[s] }

// AirFlow returns the present air of a pass, as Speed.
func (n *Network) AirFlow(p Pass) AirFlow { return n.in.Air[p] }

// StreamRate returns the present rate of a stream of air (W/K), as Speed.
func (n *Network) StreamRate(s Stream) float64 { return n.in.Stream[s] }
