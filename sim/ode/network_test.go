package ode

import "slices"

// linear is a linear System y' = A y of any pattern, for tests inside the package.
type linear struct {
	n, m int
	p    Pattern
	vals []float64
	// count is the number of calls of F.
	count int
}

// link is a conductance from one state to another; a directed one carries only the flow from the first to the second.
type link struct {
	from, to int
	g        float64
	directed bool
}

// newLinear makes the network of n unit capacities joined by links, each losing 0.01 to the outside.
func newLinear(n int, links []link) *linear {
	rows := make([]map[int]float64, n)
	for i := range rows {
		rows[i] = map[int]float64{i: -0.01}
	}
	for _, l := range links {
		rows[l.to][l.from] += l.g
		rows[l.to][l.to] -= l.g
		if !l.directed {
			rows[l.from][l.to] += l.g
			rows[l.from][l.from] -= l.g
		}
	}
	s := &linear{n: n, p: Pattern{RowStart: []int{0}}}
	for _, r := range rows {
		var cols []int
		for c := range r {
			cols = append(cols, c)
		}
		slices.Sort(cols)
		for _, c := range cols {
			s.p.Col = append(s.p.Col, c)
			s.vals = append(s.vals, r[c])
		}
		s.p.RowStart = append(s.p.RowStart, len(s.p.Col))
	}
	return s
}

// loop16 is shaped like a cooling loop of 16 lumps: two chains of solids that end in a flushed ring, two
// solids beside the ring, and two lumps tied to several others; 56 nonzeros.
func loop16() *linear {
	return newLinear(16, []link{
		{0, 1, 5, false}, {1, 2, 2, false}, {2, 3, 1, false}, // die, spreader, plate, block coolant
		{5, 6, 4, false}, {6, 7, 1, false},
		{3, 4, 3, true}, {4, 7, 3, true}, {7, 8, 3, true}, {8, 9, 3, true}, {9, 10, 3, true}, {10, 13, 3, true}, {13, 3, 3, true},
		{9, 11, 0.5, false}, {10, 12, 0.5, false}, {13, 11, 0.2, true}, {13, 12, 0.2, true}, // the reservoir steers the fans
		{11, 14, 0.3, true}, {12, 14, 0.3, true}, {13, 14, 0.1, false}, {14, 15, 0.1, false}, {6, 15, 0.05, true}, {13, 15, 0.05, true},
		{4, 15, 0.02, true}, {8, 15, 0.02, true},
		// Viscosity follows the reservoir's temperature.
		{13, 2, 0.1, true}, {13, 4, 0.1, true}, {13, 6, 0.1, true}, {13, 7, 0.1, true}, {13, 8, 0.1, true}, {13, 9, 0.1, true},
	})
}

// chain is n cells in a row that conduct to their neighbours; closed joins the ends.
func chain(n int, closed bool) *linear {
	var links []link
	for i := range n - 1 {
		links = append(links, link{i, i + 1, 1, false})
	}
	if closed {
		links = append(links, link{n - 1, 0, 1, true})
	}
	return newLinear(n, links)
}

func (s *linear) Dim() (states, quadratures int) { return s.n, s.m }
func (s *linear) Pattern() Pattern               { return s.p }

func (s *linear) F(_ float64, y, dydt []float64) {
	s.count++
	e := 0
	for i := range s.n {
		sum := 0.0
		for end := s.p.RowStart[i+1]; e < end; e++ {
			sum += s.vals[e] * y[s.p.Col[e]]
		}
		dydt[i] = sum
	}
}

func (s *linear) Jacobian(_ float64, _, jac []float64)          { copy(jac, s.vals) }
func (s *linear) TimeDerivative(_ float64, _, _ []float64) bool { return false }

// cheap has the pattern of another system and a right-hand side that costs next to nothing.
type cheap struct{ *linear }

func (c cheap) F(_ float64, y, dydt []float64) {
	dydt = dydt[:len(y)]
	for i, v := range y {
		dydt[i] = -v
	}
}
