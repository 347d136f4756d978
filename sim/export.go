package sim

import (
	"math"

	"soakledger/sim/network"
)

// Export is all that another integrator needs to repeat a run: the network as
// plain data, the temperatures at time zero, and the load of every phase.
type Export struct {
	Network    network.Description
	Boundaries []float64       // K, one a boundary, at time zero
	Ambient    []ExportAmbient // of the first boundary, the air of the room, from time zero on
	Start      []float64       // K, one a lump
	Duration   float64         // s
	Every      float64         // s, interval of the trace
	Phases     []ExportPhase
}

// ExportPhase is an interval over which the requested load goes along straight
// lines.
type ExportPhase struct {
	From, To float64   // s
	Power    []float64 // W, one a source, at From
	Slope    []float64 // W/s, one a source
}

// ExportAmbient is an interval over which the room's air goes along a straight
// line. It lasts until the next one begins, the last until the run ends.
type ExportAmbient struct {
	From        float64 // s
	Temperature float64 // K, at From
	Slope       float64 // K/s
}

// Duration returns the planned length of the run, s.
func (s *Simulation) Duration() float64 { return s.end }

// Export returns the run's data as they stand before its first step.
func (s *Simulation) Export() Export {
	p := s.Plan
	low, high := 200.0, 500.0
	if p.Coolant != nil {
		a, b := p.Coolant.Range()
		low, high = math.Max(low, a), math.Min(high, b)
	}
	e := Export{
		Network: p.Network.Describe(low, high), Boundaries: append([]float64(nil), s.in.Temperature...),
		Start: append([]float64(nil), s.initial[:len(p.Nodes)]...), Duration: s.end, Every: p.Scenario.Record.Every.Value,
	}
	for t := 0.0; t < s.end; {
		temperature, slope, until := p.AmbientAt(t)
		e.Ambient = append(e.Ambient, ExportAmbient{From: t, Temperature: temperature, Slope: slope})
		t = until
	}
	for t := 0.0; t < s.end; {
		to := s.breakAfter(t)
		phase := ExportPhase{From: t, To: to, Power: make([]float64, len(s.in.Power)), Slope: make([]float64, len(s.in.Power))}
		p.Timeline.Load(t, phase.Power, phase.Slope)
		e.Phases = append(e.Phases, phase)
		t = to
	}
	return e
}
