package sim

import "soakledger/sim/record"

// moments are those of a step at which signals are found, in theta.
var moments = [5]float64{0, 0.25, 0.5, 0.75, 1}

// sample writes the polynomials of all signals over the step: quartics through
// their values at the moments, where the state is interpolated and not the
// temperature. The parts of the rise are differences of what the view shows, so
// that they sum to the subject as it shows it.
func (v *view) sample() {
	if v.sampled {
		return
	}
	v.sampled = true
	s := v.signals
	start, length := v.Start(), v.End()-v.Start()
	for j, theta := range moments {
		t := start + theta*length
		if theta == 1 {
			t = v.End()
		}
		for i := range s.state {
			s.state[i] = v.stateAt(i, theta)
		}
		s.values[s.first()][j] = s.breathe(t, s.state, s.now)
		for k, x := range s.now[:s.first()] {
			s.values[k][j] = x
		}
	}
	poly := v.poly[len(v.known):]
	for k := range s.first() {
		poly[k] = quartic(&s.values[k])
	}
	v.splitRise(poly[s.first():], quartic(&s.values[s.first()]))
}

// stateAt returns the state of a lump at theta, exact at both ends.
func (v *view) stateAt(lump int, theta float64) float64 {
	if theta == 1 {
		return v.seg.At(lump, v.seg.End())
	}
	return (*record.Polynomial)(v.seg.Coefficients(lump)).At(theta)
}

// splitRise writes the parts of the rise with the air that the subject's
// radiators breathe.
func (v *view) splitRise(rise []record.Polynomial, inlet record.Polynomial) {
	subject, room := v.of(v.signals.subject), v.room()
	for k := range inlet {
		rise[loopRise][k], rise[caseRise][k], rise[roomRise][k] = subject[k]-inlet[k], inlet[k]-room[k], room[k]
	}
	rise[roomRise][0] -= v.signals.start
}

// room returns the room (K) over the step.
func (v *view) room() record.Polynomial {
	if lump := v.signals.room; lump >= 0 {
		return *v.of(lump)
	}
	return v.boundary(0)
}

// boundary returns a boundary (K) over the step, which goes along a straight line.
func (v *view) boundary(k int) record.Polynomial {
	from := v.net.BoundaryTemperature(k, v.Start())
	return record.Polynomial{from, v.net.BoundaryTemperature(k, v.End()) - from}
}
