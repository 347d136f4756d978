package network

import (
	"errors"
	"fmt"
)

// airBy is the air, and the settings with it, that follow drives.
type airBy struct {
	drives   []Drive
	settings []Setting
	flows    func(speeds []float64, air []AirFlow, stream, setting []float64) error

	axis    axis        // of a single drive
	knots   [][]float64 // rows at its knots, nil until needed
	row     []float64   // the present one: rate and forced rate of each pass, streams, settings
	kept    []float64   // for keep
	at      []float64   // speeds at which the row is, of each drive
	keptAt  []float64
	speeds  []float64 // scratch of compute, as those below
	air     []AirFlow
	stream  []float64
	setting []float64
}

// addAirBy makes room for the air.
func (n *Network) addAirBy() {
	a := n.airBy
	for _, d := range a.drives {
		n.drives[d].air = true
	}
	if len(a.drives) == 1 {
		d := &n.drives[a.drives[0]]
		a.axis, a.knots = newAxis(d.low, d.high), make([][]float64, knotsPerSetting+1)
	}
	size := 2*len(n.passes) + len(n.airStreams) + len(a.settings)
	a.row, a.kept = make([]float64, size), make([]float64, size)
	a.at, a.keptAt, a.speeds = make([]float64, len(a.drives)), make([]float64, len(a.drives)), make([]float64, len(a.drives))
	a.air, a.stream, a.setting = make([]AirFlow, len(n.passes)), make([]float64, len(n.airStreams)), make([]float64, len(a.settings))
	for i := range a.at {
		a.at[i] = noSpeed
	}
}

// noSpeed equals no speed of a drive.
const noSpeed = -1e300

// moveAir brings the row to the present speeds, and with it the inputs that
// follow.
func (n *Network) moveAir() error {
	a, moved := n.airBy, false
	for i, d := range a.drives {
		if speed := n.drives[d].speed; speed != a.at[i] {
			a.at[i], moved = speed, true
		}
	}
	if !moved {
		return nil
	}
	x := a.at[0]
	if a.knots == nil || !a.axis.held && x != a.axis.within(x) {
		copy(a.speeds, a.at)
		if err := n.computeAir(a.row); err != nil {
			return err
		}
	} else if err := n.blendAir(x); err != nil {
		return err
	}
	n.spreadRow()
	return nil
}

// blendAir makes the row from those at the knots around a speed.
func (n *Network) blendAir(speed float64) error {
	a := n.airBy
	a.axis.set(speed)
	clear(a.row)
	for i, weight := range a.axis.weight[:a.axis.count] {
		knot := a.axis.first + i
		if a.knots[knot] == nil {
			row := make([]float64, len(a.row))
			a.speeds[0] = a.axis.knots[knot]
			if err := n.computeAir(row); err != nil {
				return err
			}
			a.knots[knot] = row
		}
		for v, x := range a.knots[knot] {
			a.row[v] += weight * x
		}
	}
	return nil
}

// computeAir writes to row what the flows are at the speeds in scratch.
func (n *Network) computeAir(row []float64) error {
	a := n.airBy
	clear(a.air)
	clear(a.stream)
	clear(a.setting)
	err := a.flows(a.speeds, a.air, a.stream, a.setting)
	if err == nil {
		err = n.checkRow()
	}
	if err != nil {
		return fmt.Errorf("network: the air at speeds %.4g: %w", append([]float64(nil), a.speeds...), err)
	}
	for i, f := range a.air {
		row[2*i], row[2*i+1] = f.Rate, f.Forced*f.Rate
		if f.Backward {
			row[2*i+1] *= -1
		}
	}
	rest := row[2*len(a.air):]
	copy(rest, a.stream)
	copy(rest[len(a.stream):], a.setting)
	return nil
}

// checkRow reports what cannot be of the flows in scratch.
func (n *Network) checkRow() error {
	a := n.airBy
	for i, f := range a.air {
		if f.Backward && n.passes[i].oneWay {
			return fmt.Errorf("pass %s runs one way only", n.passes[i].name)
		}
	}
	errs := n.impossibleAir(Inputs{Air: a.air, Stream: a.stream})
	if errs == nil {
		n.spreadAir(a.air)
		errs = n.unbalanced(a.stream)
		n.spreadAir(n.in.Air)
	}
	return errors.Join(errs...)
}

// spreadRow copies the row to the inputs that follow it. While the air is held,
// passes keep their direction.
func (n *Network) spreadRow() {
	a := n.airBy
	for i := range n.in.Air {
		f, rate, forced := &n.in.Air[i], a.row[2*i], a.row[2*i+1]
		if !a.axis.held {
			f.Backward = forced < 0
		}
		if f.Backward {
			forced = -forced
		}
		f.Rate, f.Forced = rate, 0
		if rate > 0 {
			f.Forced = forced / rate
		}
	}
	rest := a.row[2*len(n.in.Air):]
	copy(n.in.Stream, rest)
	for i, s := range a.settings {
		n.in.Setting[s] = rest[len(n.in.Stream)+i]
	}
}

// keep remembers the row, and restore brings it back.
func (n *Network) keepAir() {
	copy(n.airBy.kept, n.airBy.row)
	copy(n.airBy.keptAt, n.airBy.at)
}

func (n *Network) restoreAir() {
	copy(n.airBy.row, n.airBy.kept)
	copy(n.airBy.at, n.airBy.keptAt)
	if a := n.airBy; a.knots != nil {
		a.axis.set(a.at[0])
	}
	n.spreadRow()
	n.blowRates()
}

// blowRates brings the rates of passes and streams to the inputs.
func (n *Network) blowRates() {
	n.spreadAir(n.in.Air)
	for i, rate := range n.in.Stream {
		n.airStreams[i].rate = rate
	}
}

// turned reports whether the inputs let air run, or run backward, where it did
// not, or no longer does.
func (n *Network) turned() bool {
	for i, f := range n.in.Air {
		if p := &n.passes[i]; f.Backward != p.backward || (f.Rate > 0) != (p.rate > 0) {
			return true
		}
	}
	for i, rate := range n.in.Stream {
		if (rate < 0) != (n.airStreams[i].rate < 0) {
			return true
		}
	}
	return false
}
