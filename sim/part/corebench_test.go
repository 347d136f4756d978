package part_test

import (
	"fmt"
	"testing"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
)

// styledCore returns a core of usual measures with fins of a style.
func styledCore(t testing.TB, style part.FinStyle, rows int) *part.Core {
	s := part.CoreFiguresOf(.03).Shape(.240, .120, .03)
	s.Style, s.Rows = style, rows
	c, err := part.NewCore(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Nothing that an operating point or a network asks of a core allocates.
func TestCoreAllocatesNothing(t *testing.T) {
	water, l, a := fluid.Water().Fast(), part.TestWater(), seaAir()
	for style := range part.FinStyles() {
		c := styledCore(t, part.FinStyle(style), 1)
		tubes := c.Tubes()
		for name, f := range map[string]func(){
			"air": func() { c.Air(.03, a) }, "quiet air": func() { c.Air(.01, a) }, "drop": func() { c.Drop(.03, a) },
			"effectiveness": func() { c.Effectiveness(40, 279, 45) }, "cells": func() { c.Cells(50, 250, 279, 45, 4) },
			"tubes": func() { tubes.Drop(4*litre, l) }, "film": func() { c.Liquid(water, 4*litre, 305) },
		} {
			if n := testing.AllocsPerRun(20, f); n != 0 {
				t.Errorf("%s fins, %s: allocates %g times", c.Shape().Style, name, n)
			}
		}
	}
}

func BenchmarkCore(b *testing.B) {
	a, l := seaAir(), part.TestWater()
	for style, word := range part.FinStyles() {
		c := styledCore(b, part.FinStyle(style), 1)
		b.Run("air of "+word, func(b *testing.B) {
			for b.Loop() {
				c.Air(.03, a)
			}
		})
		b.Run("drop of "+word, func(b *testing.B) {
			for b.Loop() {
				c.Drop(.03, a)
			}
		})
	}
	for _, rows := range []int{1, 2} {
		c := styledCore(b, part.PlainFins, rows)
		b.Run(fmt.Sprintf("effectiveness, rows %d", rows), func(b *testing.B) {
			for b.Loop() {
				c.Effectiveness(40, 279, 45)
			}
		})
	}
	c := styledCore(b, part.PlainFins, 1)
	tubes := c.Tubes()
	b.Run("cells", func(b *testing.B) {
		for b.Loop() {
			c.Cells(50, 250, 279, 45, 4)
		}
	})
	b.Run("drop of tubes", func(b *testing.B) {
		for b.Loop() {
			tubes.Drop(4*litre, l)
		}
	})
	b.Run("new", func(b *testing.B) {
		s := c.Shape()
		for b.Loop() {
			if _, err := part.NewCore(s); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// A radiator of two sections, 30 mm thick with 16 fins per inch, from its measures to its
// heat.
func ExampleNewCore() {
	shape := part.CoreFiguresOf(0.030).Shape(0.240, 0.120, 0.030)
	shape.FinPitch = part.FinPitchOf(16)
	core, err := part.NewCore(shape)
	if err != nil {
		fmt.Println(err)
		return
	}
	air := core.Air(0.030, part.AirAt(298.15, 101325, 0))
	film, _, _ := core.Liquid(fluid.Water().Fast(), 4e-3/60, 308.15)
	heat := core.Heat(part.Overall(air.Conductance, film), 277, air.CapacityRate)
	fmt.Printf("%.0f Pa, %.0f W/K of at most %.0f that the air carries\n", air.Drop, heat, air.CapacityRate)
	shape.FinThickness = 2e-3
	_, err = part.NewCore(shape)
	fmt.Println(err)
	// Output:
	// 5 Pa, 23 W/K of at most 36 that the air carries
	// part: core: fin thickness: 2 mm cannot be; it must be less than the fin pitch of 1.587 mm, e.g. 0.05 mm every 1.6 mm
}
