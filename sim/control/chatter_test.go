package control_test

import (
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/control"
)

func TestChatter(t *testing.T) {
	c, err := control.NewChatter([]string{"cpu.throttle", "gpu.throttle"}, 3)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []struct {
		which int
		t     float64
		fails bool
	}{
		{0, 10, false}, {0, 10.2, false}, {1, 10.3, false}, {0, 10.4, false},
		{0, 11, false}, // the fourth, but a second after the first
		{1, 11, false},
		{0, 11.1, true}, // 10.2 is less than a second back
		{0, 50, false},
		{0, 50, false}, {0, 50, false}, {0, 50, true}, // all at one time
	} {
		err := c.Switched(x.which, x.t)
		if (err != nil) != x.fails {
			t.Errorf("switch %d at %g s: %v", x.which, x.t, err)
		}
		if x.fails && (!errors.Is(err, control.ErrChatter) || !strings.Contains(err.Error(), "cpu.throttle, 4 times")) {
			t.Errorf("the error does not tell: %v", err)
		}
	}
	c.Reset()
	for range 3 {
		if err := c.Switched(0, 50); err != nil {
			t.Errorf("it remembers another run: %v", err)
		}
	}
	if _, err := control.NewChatter(nil, 0); err == nil {
		t.Error("a switch that may never switch is accepted")
	}
}

// Property: it fails exactly when more than so many switches lie within less than
// a second, counted one by one.
func TestChatterCounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		most := rapid.IntRange(1, 6).Draw(t, "most")
		c, _ := control.NewChatter([]string{"a"}, most)
		var times []float64
		now := 0.0
		for range rapid.IntRange(1, 40).Draw(t, "switches") {
			now += float64(rapid.IntRange(0, 40).Draw(t, "after")) / 64
			times = append(times, now)
			within := 0
			for _, u := range times {
				if now-u < 1 {
					within++
				}
			}
			if err := c.Switched(0, now); (err != nil) != (within > most) {
				t.Fatalf("%d switches within a second at most %d: %v", within, most, err)
			}
		}
	})
}
