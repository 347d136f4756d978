package part

import "math"

// mostCell is the conductance of one cell's air side over the capacity rate of its
// coolant up to which cells give the exact heat; at twice that they are those of
// standing coolant.
const mostCell = 1

// mostExponent is the largest -ln(1-p) that is told from p: there the rounding of p
// is 1e-4 of 1-p, and the coolant has given off all it brought but 1e-12.
const mostExponent = 28

// CellConductanceOf returns the conductance between coolant and entering air (W/K,
// all cells together) with which n well-mixed cells in flow order give exactly the
// heat of effectiveness p at a capacity rate c of the coolant (W/K),
//
//	g = n c [(1-p)^(-1/n) - 1].
//
// Left at the plain conductance, mixed cells would come to the heat of the coolant
// as a mixed stream only as n grows, with an error that goes as 1/n.
//
// It is exact while airSide, the conductance of the air side to standing coolant
// without a film ([Still]), is n c or less: at 4 L/min of water and two cells up to
// 558 W/K. Slower, mixed cells lose their meaning as steps along the way, and g
// passes smoothly to still, the same with the film, which it reaches at 2 n c. That
// the passage goes by the air side alone keeps a weaker film from helping.
func CellConductanceOf(p, still, airSide, c float64, n int) float64 {
	cells := float64(n)
	if !(airSide < 2*mostCell*cells*c) {
		return still
	}
	s := math.Min((2*mostCell-airSide/(cells*c))/mostCell, 1)
	s *= s * (3 - 2*s)
	x := math.Min(-math.Log1p(-p), mostExponent)
	return still + (cells*c*math.Expm1(x/cells)-still)*s
}

// freeFilm is the share of the film up to which a cell's conductance is as
// computed.
const freeFilm = 0.8

// BeyondFilm returns the conductance from metal to air (W/K) that in series with
// the film between coolant and metal gives g (all W/K). Mixed cells cannot pass
// more than the film. Far below usual flows, where they would have to, the limit is
// met smoothly: g above 80 % of the film bends towards 95 % of it.
func BeyondFilm(g, film float64) float64 {
	if g <= 0 || film <= 0 {
		return 0
	}
	const bend = 0.75 * (1 - freeFilm)
	if x := g / film; x > freeFilm {
		g = film * (freeFilm - bend*math.Expm1(-(x-freeFilm)/bend))
	}
	return 1 / (1/g - 1/film)
}

// Cells returns the conductance from metal to entering air (W/K, all together) with
// which n cells of coolant, each tied through its share of the film to a cell of
// metal, give the exact heat of the core: its air side and film, and the capacity
// rates of coolant and air (all W/K).
func (c *Core) Cells(airSide, film, coolant, air float64, n int) float64 {
	ua := Overall(airSide, film)
	p := c.Effectiveness(ua, coolant, air)
	return BeyondFilm(CellConductanceOf(p, Still(ua, air), Still(airSide, air), coolant, n), film)
}
