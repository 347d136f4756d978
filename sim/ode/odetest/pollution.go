package odetest

// POLLU is the chemistry of an air pollution model, 20 species in 25 reactions (Verwer, Gauss-Seidel iteration
// for stiff ODEs from chemical kinetics, SIAM J. Sci. Comput. 15 (1994) 1243).
func POLLU() Problem {
	y0 := make([]float64, 20)
	y0[1], y0[3], y0[6], y0[7], y0[8], y0[16] = 0.2, 0.04, 0.1, 0.3, 0.01, 0.007
	scale := make([]float64, 20)
	end := []float64{
		0.5646255480022769e-1, 0.1342484130422339, 0.4139734331099427e-8, 0.5523140207484359e-2,
		0.2018977262302196e-6, 0.1464541863493966e-6, 0.7784249118997964e-1, 0.3245075353396018,
		0.7494013383880406e-2, 0.1622293157301561e-7, 0.1135863833257075e-7, 0.2230505975721359e-2,
		0.2087162882798630e-3, 0.1396921016840158e-4, 0.8964884856898295e-2, 0.4352846369330103e-17,
		0.6899219696263405e-2, 0.1007803037365946e-3, 0.1772146513969984e-5, 0.5682943292316392e-4,
	}
	for i, v := range end {
		scale[i] = v / 100
	}
	return Problem{
		Name:   "POLLU",
		Source: testSet + ", problem POLLU",
		System: newKinetics(20, polluReactions()),
		T1:     60,
		Y0:     y0,
		End:    end,
		Scale:  scale,
	}
}

// reaction is rate * product of its reactants, which it consumes, yielding its products.
// Species count from 1, as in the source; a species listed twice takes part twice.
type reaction struct {
	rate      float64
	reactants []int
	products  []int
}

// polluReactions are the reactions of the source. The model keeps reservoirs (oxygen, water, carbon monoxide)
// constant and drops some products, so atoms are not balanced.
func polluReactions() []reaction {
	return []reaction{
		{0.350, []int{1}, []int{2, 3}},
		{0.266e2, []int{2, 4}, []int{1}},
		{0.123e5, []int{5, 2}, []int{6, 1}},
		{0.860e-3, []int{7}, []int{5, 5, 8}},
		{0.820e-3, []int{7}, []int{8}},
		{0.150e5, []int{7, 6}, []int{5, 8}},
		{0.130e-3, []int{9}, []int{10, 5, 8}},
		{0.240e5, []int{9, 6}, []int{11}},
		{0.165e5, []int{11, 2}, []int{10, 1, 12}},
		{0.900e4, []int{11, 1}, []int{13}},
		{0.220e-1, []int{13}, []int{11, 1}},
		{0.120e5, []int{10, 2}, []int{14, 1}},
		{0.188e1, []int{14}, []int{7, 5}},
		{0.163e5, []int{1, 6}, []int{15}},
		{0.480e7, []int{3}, []int{4}},
		{0.350e-3, []int{4}, []int{16}},
		{0.175e-1, []int{4}, []int{3}},
		{0.100e9, []int{16}, []int{6, 6}},
		{0.444e12, []int{16}, []int{3}},
		{0.124e4, []int{17, 6}, []int{18, 5}},
		{0.210e1, []int{19}, []int{2}},
		{0.578e1, []int{19}, []int{1, 3}},
		{0.474e-1, []int{1, 4}, []int{19}},
		{0.178e4, []int{19, 1}, []int{20}},
		{0.312e1, []int{20}, []int{19, 1}},
	}
}
