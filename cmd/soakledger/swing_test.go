package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// swing returns how far a column goes to and fro in its rows from one on.
func swing(column []float64, from int) float64 {
	return slices.Max(column[from:]) - slices.Min(column[from:])
}

// In the periodic state half on, half off swings by tanh(T/4 tau) of the step (closed form
// of one node): with a time constant of three minutes cycles of 2 min leave 0.17 of it,
// cycles of 20 min 0.93. The mean is half of the step.
func TestSwings(t *testing.T) {
	const tau, step = 180, 30
	d := closedForm(t, "swings")
	trace := rowsOf(t, d, "traces")
	single := response{{0.1, 1. / tau}}
	for _, c := range []struct {
		column string
		period float64
		told   float64
	}{{"one_c", 60, 0.08}, {"two_c", 120, 0.17}, {"five_c", 300, 0.39}, {"ten_c", 600, 0.68}, {"twenty_c", 1200, 0.93}} {
		w := wave{single, 300, c.period / 2, c.period / 2}
		follows(t, trace, c.column, 8401, func(s float64) float64 { return 20 + w.at(s) })
		got := floats(t, trace, c.column)
		share := swing(got, 7200) / step // the last twenty minutes hold whole cycles of all
		if want := math.Tanh(c.period / (4 * tau)); math.Abs(share-want) > 2*closeEnough/step || math.Abs(share-c.told) > 0.005 {
			t.Errorf("%s swings by %.6f of the step, want %.6f, or %.2f as told", c.column, share, want, c.told)
		}
	}
}

// Bursts of less than 15 s hardly move the coolant, while the die follows each: on a
// machine of parts the coolant swings by less than its own heat capacity lets the power do,
// the die by fifteen times as much or more.
func TestShortBurstsMoveTheDie(t *testing.T) {
	const step = 270.0 // W, of the bursts
	for _, half := range []int{3, 6, 12} {
		d := mustRun(t, "example:same_mean",
			"--set", fmt.Sprintf("bursts.on=%d s", half), "--set", fmt.Sprintf("bursts.off=%d s", half), "--set", fmt.Sprintf("bursts.repeat=%d", 1200/half),
			"--set", "record.every=100 ms")
		trace := rowsOf(t, d, "traces")
		coolant, die := floats(t, trace, "two_reservoir_coolant_c"), floats(t, trace, "bursty_die_c")
		late := len(coolant) - 1200 // two minutes, whole cycles of all
		c, x := swing(coolant, late), swing(die, late)
		t.Logf("bursts of %d s: coolant %.3f K, die %.2f K", half, c, x)
		// Bursts add and take half of their step for half of a cycle; were all of it to stay in the
		// loop's coolant, half of what the file has at 4.17 J/(mL K), it would move it by this.
		capacity := 4.17 * figure(t, rowsOf(t, d, "runs"), 0, "coolant_volume_ml") / 2
		if most := step / 2 * float64(half) / capacity; c > most {
			t.Errorf("bursts of %d s: the coolant swings by %.3f K, by the heat of half a cycle it would by %.3f K", half, c, most)
		}
		if c > 0.5 || x < 5 || x < 15*c {
			t.Errorf("bursts of %d s: the coolant swings by %.3f K, the die by %.2f K", half, c, x)
		}
		steady := floats(t, trace, "steady_die_c")
		if s := swing(steady, late); s > 0.01 {
			t.Errorf("bursts of %d s: the die under the mean power swings by %.3f K", half, s)
		}
	}
}

// A log that is replayed at its own stamps is the log again: what the trace holds of the
// power at a second is what the file has there, through file, run and dataset.
func TestReplayedLogIsTheLog(t *testing.T) {
	dir := t.TempDir()
	var csv strings.Builder
	csv.WriteString("Time (s),CPU power (W)\n")
	var want []float64
	energy := 0.0
	for i := range 600 {
		p := 20 + math.Round(2300*(1+math.Sin(float64(i*i)))/2)/10
		want = append(want, p)
		if i < 599 {
			energy += p
		}
		fmt.Fprintf(&csv, "%d,%.1f\n", i, p)
	}
	scenario := `
ambient: 22 degC
lumps: [{name: chip, capacity: 400 J/K, power: 250 W, work: measured}]
links: [{from: chip, to: ambient, conductance: 5 W/K}]
work: [{name: measured, log: {file: log.csv, column: CPU power}}]
duration: 599 s
record: {every: 1 s}
`
	for name, text := range map[string]string{"log.csv": csv.String(), "my.yaml": scenario} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	d := mustRun(t, filepath.Join(dir, "my.yaml"))
	trace := rowsOf(t, d, "traces")
	power, in := floats(t, trace, "chip_power_w"), floats(t, trace, "energy_in_j")
	if len(power) != 600 {
		t.Fatalf("%d rows", len(power))
	}
	for i, p := range power[:599] { // the last row holds what would begin there
		if p != want[i] {
			t.Errorf("after %d s the power is %v W, the log has %v W", i, p, want[i])
		}
	}
	if got := in[599]; math.Abs(got-energy) > 1e-12*energy {
		t.Errorf("the run takes in %v J, the log %v J", got, energy)
	}
}
