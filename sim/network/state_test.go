package network_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/network/networktest"
)

// ulp is the last place of a temperature or state between 256 and 512 K.
const ulp = 0x1p-44

// drops builds a network of one kilogram of a coolant and a plate of 100 J/K.
func drops(t interface{ Fatal(...any) }, c *fluid.Coolant) (n *network.Network, drop, plate network.Node) {
	b := network.NewBuilder(c.Fast())
	drop, plate = b.CoolantLump("drop", 1), b.Lump("plate", 100)
	n, err := b.Build()
	if err != nil {
		t.Fatal(err)
	}
	return n, drop, plate
}

// State and Temperature are inverse to each other to two roundings, and exactly
// at the reference set; a plate's state is its temperature.
func TestStateRoundTrip(t *testing.T) {
	for _, c := range networktest.Coolants() {
		n, drop, plate := drops(t, c)
		rapid.Check(t, func(t *rapid.T) {
			n.SetReference(293.15)
			temp := rapid.Float64Range(256, 400).Draw(t, "temperature")
			state := n.State(drop, temp)
			if got := n.Temperature(drop, state); !(math.Abs(got-temp) <= 2*ulp) {
				t.Fatalf("%s: %.17g K comes back as %.17g K", c.Name(), temp, got)
			}
			if got := n.State(drop, n.Temperature(drop, state)); !(math.Abs(got-state) <= 2*ulp) {
				t.Fatalf("%s: state %.17g comes back as %.17g", c.Name(), state, got)
			}
			n.SetReference(temp)
			if got := n.Temperature(drop, n.State(drop, temp)); got != temp {
				t.Fatalf("%s: the reference %.17g K comes back as %.17g K", c.Name(), temp, got)
			}
			if n.State(plate, temp) != temp || n.Temperature(plate, temp) != temp || n.Slope(plate, temp) != 1 {
				t.Fatal("the state of a plate is not its temperature")
			}
		})
	}
}

// The state of coolant is its enthalpy as a temperature, with the specific heat
// at 20 degC throughout; there it is the temperature.
func TestStateIsEnthalpy(t *testing.T) {
	for _, c := range networktest.Coolants() {
		n, drop, _ := drops(t, c)
		h0 := enthalpy(c.Fast(), 293.15)
		if got := n.State(drop, 293.15); !(math.Abs(got-293.15) <= ulp) {
			t.Errorf("%s: state %.17g at 293.15 K", c.Name(), got)
		}
		c0 := n.Capacity(drop, 293.15) // of 1 kg
		if want := c.SpecificHeat(293.15); !(math.Abs(c0-want) <= 1e-4*want) {
			t.Errorf("%s: c0 %g J/(kg K), want %g", c.Name(), c0, want)
		}
		for temp := 260.0; temp < 380; temp += 0.7 {
			want := 293.15 + (enthalpy(c.Fast(), temp)-h0)/c0
			if got := n.State(drop, temp); !(math.Abs(got-want) <= 4*ulp) {
				t.Fatalf("%s at %g K: state %.17g, want %.17g", c.Name(), temp, got, want)
			}
		}
	}
}

// Slope is the derivative of Temperature, by central differences over 0.01 K:
// their error is that of a third derivative below 6e-5/K2, 1e-9, and their
// rounding.
func TestSlope(t *testing.T) {
	for _, c := range networktest.Coolants() {
		n, drop, _ := drops(t, c)
		for temp := 275.0; temp < 366; temp += 0.173 {
			const step = 0.01
			state := n.State(drop, temp)
			want := (n.Temperature(drop, state+step) - n.Temperature(drop, state-step)) / (2 * step)
			if got := n.Slope(drop, state); !(math.Abs(got-want) <= 2e-9+2*ulp/step) {
				t.Fatalf("%s at %g K: slope %.12g, differences give %.12g", c.Name(), temp, got, want)
			}
			if got := n.Capacity(drop, temp) * n.Slope(drop, state); !(math.Abs(got-n.Capacity(drop, 293.15)) <= 1e-12*got) {
				t.Fatalf("%s at %g K: capacity times slope is %.15g J/K", c.Name(), temp, got)
			}
		}
	}
}

// What is stored adds up, is what the enthalpies say, and is the capacity at 20
// degC for every kelvin of state.
func TestStoredEnergyAddsUp(t *testing.T) {
	for _, c := range networktest.Coolants() {
		n, drop, _ := drops(t, c)
		rapid.Check(t, func(t *rapid.T) {
			temp := rapid.Float64Range(256, 400)
			a, b, d := temp.Draw(t, "a"), temp.Draw(t, "b"), temp.Draw(t, "c")
			rounding := 8 * ulp * n.Capacity(drop, 293.15)
			parts := n.StoredEnergy(drop, a, b) + n.StoredEnergy(drop, b, d)
			if got := n.StoredEnergy(drop, a, d); !(math.Abs(got-parts) <= rounding) {
				t.Fatalf("%s: %.15g J, in two parts %.15g J", c.Name(), got, parts)
			}
			if got, want := n.StoredEnergy(drop, a, b), enthalpy(c.Fast(), b)-enthalpy(c.Fast(), a); !(math.Abs(got-want) <= rounding) {
				t.Fatalf("%s: %.15g J, by enthalpies %.15g J", c.Name(), got, want)
			}
		})
	}
}

// All lumps at once are what each is alone; in place too, and with quadratures
// behind the states.
func TestStatesOfAllLumps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := networktest.Draw(t, everything)
		n, y := c.BuildWithState()
		inPlace := slices.Clone(c.Temperatures)
		n.States(inPlace, inPlace)
		back := make([]float64, len(c.Temperatures))
		n.Temperatures(y, back)
		for i, temp := range c.Temperatures {
			lump := network.Node(i)
			if y[i] != n.State(lump, temp) || inPlace[i] != y[i] || back[i] != n.Temperature(lump, y[i]) {
				t.Fatalf("lump %d at %g K: state %g, in place %g, back %g", i, temp, y[i], inPlace[i], back[i])
			}
		}
		n.Temperatures(inPlace, inPlace)
		if !slices.Equal(inPlace, back) {
			t.Fatalf("in place %v, want %v", inPlace, back)
		}
	})
}
