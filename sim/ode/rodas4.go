package ode

// Rodas4 is the L-stable, stiffly accurate Rosenbrock method RODAS of order 4 with six stages, an embedded
// method of order 3 and an interpolant of order 3 (Hairer & Wanner, Solving Ordinary Differential Equations II,
// 2nd ed. 1996, sec. IV.7 and VI.4; coefficients of their code RODAS). It is the default and the cheaper choice
// at loose and moderate tolerances.
type Rodas4 struct{}

// Name returns "Rodas4".
func (Rodas4) Name() string { return "Rodas4" }

// Order returns 4.
func (Rodas4) Order() int { return 4 }

func (Rodas4) tableau() tableau {
	return tableau{
		stages:     6,
		base:       4,
		errorOrder: 3,
		gamma:      0.25,
		alpha:      row{0, 0.386, 0.21, 0.63, 1, 1},
		d:          row{0.25, -0.1043, 0.1035, -0.03620000000000023, 0, 0},
		a: [maxStages]row{
			1: {1.544},
			2: {0.9466785280815826, 0.2557011698983284},
			3: {3.314825187068521, 2.896124015972201, 0.9986419139977817},
			4: {1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950},
		},
		c: [maxStages]row{
			1: {-5.6688},
			2: {-2.430093356833875, -0.2063599157091915},
			3: {-0.1073529058151375, -9.594562251023355, -20.47028614809616},
			4: {7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160},
			5: {8.083246795921522, -7.981132988064893, -31.52159432874371, 16.31930543123136, -6.058818238834054},
		},
		dense: [3]row{
			{10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662},
			{-0.6762803392801253, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872},
		},
		denseRows: 2,
	}
}
