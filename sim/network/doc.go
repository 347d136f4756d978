// Package network is the thermal network of a machine: lumps that store heat,
// links that carry it, sources that release it, and the energy ledger that
// accounts for all three. It gives the right-hand side and the exact sparse
// Jacobian of
//
//	C_i dy_i/dt = sum of heat flowing into lump i
//
// and knows neither an integrator nor a file. Temperatures are in kelvin,
// heat in watt, capacities in J/K, mass flows in kg/s, times in seconds.
//
// The state y_i is the lump's temperature, or its specific enthalpy written as a
// temperature if it is a mass of coolant, whose specific heat varies: see
// Network. C_i is then constant and energy linear in the state. A coolant stream
// carries enthalpy, hence state, and what it takes from one lump it brings into
// the next. So the ledger closes to rounding whatever the coolant and the steps.
//
// A circuit's flow is an input, or follows an Operation: a pump against the
// pressure drops of its ring, at the viscosity of one lump's temperature. Flows of
// branches, films and all else that depends on flow are then quantities of the
// operation, tabulated while the network is built as functions with continuous
// slopes, which the Jacobian has in full.
//
// Air is breathed by a pass from rooms, cases and other passes' exhausts, warmed
// by metal, and blown into rooms and cases; streams of air move it between those.
// It takes no room of its own in the state: the temperatures in a core follow
// from the lumps' at once, in closed form. Its flows are inputs.
//
// Auxiliary states, lags of sensors and moving averages of power, come after the
// lumps in the state vector. They carry no heat, and no lump depends on them.
//
// What an operation gives may depend on settings, too, such as a pump's speed or the air
// through a core. Drives let speeds follow the state by a law, or are held at a speed
// by the inputs, and settings and air follow them: see Builder.Drive and Builder.AirBy.
//
// A Network is built once by a Builder and then only changes its Inputs. It
// keeps scratch memory: one goroutine at a time.
package network
