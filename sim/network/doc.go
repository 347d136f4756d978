// Package network is the thermal network of a machine: lumps that store heat,
// links that carry it, sources that release it, and the energy ledger that
// accounts for all three. It gives the right-hand side and the exact sparse
// Jacobian of
//
//	C_i(T_i) dT_i/dt = sum of heat flowing into lump i
//
// and knows neither an integrator nor a file. Temperatures are in kelvin,
// heat in watt, capacities in J/K, mass flows in kg/s, times in seconds.
//
// A coolant stream carries enthalpy h(T), the integral of the specific heat
// that also sets the capacity of a coolant lump, so that around a closed ring
// the carried enthalpies cancel exactly and the ledger closes.
//
// A Network is built once by a Builder and then only changes its Inputs. It
// keeps scratch memory: one goroutine at a time.
package network
