package sim_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"soakledger/scenarios"
	"soakledger/sim"
	"soakledger/sim/spec"
)

// stated reads a scenario from the text of a file, with values set in it.
func stated(t testing.TB, text string, set ...string) *spec.Scenario {
	t.Helper()
	doc, err := scenarios.Read("stated.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	if doc, err = doc.Set(set...); err != nil {
		t.Fatal(err)
	}
	return doc.Scenario
}

// bursty is a mass of 300 W, idle 20 W, and one that draws 12 % of it, under bursts.
const bursty = `
ambient: 20 degC
lumps:
  - {name: chip, capacity: 2700 J/K, power: 300 W, idle: 20 W, work: w}
  - {name: board, capacity: 300 J/K, power: 12 %% of chip}
links:
  - {from: chip, to: ambient, conductance: 10 W/K}
  - {from: board, to: ambient, conductance: 2 W/K}
work: [{name: w, bursts: %s}]
duration: 1000 s
`

// Bursts whose lengths and levels are fixed have the energy that is added up by hand:
// 4 s at 20 + 0.8 x 280 W and 6 s at 20 + 0.1 x 280 W, a hundred times, and 12 % of that.
func TestEnergyOfFixedBursts(t *testing.T) {
	r := run(t, stated(t, fmt.Sprintf(bursty, "{seed: 7, for: 1000 s, burst: [4 s, 4 s], pause: [6 s, 6 s], high: [80 %, 80 %], low: [10 %, 10 %]}")))
	want := 100.0 * (4*244 + 6*48)
	near(t, "energy of the chip", released(t, r, "chip"), want, 1e-12*want)
	near(t, "energy of the board", released(t, r, "board"), 0.12*want, 0.12e-12*want)
	near(t, "ledger", r.Ledger.Relative(), 0, 1e-12)
	for i, p := range r.Phases {
		from := 10 * math.Floor(float64(i)/2)
		if i%2 == 1 {
			from += 4
		}
		near(t, fmt.Sprintf("start of phase %d", i), p.From, from, 1e-12*from)
	}
	if len(r.Phases) != 200 {
		t.Errorf("%d phases", len(r.Phases))
	}
}

// Drawn bursts have the energy of their levels times the lengths between their jumps,
// summed jump by jump, whatever their spread.
func TestEnergyOfDrawnBursts(t *testing.T) {
	for _, bursts := range []string{
		"{seed: 3, for: 990 s, burst: [2 s, 5 s], pause: [3 s, 8 s], high: [50 %, 100 %], low: [0 %, 10 %]}",
		"{seed: 4, for: 1000 s, burst: [20 ms, 30 s], mean_burst: 1 s, pause: [10 ms, 40 s], mean_pause: 2 s, high: [60 %, 100 %], low: [0 %, 20 %]}",
	} {
		r := run(t, stated(t, fmt.Sprintf(bursty, bursts)))
		jumps, sum := 0, 0.0
		line, power := r.Plan.Timeline, make([]float64, 2)
		for from := 0.0; from < 1000; jumps++ {
			to, ok := line.NextJump(from)
			if !ok || to > 1000 {
				to = 1000
			}
			line.Power(from, power)
			sum += power[0] * (to - from)
			from = to
		}
		near(t, "energy of the chip", released(t, r, "chip"), sum, 1e-12*sum)
		near(t, "energy of the board", released(t, r, "board"), 0.12*sum, 0.12e-12*sum)
		if jumps < 150 || r.Stats.Restarts < jumps-1 {
			t.Errorf("%d jumps, %d restarts", jumps, r.Stats.Restarts)
		}
	}
}

// Jumps come at cycle x period + break, to the bit, however late: a sum of lengths
// would have drifted by then.
func TestJumpsAreProducts(t *testing.T) {
	s := worked(spec.Work{Name: "w", On: spec.Some(7.3), Off: spec.Some(2.1), Repeat: spec.Repeat{Count: 20_000}}, 188_000)
	s.Record.Every = spec.Some(1000)
	r := run(t, s)
	if len(r.Phases) != 40_000 {
		t.Fatalf("%d phases", len(r.Phases))
	}
	sum, drifted := 0.0, 0
	for k := 0; k < len(r.Phases); k += 2 {
		on, off := r.Phases[k].From, r.Phases[k+1].From
		if period := 7.3 + 2.1; on != float64(k/2)*period || off != float64(k/2)*period+7.3 {
			t.Fatalf("cycle %d begins at %v s and rests at %v s", k/2, on, off)
		}
		if sum != on {
			drifted++
		}
		sum = sum + 7.3 + 2.1
	}
	if drifted < 1000 {
		t.Errorf("only %d sums of lengths differ from the products: nothing was tested", drifted)
	}
	want := 20_000 * (7.3*300 + 2.1*20)
	near(t, "energy", released(t, r, "block"), want, 1e-12*want)
}

// A log of an hour at 250 samples a second runs to its end in one step a sample and no
// more, with the energy of its samples and the temperature of its mean.
func TestReplayOfAnHourAt250Hertz(t *testing.T) {
	const n = 900_000
	draw := rand.New(rand.NewPCG(11, 12))
	times, values := make([]float64, n+1), make([]float64, n+1)
	sum, lost := 0.0, 0.0 // of all samples, and what rounding has lost of it (Kahan)
	for i := range times {
		times[i], values[i] = float64(i)/250, 100+200*draw.Float64()
		if i > 0 {
			term := values[i-1]*(times[i]-times[i-1]) - lost
			next := sum + term
			sum, lost = next, (next-sum)-term
		}
	}
	r, err := attempt(worked(logged(times, values, true), 3600), sim.Settings{NoTrace: true})
	if err != nil {
		t.Fatal(err)
	}
	if r.Status != sim.Done || r.Duration != 3600 || len(r.Phases) != 1 {
		t.Errorf("%s after %g s in %d phases", r.Status, r.Duration, len(r.Phases))
	}
	if r.Stats.Steps < n || r.Stats.Steps > n+n/100 {
		t.Errorf("%d steps for %d samples", r.Stats.Steps, n)
	}
	near(t, "energy", released(t, r, "block"), sum, 1e-12*sum)
	near(t, "ledger", r.Ledger.Relative(), 0, 1e-9)
	near(t, "rise at the end", r.Phases[0].End-20-zeroCelsius, -sum/3600/10*math.Expm1(-3600/270.0), 0.05)
}
