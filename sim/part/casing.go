package part

import (
	"fmt"
	"math"
)

// Casing is a case as one node of static pressure over that of the room, into
// which ducts blow and out of which ducts draw, and which has openings. What
// goes from room to room or from case to case is no part of it. The density is
// taken as one on all sides, so that volume flows balance as masses do.
type Casing struct {
	In    []Duct    // near end in the room, far end in the case
	Out   []Duct    // near end in the case, far end in the room
	Vents []AirLoss // any other opening is a duct without fans
}

// Check reports a casing that cannot be: a duct that cannot be, or an opening
// that does not resist.
func (c *Casing) Check() error {
	for i := range c.In {
		if err := c.In[i].Check(); err != nil {
			return fmt.Errorf("part: casing: duct %d into it: %w", i+1, err)
		}
	}
	for i := range c.Out {
		if err := c.Out[i].Check(); err != nil {
			return fmt.Errorf("part: casing: duct %d out of it: %w", i+1, err)
		}
	}
	for i, v := range c.Vents {
		if !(v.K > 0) || !(v.Area >= 0) {
			return fmt.Errorf("part: casing: vent %d: a loss of %g on %g m2 cannot be; the loss must be above zero, the area not below", i+1, v.K, v.Area)
		}
	}
	return nil
}

// Flows returns the number of flows: the ducts into the casing, those out of
// it, the vents.
func (c *Casing) Flows() int { return len(c.In) + len(c.Out) + len(c.Vents) }

// Rows returns the number of rows of fans: those of the ducts into the casing
// in order, then those of the ducts out of it.
func (c *Casing) Rows() int {
	n := 0
	for i := range c.In {
		n += len(c.In[i].Rows)
	}
	for i := range c.Out {
		n += len(c.Out[i].Rows)
	}
	return n
}

// Solve returns the casing's pressure over the room's (Pa) at one speed over
// rated speed a row, in the order of [Casing.Rows], and writes the airflows
// (m3/s) to flows, in the order of [Casing.Flows]: of a duct from its near to
// its far end, of a vent from the casing to the room; backward flow is
// negative. What flows in and out balances to 1e-12 of the largest flow. Where
// nothing drives, or all is closed, all is exactly zero. The result does not
// depend on what flows held before.
//
// The error tells that speeds or flows do not fit the casing, or that a figure
// is not a number.
func (c *Casing) Solve(speeds []float64, a Air, flows []float64) (pressure float64, err error) {
	if len(speeds) != c.Rows() || len(flows) != c.Flows() {
		return 0, fmt.Errorf("part: casing: %d speeds and %d flows for %d rows of fans and %d ways", len(speeds), len(flows), c.Rows(), c.Flows())
	}
	n := c.node(speeds, a)
	if sum := n.vents + n.high - n.low; math.IsNaN(sum) || math.IsInf(sum, 0) {
		return 0, fmt.Errorf("part: casing: a fan's pressure or a vent is no finite number")
	}
	ducts := flows[:len(c.In)+len(c.Out)]
	for i := range flows {
		flows[i] = 0
	}
	if n.low == 0 && n.high == 0 || !n.open {
		return 0, nil
	}
	x, ok := n.together(ducts)
	if !ok {
		if x, err = n.nested(ducts); err != nil {
			return 0, err
		}
	}
	n.spread(flows)
	pressure, _ = n.pressure(x)
	return pressure, nil
}

// node is a casing at given speeds and air. Its unknown x is the pressure, or
// where there are vents the signed root of it, in which the flow through vents
// is linear: no search then meets the infinite slope of their flow at rest.
type node struct {
	*Casing
	speeds    []float64
	air       Air
	vents     float64 // flow through all vents at one root of a pascal; 0 without
	low, high float64 // pressures between which the casing's lies
	open      bool    // air can get in or out somewhere
}

// node reads the casing.
func (c *Casing) node(speeds []float64, a Air) node {
	n := node{Casing: c, speeds: speeds, air: a}
	for _, v := range c.Vents {
		n.vents += n.vent(v)
	}
	n.open = n.vents > 0
	row := 0
	for i := range len(c.In) + len(c.Out) {
		d, way := n.duct(i)
		p, steep := d.excess(0, n.rows(&row, d), a)
		n.low, n.high = math.Min(n.low, way*p), math.Max(n.high, way*p)
		n.open = n.open || !math.IsInf(steep, -1)
	}
	return n
}

// vent returns the flow through a vent at one root of a pascal.
func (n *node) vent(v AirLoss) float64 { return 1 / math.Sqrt(v.perSquare(n.air.Density)) }

// rows returns the speeds of a duct whose first row is the casing's at row, and
// moves that on.
func (n *node) rows(row *int, d *Duct) []float64 {
	from := *row
	*row += len(d.Rows)
	return n.speeds[from:*row]
}

// pressure returns the pressure at x, and its slope.
func (n *node) pressure(x float64) (p, slope float64) {
	if n.vents == 0 {
		return x, 1
	}
	return x * math.Abs(x), 2 * math.Abs(x)
}

// at is the inverse of pressure.
func (n *node) at(p float64) float64 {
	if n.vents == 0 {
		return p
	}
	return math.Copysign(math.Sqrt(math.Abs(p)), p)
}

// duct returns the i-th duct, and 1 if it leads into the casing or -1.
func (n *node) duct(i int) (d *Duct, way float64) {
	if i < len(n.In) {
		return &n.In[i], 1
	}
	return &n.Out[i-len(n.In)], -1
}

// spread gives the vents what the ducts leave over, by their width; without
// vents that is nothing.
func (n *node) spread(flows []float64) {
	ducts := len(n.In) + len(n.Out)
	left := n.balance(flows[:ducts])
	for i, v := range n.Vents {
		if n.vents > 0 {
			flows[ducts+i] = left * (n.vent(v) / n.vents)
		}
	}
}
