package ode

import "math"

func abs(x float64) float64 { return math.Abs(x) }

// The loops here are most of a step beside the linear solves. Each reads every stage vector once for
// two sums, with all slices cut to one length so that the compiler drops the index checks.

// combine writes arg = y + sum a_j u_j and extra = sum c_j u_j over the first k stages, 1 <= k <= 5.
func combine(k int, arg, extra, y []float64, u *[maxStages][]float64, a, c *row) {
	switch k {
	case 1:
		combine1(arg, extra, y, u, a, c)
	case 2:
		combine2(arg, extra, y, u, a, c)
	case 3:
		combine3(arg, extra, y, u, a, c)
	case 4:
		combine4(arg, extra, y, u, a, c)
	default:
		combine5(arg, extra, y, u, a, c)
	}
}

func combine1(arg, extra, y []float64, u *[maxStages][]float64, a, c *row) {
	extra, y = extra[:len(arg)], y[:len(arg)]
	u0 := u[0][:len(arg)]
	a0, c0 := a[0], c[0]
	for i := range arg {
		x0 := u0[i]
		arg[i] = y[i] + a0*x0
		extra[i] = c0 * x0
	}
}

func combine2(arg, extra, y []float64, u *[maxStages][]float64, a, c *row) {
	extra, y = extra[:len(arg)], y[:len(arg)]
	u0, u1 := u[0][:len(arg)], u[1][:len(arg)]
	a0, a1, c0, c1 := a[0], a[1], c[0], c[1]
	for i := range arg {
		x0, x1 := u0[i], u1[i]
		arg[i] = y[i] + (a0*x0 + a1*x1)
		extra[i] = c0*x0 + c1*x1
	}
}

func combine3(arg, extra, y []float64, u *[maxStages][]float64, a, c *row) {
	extra, y = extra[:len(arg)], y[:len(arg)]
	u0, u1, u2 := u[0][:len(arg)], u[1][:len(arg)], u[2][:len(arg)]
	a0, a1, a2, c0, c1, c2 := a[0], a[1], a[2], c[0], c[1], c[2]
	for i := range arg {
		x0, x1, x2 := u0[i], u1[i], u2[i]
		arg[i] = y[i] + (a0*x0 + a1*x1 + a2*x2)
		extra[i] = c0*x0 + c1*x1 + c2*x2
	}
}

func combine4(arg, extra, y []float64, u *[maxStages][]float64, a, c *row) {
	extra, y = extra[:len(arg)], y[:len(arg)]
	u0, u1, u2, u3 := u[0][:len(arg)], u[1][:len(arg)], u[2][:len(arg)], u[3][:len(arg)]
	a0, a1, a2, a3 := a[0], a[1], a[2], a[3]
	c0, c1, c2, c3 := c[0], c[1], c[2], c[3]
	for i := range arg {
		x0, x1, x2, x3 := u0[i], u1[i], u2[i], u3[i]
		arg[i] = y[i] + ((a0*x0 + a1*x1) + (a2*x2 + a3*x3))
		extra[i] = (c0*x0 + c1*x1) + (c2*x2 + c3*x3)
	}
}

func combine5(arg, extra, y []float64, u *[maxStages][]float64, a, c *row) {
	extra, y = extra[:len(arg)], y[:len(arg)]
	u0, u1, u2, u3, u4 := u[0][:len(arg)], u[1][:len(arg)], u[2][:len(arg)], u[3][:len(arg)], u[4][:len(arg)]
	a0, a1, a2, a3, a4 := a[0], a[1], a[2], a[3], a[4]
	c0, c1, c2, c3, c4 := c[0], c[1], c[2], c[3], c[4]
	for i := range arg {
		x0, x1, x2, x3, x4 := u0[i], u1[i], u2[i], u3[i], u4[i]
		arg[i] = y[i] + ((a0*x0 + a1*x1) + (a2*x2 + a3*x3) + a4*x4)
		extra[i] = (c0*x0 + c1*x1) + (c2*x2 + c3*x3) + c4*x4
	}
}

// advance adds u_(k-1) to arg and writes extra = sum c_j u_j over the first k stages, 5 <= k <= 7.
func advance(k int, arg, extra []float64, u *[maxStages][]float64, c *row) {
	extra = extra[:len(arg)]
	u0, u1, u2, u3, u4 := u[0][:len(arg)], u[1][:len(arg)], u[2][:len(arg)], u[3][:len(arg)], u[4][:len(arg)]
	c0, c1, c2, c3, c4 := c[0], c[1], c[2], c[3], c[4]
	for i := range arg {
		extra[i] = (c0*u0[i] + c1*u1[i]) + (c2*u2[i] + c3*u3[i]) + c4*u4[i]
	}
	for j := 5; j < k; j++ {
		uj, cj := u[j][:len(arg)], c[j]
		for i := range arg {
			extra[i] += cj * uj[i]
		}
	}
	last := u[k-1][:len(arg)]
	for i := range arg {
		arg[i] += last[i]
	}
}

// combineStages writes dst = sum b_j x_j over the first k stages, 6 <= k <= 8, for the elements of x from first on.
func combineStages(k int, dst []float64, first int, x *[maxStages][]float64, b *row) {
	n := len(dst)
	x0, x1, x2 := x[0][first:][:n], x[1][first:][:n], x[2][first:][:n]
	x3, x4, x5 := x[3][first:][:n], x[4][first:][:n], x[5][first:][:n]
	b0, b1, b2, b3, b4, b5 := b[0], b[1], b[2], b[3], b[4], b[5]
	for i := range dst {
		dst[i] = (b0*x0[i] + b1*x1[i]) + (b2*x2[i] + b3*x3[i]) + (b4*x4[i] + b5*x5[i])
	}
	for j := 6; j < k; j++ {
		xj, bj := x[j][first:][:n], b[j]
		for i := range dst {
			dst[i] += bj * xj[i]
		}
	}
}
