package network

import (
	"math"
	"slices"
)

// largestWithin is over how many kelvin the largest of several inputs of a drive
// goes over from one to the other. Our choice, no source.
const largestWithin = 0.05

// DriveInput is what a drive follows: see SumOf and LargestOf.
type DriveInput struct {
	sums [][]Signal
}

// StateOf is weight times an auxiliary state: a sensor's reading (K), or an average (W).
// Only a drive can follow it.
func StateOf(a Aux, weight float64) Signal { return Signal{ofState, int(a), weight} }

// SumOf is the sum of temperatures of nodes (TemperatureOf) and of auxiliary
// states (StateOf), each times its weight.
func SumOf(of ...Signal) DriveInput { return DriveInput{sums: [][]Signal{slices.Clone(of)}} }

// LargestOf is the largest of inputs x_i, made smooth: w log(sum exp(x_i/w)) with w = 0.05 K. It
// lies above the largest by w log 2 = 0.035 K where the two largest are equal, and by less than 0.007 K where they are
// 0.1 K apart.
func LargestOf(of ...DriveInput) DriveInput {
	var d DriveInput
	for _, other := range of {
		d.sums = append(d.sums, other.sums...)
	}
	return d
}

// driveOf is what a builder keeps of a drive.
type driveOf struct {
	name      string
	low, high float64
	input     DriveInput
	law       func(x float64) (y, slope float64)
	settings  []Setting
}

// Drive adds a speed that follows the network's state by a law: y, with its slope, at
// the input x (see SumOf). The law has a continuous slope, and is called whenever F is. The
// speed stays from low to high (low < high), the range that a run can reach; what lies beyond counts as
// the nearest end. It is the value of the settings, and AirBy lets air depend on it.
//
// Inputs.Speed may hold it at a number instead.
func (b *Builder) Drive(name string, low, high float64, input DriveInput, law func(x float64) (y, slope float64), settings ...Setting) Drive {
	if !(low < high) || math.IsInf(low, -1) || math.IsInf(high, 1) {
		b.fail("drive %s: %g to %g is no range", name, low, high)
	}
	if len(input.sums) == 0 || law == nil {
		b.fail("drive %s follows nothing", name)
	}
	for _, sum := range input.sums {
		for _, s := range sum {
			b.checkInput(name, s)
		}
	}
	b.drives = append(b.drives, driveOf{name, low, high, input, law, slices.Clone(settings)})
	return Drive(len(b.drives) - 1)
}

// checkInput records what is wrong with a signal of a drive.
func (b *Builder) checkInput(name string, s Signal) {
	switch {
	case math.IsNaN(s.weight) || math.IsInf(s.weight, 0):
		b.fail("drive %s: a weight of %g is not finite", name, s.weight)
	case s.kind == ofState && (s.index < 0 || s.index >= len(b.auxiliaries)):
		b.fail("drive %s: there is no auxiliary state %d", name, s.index)
	case s.kind == ofNode && !b.known(Node(s.index)):
		b.fail("drive %s: there is no node %d", name, s.index)
	case s.kind != ofState && s.kind != ofNode:
		b.fail("drive %s can follow the temperatures of nodes and auxiliary states only; let a lag sense what else there is", name)
	}
}

// AirBy lets all passes, all streams of air, and settings (the air through each core) follow the speeds of
// drives. flows fills in air (one a pass), stream (one a stream) and setting (one
// of the given settings each, in their order) at speeds (in the order of the drives); all are zero before. It
// gives the same for the same, and keeps nothing it was given. What it gives must be possible, as CheckAir has it, but for
// exhausts that are overdrawn. There is one for a network; Inputs.Air and
// Inputs.Stream then have no effect.
//
// With one drive it is called at knots of the drive's range, when they are first needed, and at speeds beyond
// the range; between the knots all of it is blended as the tables of Follow are, so that air which balances at the knots
// balances everywhere. With several it is called whenever a speed changes, and
// twice more a drive for every Jacobian; it should then be accurate to 1e-12.
func (b *Builder) AirBy(drives []Drive, settings []Setting, flows func(speeds []float64, air []AirFlow, stream, setting []float64) error) {
	if b.airBy != nil {
		b.fail("the air follows two laws")
	}
	if len(drives) == 0 || flows == nil {
		b.fail("the air follows no drive")
	}
	b.airBy = &airBy{drives: slices.Clone(drives), settings: slices.Clone(settings), flows: flows}
}

