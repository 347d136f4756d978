// Package sweep makes the designs of a study. A Plan is made of a scenario that
// has one; its i-th design is a function of the plan and i alone:
//
//	plan, err := sweep.New(scenario)
//	for i := range plan.Count() {
//		d, err := plan.Design(i)
//		...
//	}
//
// So any worker may make any design, in any order, on any machine, and a plan
// needs memory for its axes, not for its runs. A design is the scenario with
// some values changed, as spec.Scenario.With changes them: nothing tells it from
// a file that states these values.
//
// Designs that fail one of the study's conditions are dropped. Their numbers
// stay unused, so that a condition that is added changes no other run's number.
//
// # Draws
//
// Values between the stated ones, of ranges and distributions, are rounded to
// twelve digits in the unit of their column. What the column says, written in a
// file, is then read as exactly the value of the run.
//
// Random numbers are those of SplitMix64, whose i-th is known without those
// before it. Each axis has a sequence of its own, by the study's seed and its
// path: axes that are added, left out or put in another order leave the draws
// of the others alone. (A Halton sequence is the exception: it goes by the order
// of the axes.)
package sweep
