package odetest

const testSet = "Mazzia & Magherini, Test Set for IVP Solvers, release 2.4, 2008"

// HIRES is the high irradiance response of photomorphogenesis, 8 equations (Schaefer 1975).
func HIRES() Problem {
	return Problem{
		Name:   "HIRES",
		Source: testSet + ", problem HIRES",
		System: &Functions{
			States: 8,
			Nonzeros: Rows(
				[]int{0, 1, 2}, []int{0, 1}, []int{2, 3, 4}, []int{1, 2, 3}, []int{4, 5, 6},
				[]int{3, 4, 5, 6, 7}, []int{5, 6, 7}, []int{5, 6, 7}),
			RHS: hiresF,
			Jac: hiresJacobian,
		},
		T1: 321.8122,
		Y0: []float64{1, 0, 0, 0, 0, 0, 0, 0.0057},
		End: []float64{
			0.7371312573325668e-3, 0.1442485726316185e-3, 0.5888729740967575e-4, 0.1175651343283149e-2,
			0.2386356198831331e-2, 0.6238968252742796e-2, 0.2849998395185769e-2, 0.2850001604814231e-2,
		},
		Scale: []float64{1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4, 1e-4},
	}
}

func hiresF(_ float64, y, f []float64) {
	f[0] = -1.71*y[0] + 0.43*y[1] + 8.32*y[2] + 0.0007
	f[1] = 1.71*y[0] - 8.75*y[1]
	f[2] = -10.03*y[2] + 0.43*y[3] + 0.035*y[4]
	f[3] = 8.32*y[1] + 1.71*y[2] - 1.12*y[3]
	f[4] = -1.745*y[4] + 0.43*y[5] + 0.43*y[6]
	f[5] = -280*y[5]*y[7] + 0.69*y[3] + 1.71*y[4] - 0.43*y[5] + 0.69*y[6]
	f[6] = 280*y[5]*y[7] - 1.81*y[6]
	f[7] = -280*y[5]*y[7] + 1.81*y[6]
}

func hiresJacobian(_ float64, y, jac []float64) {
	copy(jac, []float64{
		-1.71, 0.43, 8.32,
		1.71, -8.75,
		-10.03, 0.43, 0.035,
		8.32, 1.71, -1.12,
		-1.745, 0.43, 0.43,
		0.69, 1.71, -280*y[7] - 0.43, 0.69, -280 * y[5],
		280 * y[7], -1.81, 280 * y[5],
		-280 * y[7], 1.81, -280 * y[5],
	})
}

// ROBER is the chemical reaction of Robertson (1966), 3 equations, on a span of eleven decades.
func ROBER() Problem {
	return Problem{
		Name:   "ROBER",
		Source: testSet + ", problem ROBER",
		System: &Functions{
			States:   3,
			Nonzeros: Dense(3, 3),
			RHS: func(_ float64, y, f []float64) {
				f[0] = -0.04*y[0] + 1e4*y[1]*y[2]
				f[1] = 0.04*y[0] - 1e4*y[1]*y[2] - 3e7*y[1]*y[1]
				f[2] = 3e7 * y[1] * y[1]
			},
			Jac: func(_ float64, y, jac []float64) {
				copy(jac, []float64{
					-0.04, 1e4 * y[2], 1e4 * y[1],
					0.04, -1e4*y[2] - 6e7*y[1], -1e4 * y[1],
					0, 6e7 * y[1], 0,
				})
			},
		},
		T1:    1e11,
		Y0:    []float64{1, 0, 0},
		End:   []float64{0.2083340149701255e-7, 0.8333360770334713e-13, 0.9999999791665050},
		Scale: []float64{1e-8, 1e-14, 1e-2},
	}
}

// OREGO is the Oregonator, a chemical oscillator (Field & Noyes 1974), 3 equations.
func OREGO() Problem {
	const s, w, q = 77.27, 0.161, 8.375e-6
	return Problem{
		Name:   "OREGO",
		Source: testSet + ", problem OREGO",
		System: &Functions{
			States:   3,
			Nonzeros: Rows([]int{0, 1}, []int{0, 1, 2}, []int{0, 2}),
			RHS: func(_ float64, y, f []float64) {
				f[0] = s * (y[1] + y[0]*(1-q*y[0]-y[1]))
				f[1] = (y[2] - (1+y[0])*y[1]) / s
				f[2] = w * (y[0] - y[2])
			},
			Jac: func(_ float64, y, jac []float64) {
				copy(jac, []float64{
					s * (1 - 2*q*y[0] - y[1]), s * (1 - y[0]),
					-y[1] / s, -(1 + y[0]) / s, 1 / s,
					w, -w,
				})
			},
		},
		T1:    360,
		Y0:    []float64{1, 2, 3},
		End:   []float64{0.1000814870318523e1, 0.1228178521549917e4, 0.1320554942846706e3},
		Scale: []float64{1, 1, 1},
	}
}

// VDPOL is the van der Pol oscillator eps y2' = (1-y1^2) y2 - y1, y1' = y2 with eps = 1e-6, 2 equations, on one and a half relaxation cycles.
func VDPOL() Problem {
	const mu = 1e6
	return Problem{
		Name:   "VDPOL",
		Source: testSet + ", problem VDPOL (in the scaling of Hairer & Wanner, Solving ODEs II, sec. IV.10)",
		System: &Functions{
			States:   2,
			Nonzeros: Rows([]int{1}, []int{0, 1}),
			RHS: func(_ float64, y, f []float64) {
				f[0] = y[1]
				f[1] = mu * ((1-y[0]*y[0])*y[1] - y[0])
			},
			Jac: func(_ float64, y, jac []float64) {
				jac[0] = 1
				jac[1] = mu * (-2*y[0]*y[1] - 1)
				jac[2] = mu * (1 - y[0]*y[0])
			},
		},
		T1:    2,
		Y0:    []float64{2, 0},
		End:   []float64{0.1706167732170469e1, -0.8928097010248125},
		Scale: []float64{1, 1},
	}
}