// checkDrives makes sure that every setting has one master.
func (b *Builder) checkDrives() {
	for s := range b.settings { // of an earlier Build
		b.settings[s].drivenBy = ""
	}
	claim := func(who string, settings []Setting) {
		for _, s := range settings {
			switch {
			case s < 0 || int(s) >= len(b.settings):
				b.fail("%s: there is no setting %d", who, s)
			case b.settings[s].drivenBy != "":
				b.fail("setting %s follows both %s and %s", b.settings[s].name, b.settings[s].drivenBy, who)
			default:
				b.settings[s].drivenBy = who
			}
		}
	}
	for _, d := range b.drives {
		claim("drive "+d.name, d.settings)
	}
	if b.airBy == nil {
		return
	}
	claim("the air", b.airBy.settings)
	for i, d := range b.airBy.drives {
		if d < 0 || int(d) >= len(b.drives) || slices.Contains(b.airBy.drives[:i], d) {
			b.fail("the air follows drive %d, which there is not, or twice", d)
		}
	}
}

// driveLink is the working data of a drive.
type driveLink struct {
	driveOf
	terms  [][]driveTerm // of each sum
	values []float64     // of each sum, then their weights in the input
	speed  float64       // at present
	slope  float64       // of the speed over the input
	frozen bool          // held by the inputs
	air    bool          // the air follows it
	ops    []*operated   // that follow it
	knots  axis          // of its range

	columns []int32   // states on which the input depends
	byState []float64 // derivative of the input, by column
	rows    []int32   // of F that depend on its speed
	entry   []int32   // of the Jacobian: by column, then by row
}

// driveTerm is one temperature or auxiliary state.
type driveTerm struct {
	node   int32 // among nodes; -1 of an auxiliary state
	state  int32 // among states; -1 of a boundary
	column int   // among the drive's columns
	weight float64
}

// addDrives copies what a checked builder has of settings and drives.
func (n *Network) addDrives(b *Builder) {
	n.settings = slices.Clone(b.settings)
	for _, d := range b.drives {
		link := driveLink{driveOf: d, speed: d.high, knots: newAxis(d.low, d.high), values: make([]float64, 2*len(d.input.sums))}
		for _, sum := range d.input.sums {
			var terms []driveTerm
			for _, s := range sum {
				terms = append(terms, n.newDriveTerm(&link, s))
			}
			link.terms = append(link.terms, terms)
		}
		link.byState = make([]float64, len(link.columns))
		n.drives = append(n.drives, link)
	}
	if b.airBy != nil {
		a := *b.airBy
		n.airBy = &a
		n.addAirBy()
	}
	for i := range n.drives {
		n.findOperations(&n.drives[i])
	}
	quantities := len(n.quantity)
	n.steering = steering{high: make([]float64, quantities), low: make([]float64, quantities), base: make([]float64, quantities),
		rates: make([]float64, len(n.perRow)), other: make([]float64, len(n.perRow))}
}

// newDriveTerm numbers a signal and its column.
func (n *Network) newDriveTerm(d *driveLink, s Signal) driveTerm {
	t := driveTerm{node: -1, state: -1, column: -1, weight: s.weight}
	k, out := Node(s.index).boundary()
	switch {
	case s.kind == ofState:
		t.state = int32(len(n.names) + s.index)
	case out:
		t.node = int32(len(n.names) + k)
	default:
		t.node, t.state = int32(s.index), int32(s.index)
	}
	if t.state >= 0 {
		if t.column = slices.Index(d.columns, t.state); t.column < 0 {
			t.column = len(d.columns)
			d.columns = append(d.columns, t.state)
		}
	}
	return t
}

// findOperations lists the operations that follow a drive.
func (n *Network) findOperations(d *driveLink) {
	driven := slices.Clone(d.settings)
	if d.air {
		driven = append(driven, n.airBy.settings...)
	}
	for _, o := range n.blended {
		if slices.ContainsFunc(o.by.moving, func(m int) bool { return slices.Contains(driven, o.by.settings[m]) }) {
			d.ops = append(d.ops, o)
		}
	}
}
