package correlation_test

import (
	"fmt"
	"math"
	"testing"

	"soakledger/sim/correlation"
)

// Shah & London 1978. The columns of the polynomials were computed independently in double
// precision from their coefficients, those of the ducts themselves with finite elements and
// Richardson extrapolation, which agree with the published four digits of f Re and NuH1.
func TestRectangularDucts(t *testing.T) {
	for _, c := range []struct {
		aspect            float64
		duct, polynomials [3]string // f Re, NuH1, NuT
	}{
		{1, [3]string{"14.227", "3.608", "2.978"}, [3]string{"14.230", "3.610", "2.979"}},
		{.5, [3]string{"15.548", "4.123", "3.392"}, [3]string{"15.557", "4.126", "3.389"}},
		{.25, [3]string{"18.233", "5.331", "4.440"}, [3]string{"18.234", "5.333", "4.435"}},
		{.2, [3]string{"19.071", "5.738", "4.828"}, [3]string{"19.072", "5.738", "4.826"}},
		{.125, [3]string{"20.585", "6.490", "5.594"}, [3]string{"20.590", "6.492", "5.596"}},
		{.1, [3]string{"21.169", "6.785", "5.908"}, [3]string{"21.176", "6.788", "5.911"}},
		{.05, [3]string{"22.479", "7.450", "6.643"}, [3]string{"22.485", "7.455", "6.646"}},
		{0, [3]string{"24", "8.235", "7.541"}, [3]string{"24", "8.235", "7.541"}},
	} {
		for i, f := range []func(float64) float64{
			correlation.FanningConstantRectangle, correlation.NusseltRectangleNuH1, correlation.NusseltRectangleNuT,
		} {
			what := fmt.Sprintf("aspect %g, column %d", c.aspect, i)
			got := f(c.aspect)
			printed(t, what, got, c.polynomials[i])
			value, _ := parsePrinted(t, c.duct[i])
			near(t, what+" of the duct", got, value, [3]float64{6e-4, 8e-4, 1.2e-3}[i])
		}
	}
	// Documentation of an open-source heat-transfer library.
	printed(t, "NuH1 of 0.7", correlation.NusseltRectangleNuH1(.7), "3.751762675")
	for _, f := range []func(float64) float64{
		correlation.FanningConstantRectangle, correlation.NusseltRectangleNuH1, correlation.NusseltRectangleNuT,
	} {
		near(t, "duct turned round", f(4), f(.25), 1e-15)
		if got := f(-1); got != f(0) {
			t.Errorf("negative aspect: %g", got)
		}
		if !smooth(f, 0, 1) {
			t.Error("a polynomial has a kink")
		}
	}
	printed(t, "NuH1 of the circle", correlation.NusseltCircleNuH1, "4.3636")
}

// The exact series of the rectangular duct's friction (Shah & London 1978, also found by
// Fourier series of the Poisson equation), summed here.
func TestRectangularFrictionSeries(t *testing.T) {
	for a := .02; a <= 1; a += .02 {
		sum := 0.0
		for n := 1.0; n < 400; n += 2 {
			sum += math.Tanh(n*math.Pi/(2*a)) / math.Pow(n, 5)
		}
		want := 24 / ((1 + a) * (1 + a) * (1 - 192*a/math.Pow(math.Pi, 5)*sum))
		near(t, fmt.Sprint("aspect ", a), correlation.FanningConstantRectangle(a), want, 7e-4)
	}
}

// Isosceles triangles, finite elements with Richardson extrapolation (not a publication).
// Shah & London 1978 print 13.333, 3.111 and 2.47 for the equilateral one (values from
// memory, not checked against the source): NuT to 1.5 %.
func TestTriangularDucts(t *testing.T) {
	for apex, figures := range map[float64][3]string{
		5: {"12.255", "2.268", "1.430"}, 10: {"12.474", "2.446", "1.694"},
		20: {"12.822", "2.722", "2.050"}, 30: {"13.065", "2.910", "2.271"},
		60: {"13.333", "3.111", "2.495"}, 90: {"13.153", "2.982", "2.357"},
		120: {"12.739", "2.683", "2.027"},
	} {
		rad := apex * math.Pi / 180
		what := fmt.Sprintf("apex %g: ", apex)
		printed(t, what+"f Re", correlation.FanningConstantTriangle(rad), figures[0])
		printed(t, what+"NuH1", correlation.NusseltTriangleNuH1(rad), figures[1])
		printed(t, what+"NuT", correlation.NusseltTriangleNuT(rad), figures[2])
	}
	near(t, "published NuT", correlation.NusseltTriangleNuT(math.Pi/3), 2.47, .015)
	// The right isosceles triangle is half a square: its f Re is 13.153 (Shah & London 1978,
	// value from memory, not checked against the source).
	printed(t, "right isosceles", correlation.FanningConstantTriangle(math.Pi/2), "13.153")
}

func TestTriangleInterpolation(t *testing.T) {
	limits := correlation.TriangleRange()
	for i, f := range []func(float64) float64{
		correlation.FanningConstantTriangle, correlation.NusseltTriangleNuH1, correlation.NusseltTriangleNuT,
	} {
		if !smooth(f, limits.Low, limits.High) {
			t.Errorf("column %d has a kink", i)
		}
		if f(.01) != f(limits.Low) || f(3) != f(limits.High) {
			t.Errorf("column %d is not held at its ends", i)
		}
		// One hump, near the equilateral triangle, and no ripple beside it.
		top, turns, last, rising := 0.0, 0, f(limits.Low), true
		for x := limits.Low; x <= limits.High; x += .002 {
			y := f(x)
			if y > f(top) {
				top = x
			}
			if (y > last) != rising && y != last {
				turns++
				rising = y > last
			}
			last = y
		}
		if turns != 1 || math.Abs(top-math.Pi/3) > .12 {
			t.Errorf("column %d: %d turns, maximum at %.3f rad", i, turns, top)
		}
	}
	if !limits.Contains(limits.Low) || !limits.Contains(1) || limits.Contains(.01) || limits.Contains(2.2) {
		t.Errorf("range %v", limits)
	}
	if n := testing.AllocsPerRun(100, func() { correlation.NusseltTriangleNuT(.7) }); n != 0 {
		t.Errorf("%g allocations", n)
	}
}

func ExampleFanningConstantRectangle() {
	// Passages of 1.54 x 7.95 mm between fins.
	fmt.Printf("%.2f\n", correlation.FanningConstantRectangle(1.54/7.95))
	// Output: 19.19
}
