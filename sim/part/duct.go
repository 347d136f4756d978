package part

import (
	"fmt"
	"math"
)

// Duct is the way of one air stream, from its near to its far end: rows of fans
// one after the other (or none), and what resists. Where along the way each
// stands does not matter; the density is one throughout.
type Duct struct {
	Rows   []FanRow
	Losses AirSeries
}

// Check reports a duct that cannot be: one without fans and losses, or with a
// row that cannot be.
func (d *Duct) Check() error {
	if len(d.Rows) == 0 && len(d.Losses) == 0 {
		return fmt.Errorf("part: duct: it has neither fans nor anything that resists")
	}
	for i := range d.Rows {
		if err := d.Rows[i].Check(); err != nil {
			return fmt.Errorf("part: duct: row %d: %w", i+1, err)
		}
	}
	return nil
}

// Flow returns the airflow (m3/s, signed; positive from the near to the far
// end) at a static pressure difference (Pa, far end minus near end), with one
// speed over rated speed a row, and its slope against that difference (m3/(s
// Pa), never above zero). Its pressures agree to 1e-12, or where the fans' is all
// but used up to rounding of their shut-off pressure. It is exactly zero where
// nothing drives and where the way is closed. At rest in a purely quadratic way
// the slope is -Inf.
//
// The error tells that speeds do not fit the rows, that nothing resists, or
// that a figure is not a number.
func (d *Duct) Flow(difference float64, speeds []float64, a Air) (q, slope float64, err error) {
	if len(speeds) != len(d.Rows) {
		return 0, 0, fmt.Errorf("part: duct: %d speeds for %d rows of fans", len(speeds), len(d.Rows))
	}
	drive, steep := d.excess(0, speeds, a)
	drive -= difference
	switch {
	case math.IsNaN(drive) || math.IsInf(drive, 0):
		return 0, 0, fmt.Errorf("part: duct: a driving pressure of %g Pa cannot be", drive)
	case drive == 0 || math.IsInf(steep, -1):
		return 0, ease(steep), nil
	}
	end, left, err := d.bound(drive, difference, speeds, a)
	if err != nil {
		return 0, 0, err
	}
	// Exact for a quadratic way, and beyond the flow wherever the way is less
	// than quadratic, from where Newton's method does not overshoot.
	start := end * math.Sqrt(drive/(drive-left))
	q, steep, ok := falling(math.Min(0, end), math.Max(0, end), start, func(q float64) (float64, float64) {
		p, s := d.excess(q, speeds, a)
		return p - difference, s
	})
	if !ok {
		return 0, 0, fmt.Errorf("part: duct: no airflow found up to %.4g m3/s; a pressure is not a number or does not fall with flow", end)
	}
	return q, ease(steep), nil
}

// ease returns the slope of flow against pressure from that of pressure
// against flow, which is not above zero.
func ease(steep float64) float64 {
	if steep == 0 {
		return math.Inf(-1)
	}
	return 1 / steep
}

// excess returns what the fans add less what the way loses at a flow, and its
// slope. It falls with flow.
func (d *Duct) excess(q float64, speeds []float64, a Air) (p, slope float64) {
	for i := range d.Rows {
		h, s := d.Rows[i].Pressure(q, speeds[i], a.Density)
		p += h
		slope += s
	}
	for _, r := range d.Losses {
		dp, s := r.Drop(q, a)
		p -= dp
		slope -= s
	}
	return p, slope
}

// someAirflow is where the search for a flow starts in a duct without fans,
// m3/s.
const someAirflow = 0.01

// bound returns a flow, of the sign of the drive at rest, at which the drive is
// used up, and what is left of it there, zero or of the other sign.
func (d *Duct) bound(drive, difference float64, speeds []float64, a Air) (end, left float64, err error) {
	end = d.reach(speeds)
	if drive < 0 {
		end = -end
	}
	for !math.IsInf(end, 0) {
		p, _ := d.excess(end, speeds, a)
		left = p - difference
		switch {
		case math.IsNaN(left):
			return 0, 0, fmt.Errorf("part: duct: the pressure at %g m3/s is not a number", end)
		case left == 0 || (left < 0) == (drive > 0):
			return end, left, nil
		}
		// What a quadratic way would need, and a good deal more.
		more := math.Sqrt(drive / (drive - left))
		if !(more > 1 && more < 1e3) {
			more = 1e3
		}
		end *= 2 * more
	}
	return 0, 0, fmt.Errorf("part: duct: nothing resists the airflow")
}

// reach is a flow of the order of what the fans can move, above zero.
func (d *Duct) reach(speeds []float64) float64 {
	most := 0.0
	for i := range d.Rows {
		most = math.Max(most, d.Rows[i].most(speeds[i]))
	}
	if most > 0 {
		return most
	}
	return someAirflow
}
