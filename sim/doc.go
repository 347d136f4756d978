// Package sim runs one scenario: it assembles the network, joins it to the
// integrator, steps through the work without ever crossing a jump, and feeds
// the soak figures, the trace and the energy ledger as it goes.
//
//	s, err := sim.New(scenario, sim.Settings{})
//	result, err := s.Run(ctx)
//
// The scenario comes from package scenarios or is built in Go; no file is
// read or written here. A Simulation is used by one goroutine; any number of
// them run side by side.
package sim
