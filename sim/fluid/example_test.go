package fluid_test

import (
	"fmt"

	"soakledger/sim/fluid"
)

// A bottle says 30 % by volume; the formulas want mass.
func ExamplePropyleneGlycol() {
	share, err := fluid.MassShare(fluid.KindPropyleneGlycol, 0.30)
	if err != nil {
		fmt.Println(err)
		return
	}
	coolant, err := fluid.PropyleneGlycol(share)
	if err != nil {
		fmt.Println(err)
		return
	}
	const t = 273.15 + 35
	water := fluid.Water()
	fmt.Println(coolant.Name())
	fmt.Printf("freezes at %.1f °C\n", coolant.FreezingPoint()-273.15)
	fmt.Printf("holds %.1f %% less heat per litre than water\n",
		100*(1-coolant.Density(t)*coolant.SpecificHeat(t)/(water.Density(t)*water.SpecificHeat(t))))
	fmt.Printf("%.1f times as viscous\n", coolant.Viscosity(t)/water.Viscosity(t))
	// Output:
	// propylene glycol 30.79 % by mass
	// freezes at -13.3 °C
	// holds 4.9 % less heat per litre than water
	// 2.6 times as viscous
}

// A share outside the formulas is refused with what is allowed.
func ExampleEthyleneGlycol() {
	_, err := fluid.EthyleneGlycol(0.75)
	fmt.Println(err)
	// Output:
	// fluid: ethylene glycol mass share of 75 %: allowed is 0 to 60 %
}

// Heat carried by a stream is mass flow times a difference of enthalpy.
func ExampleTable_Enthalpy() {
	table := fluid.Water().Fast()
	const flow = 1.0 / 60 // kg/s, about one litre a minute
	hot, _, _ := table.Enthalpy(273.15 + 40)
	cold, cp, _ := table.Enthalpy(273.15 + 36)
	fmt.Printf("%.1f W, specific heat %.1f J/(kg K)\n", flow*(hot-cold), cp)
	// Output:
	// 278.6 W, specific heat 4179.2 J/(kg K)
}

// Constant properties make closed-form cases exact.
func ExampleConstant() {
	c, err := fluid.Constant(fluid.Properties{Density: 1000, SpecificHeat: 4000, Viscosity: 1e-3, Conductivity: 0.5})
	if err != nil {
		fmt.Println(err)
		return
	}
	h, cp, dcp := c.Fast().Enthalpy(283.15)
	fmt.Printf("%.6g %g %g, Prandtl %g\n", h, cp, dcp, c.Prandtl(283.15))
	// Output:
	// 40000 4000 0, Prandtl 8
}

// Will a cold plate at 15 °C collect water in a room of 24 °C and 55 %?
func ExampleDewPoint() {
	vapour := fluid.VapourPressure(273.15+24, 0.55)
	fmt.Printf("dew point %.1f °C\n", fluid.DewPoint(vapour)-273.15)
	// Output:
	// dew point 14.4 °C
}

// Air at 1,500 m carries less heat at the same airflow.
func ExamplePressureAtAltitude() {
	const t = 273.15 + 25
	low := fluid.AirDensity(t, fluid.StandardPressure, 0)
	high := fluid.AirDensity(t, fluid.PressureAtAltitude(1500), 0)
	fmt.Printf("%.0f hPa, %.0f %% of the air at sea level\n", fluid.PressureAtAltitude(1500)/100, 100*high/low)
	// Output:
	// 846 hPa, 83 % of the air at sea level
}
