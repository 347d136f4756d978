package sim

import (
	"soakledger/sim/assemble"
	"soakledger/sim/equilibrium"
	"soakledger/sim/ode"
	"soakledger/sim/record"
)

// Memory is what one run leaves to the next, for many that follow one another: the
// integrator and the solver of levels with the order of their eliminations, for as long
// as one machine has the lumps and links of the last, and the frames of rows, for as long
// as they have its columns. It changes no result. One run at a time may use it; the zero
// value is empty.
type Memory struct {
	integrator *ode.Integrator
	levels     *equilibrium.Solver
	frames     [4]*record.Frame
}

// The frames of a memory.
const (
	runRows = iota
	phaseRows
	eventRows
	traceRows
)

// integratorOf returns an integrator of a plan, in a memory that may be nil.
func (m *Memory) integratorOf(p *assemble.Plan, set ode.Settings) (*ode.Integrator, error) {
	if m == nil {
		return ode.New(p.Network, nil, set)
	}
	it, err := ode.Renew(m.integrator, p.Network, nil, set)
	if err == nil {
		m.integrator = it
	}
	return it, err
}

// solverOf returns a solver of a plan's levels, likewise.
func (m *Memory) solverOf(p *assemble.Plan) *equilibrium.Solver {
	if m == nil {
		return equilibrium.NewSolver(p.Network)
	}
	m.levels = equilibrium.Renew(m.levels, p.Network)
	return m.levels
}

// frameOf returns an empty frame of a table, likewise.
func (m *Memory) frameOf(which int, t record.Table) *record.Frame {
	if m == nil {
		return record.NewFrame(t)
	}
	if old := m.frames[which]; old != nil && old.Table().Equal(t) {
		old.Reset()
		return old
	}
	m.frames[which] = record.NewFrame(t)
	return m.frames[which]
}
