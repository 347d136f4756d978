package network

import "math"

// Entry is one line of the ledger.
type Entry struct {
	Name   string
	Energy float64 // J
}

// Ledger is the energy account of a run from its start to now.
type Ledger struct {
	In     []Entry // released by each requested power and each leak
	Out    []Entry // left by each path, negative where more came in
	Stored []Entry // taken up by each lump
}

// Ledger returns the account between state y0 and state y. requested is the
// energy that each source was asked for, J. The quadratures of y0 are taken
// as the account's zero.
func (n *Network) Ledger(y0, y, requested []float64) Ledger {
	var l Ledger
	for k, s := range n.sources {
		l.In = append(l.In, Entry{s.name, requested[k]})
	}
	for i := range n.leaks {
		q := n.leakRow(i)
		l.In = append(l.In, Entry{n.leaks[i].name, y[q] - y0[q]})
	}
	for i, name := range n.paths {
		q := n.pathRow(int32(i))
		l.Out = append(l.Out, Entry{name, y[q] - y0[q]})
	}
	for i, name := range n.names {
		l.Stored = append(l.Stored, Entry{name, n.capacity[i] * (y[i] - y0[i])})
	}
	return l
}

// Total returns the sum of entries, J.
func Total(entries []Entry) float64 {
	sum := 0.0
	for _, e := range entries {
		sum += e.Energy
	}
	return sum
}

// Residual returns energy in minus energy out minus energy stored, J.
func (l Ledger) Residual() float64 { return Total(l.In) - Total(l.Out) - Total(l.Stored) }

// Relative returns the residual without sign over the largest of energy in,
// energy out and energy stored, each the sum of its entries without sign. It is
// zero when nothing has moved, and +Inf if an entry is not a finite number, so
// that such an account never passes for closed.
func (l Ledger) Relative() float64 {
	scale := math.Max(size(l.In), math.Max(size(l.Out), size(l.Stored)))
	if scale == 0 {
		return 0
	}
	r := math.Abs(l.Residual()) / scale
	if math.IsNaN(r) {
		return math.Inf(1)
	}
	return r
}

// size returns the sum of entries without sign, J.
func size(entries []Entry) float64 {
	sum := 0.0
	for _, e := range entries {
		sum += math.Abs(e.Energy)
	}
	return sum
}
