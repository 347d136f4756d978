// Package ode integrates stiff ordinary differential equations
//
//	y' = f(t, y)
//
// with an exact sparse Jacobian, by Rosenbrock-Wanner methods: one-step methods that solve a few linear systems with one
// matrix a step and never iterate. It suits about 1 to some thousand equations with time constants far apart, right-hand
// sides that jump often (a one-step method goes on at full order after a jump), and moderate accuracy.
//
// # Use
//
// Describe the equations as a System. Solve integrates a Problem from start to end. A driver that has its own loop
// uses an Integrator: New once, Start for every run, then Step, which takes exactly one step and never passes the
// end time given. Call Jump where inputs have changed, SetState where the state has, and TruncateTo to
// cut the last step at an event that FirstCrossing has located. Segment is the interpolant of the last step.
//
//	it, err := ode.New(system, nil, ode.Settings{AbsTol: []float64{1e-4}})
//	...
//	err = it.Start(0, y0)
//	for it.Time() < end {
//		if err := it.Step(end); err != nil { ... }
//		use(it.Segment())
//	}
//
// # Methods
//
// Rodas4 (order 4, six stages) is the default; Rodas5P (order 5, eight stages) is the better one for
// tight tolerances.
//
// # Accuracy
//
// A step is accepted if for every state i the estimated error is at most AbsTol_i + RelTol_i max(|y_i| before, |y_i| after).
// This bounds the error made in one step, not the error accumulated; for damped problems the two are of one size, and the
// error actually seen is commonly a few times the tolerance. Check by repeating with a tenth of the tolerance.
// Where f has kinks or jumps that are not declared (as jump times, or by cutting steps at events), steps across
// them are rejected until they are short, and the error is less well controlled.
//
// Quadratures are integrals of functions of the state that are carried along without cost for the linear algebra. They
// are as accurate as the method but not error-controlled, and conserve linear invariants to rounding; see System.
//
// # Repeatability
//
// Results are a pure function of the inputs: no clock, no random numbers, no shared state. The same program on the same
// architecture gives the same bytes. On architectures where the compiler fuses a*b+c, last bits differ.
package ode
