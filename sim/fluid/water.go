package fluid

import (
	"math"
	"sync"
)

// Water is pure water at 101.325 kPa by IAPWS SR6-08(2011). Over 5 to 95 °C
// density is within 1e-7 and specific heat within 3.5e-5 of IAPWS-95, viscosity
// within 3.1e-5 of IAPWS R12-08, conductivity within 2.5e-5 of IAPWS R15-11.
// Every call returns the same coolant.
func Water() *Coolant { return water() }

// water is built once: every design of a sweep shares the one table.
var water = sync.OnceValue(func() *Coolant {
	return newCoolant(Coolant{
		liquid: liquidWater{},
		kind:   KindWater, name: "water",
		freezing: zeroCelsius, low: zeroCelsius, high: hottest,
	})
})

// Constants of SR6-08(2011).
const (
	waterGas      = 461.51805 // specific gas constant, J/(kg·K)
	waterScale    = 10.0      // reference temperature of the reduced variables, K
	waterPressure = 1e5       // reference pressure, Pa
)

// waterTerm is coefficient times a reduced variable to an integer power.
type waterTerm struct {
	a float64
	n float64
}

// The sums of SR6-08(2011): "hot" terms are in
// α = 10 K/(593 K - T), "cold" terms in β = 10 K/(T - 232 K).
var (
	gibbsHot = []waterTerm{
		{-1.661470539e5, 4}, {2.708781640e6, 5}, {-1.557191544e8, 7},
	}
	gibbsCold = []waterTerm{
		{-8.237426256e-1, 2}, {1.908956353, 3}, {-2.017597384, 4}, {8.546361348e-1, 5},
	}
	volumeHot = []waterTerm{
		{1.93763157e-2, 0}, {6.74458446e3, 4}, {-2.22521604e5, 5}, {1.00231247e8, 7},
		{-1.63552118e9, 8}, {8.32299658e9, 9},
	}
	volumeCold = []waterTerm{
		{5.78545292e-3, 1}, {-1.53195665e-2, 2}, {3.11337859e-2, 3},
		{-4.23546241e-2, 4}, {3.38713507e-2, 5}, {-1.19946761e-2, 6},
	}
	compressionHot = []waterTerm{
		{-7.5245878e-6, 1}, {-1.3767418e-2, 3}, {1.0627293e1, 5}, {-2.0457795e2, 6},
		{1.2037414e3, 7},
	}
	compressionCold = []waterTerm{
		{-3.1091470e-6, 1}, {2.8964919e-5, 3}, {-1.3112763e-4, 4}, {3.0410453e-4, 5},
		{-3.9034594e-4, 6}, {2.3403117e-4, 7}, {-4.8510101e-5, 9},
	}
)

// gibbsLog is the coefficient c3 of the term in τ ln τ.
const gibbsLog = -8.983025854

// waterSum adds the terms of both variables, differentiated order times (0, 1
// or 2) with respect to τ = T/10 K: dα/dτ = α² and dβ/dτ = -β².
func waterSum(hot, cold []waterTerm, t float64, order int) float64 {
	side := func(terms []waterTerm, x, sign float64) float64 {
		sum := 0.0
		for _, term := range terms {
			factor, power := term.a, term.n
			for range order {
				factor *= sign * power
				power++
			}
			sum += factor * math.Pow(x, power)
		}
		return sum
	}
	return side(hot, waterScale/(593-t), 1) + side(cold, waterScale/(t-232), -1)
}

// waterVolume is the specific volume (m³/kg) at pressure p (Pa, near 1e5), and
// its derivative with respect to temperature at 1e5 Pa, by SR6-08(2011).
func waterVolume(t, p float64) (v, dv float64) {
	const unit = waterGas * waterScale / waterPressure
	v = unit * waterSum(volumeHot, volumeCold, t, 0)
	v += unit / waterPressure * waterSum(compressionHot, compressionCold, t, 0) * (p - waterPressure)
	dv = unit / waterScale * waterSum(volumeHot, volumeCold, t, 1)
	return v, dv
}

// liquidWater is the formulas behind [Water], at StandardPressure.
type liquidWater struct{}

func (liquidWater) density(t float64) float64 {
	v, _ := waterVolume(t, StandardPressure)
	return 1 / v
}

func (liquidWater) expansion(t float64) float64 {
	v, dv := waterVolume(t, StandardPressure)
	return dv / v
}

// specificHeat is SR6-08(2011), from the second temperature derivative of the
// Gibbs energy, at 1e5 Pa: at StandardPressure it is 1e-6 smaller.
func (liquidWater) specificHeat(t float64) float64 {
	return -waterGas * (gibbsLog + t/waterScale*waterSum(gibbsHot, gibbsCold, t, 2))
}

// viscosity is SR6-08(2011), eq. 7.
func (liquidWater) viscosity(t float64) float64 {
	x := t / 300
	return 1e-6 * (280.68*math.Pow(x, -1.9) + 511.45*math.Pow(x, -7.7) +
		61.131*math.Pow(x, -19.6) + 0.45903*math.Pow(x, -40))
}

// conductivity is SR6-08(2011), eq. 8. The coefficients of the revision of 2011
// differ from those of 2008 by up to 0.5 %.
func (liquidWater) conductivity(t float64) float64 {
	x := t / 300
	return 1.6630*math.Pow(x, -1.15) - 1.7781*math.Pow(x, -3.4) +
		1.1567*math.Pow(x, -6) - 0.432115*math.Pow(x, -7.6)
}
