// Package fluid gives the properties of coolants and of air as pure functions.
//
// Temperatures are in kelvin, everything else in SI units; shares are fractions
// (0.3 is 30 %), relative humidity too. Nothing here keeps state: a [Coolant]
// and a [Table] never change after they are built and may be shared between
// goroutines.
//
// Every property has two forms. The reference form ([Coolant.Density] and so
// on) is the published formula. The fast form ([Coolant.Fast], [FastAir]) is a
// piecewise polynomial through it, within 1e-4 of it over the valid range, with
// exact derivatives, and positive and finite at every finite temperature.
//
// Sources:
//
//   - water: IAPWS SR6-08(2011), Revised Supplementary Release on Properties of
//     Liquid Water at 0.1 MPa; see also J. Patek et al., J. Phys. Chem. Ref.
//     Data 38 (2009) 21;
//   - glycols: A. Melinder, Properties of Secondary Working Fluids for Indirect
//     Systems, International Institute of Refrigeration, 2nd ed. 2010;
//   - humid air: ASHRAE Handbook, Fundamentals 2017, chapter 1;
//   - transport in air: Sutherland's law with the constants of F. M. White,
//     Viscous Fluid Flow, and the U.S. Standard Atmosphere 1976.
//
// How far to trust them: water within 3.5e-5 of the IAPWS formulations. For the
// glycols two careful sources, Melinder's fits and the tables of the ASHRAE
// Handbook, differ between 10 and 50 % by volume and 20 and 60 °C by up to
//
//	                  density  specific heat  viscosity  conductivity
//	ethylene glycol    0.9 %       1.5 %        8.2 %       0.7 %
//	propylene glycol   0.7 %       0.6 %        3.6 %       1.8 %
//
// and in freezing point by up to 0.5 K to 30 % by mass, 1.6 K at 40 %, 2.3 K at
// 50 %: that is the uncertainty of a glycol's properties. Air viscosity is up to 0.6 % low and air
// conductivity up to 0.95 % low between 0 and 60 °C.
package fluid

// zeroCelsius is 0 °C in kelvin.
const zeroCelsius = 273.15
