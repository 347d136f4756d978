package main

import (
	"fmt"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"soakledger/sim/record"
)

// benchFolder holds invented logs to lay beside shipped scenarios.
const benchFolder = "../../testdata/logs/bench"

// probe is an invented sensor: it follows a column of the trace with a lag, reads
// too high or low, scatters and shows whole steps only.
type probe struct {
	column                     string
	lag, offset, scatter, step float64 // s, K, K (standard deviation), K
}

// The recipe of office_render.csv. Magnitudes are those of a probe strapped to a
// tube, a chip's own sensor and a loose probe (common practice, no source).
var benchProbes = []probe{
	{column: "coolant_c", lag: 20, offset: 0.4, scatter: 0.05, step: 0.1},
	{column: "cpu_die_c", lag: 2, offset: 1.5, scatter: 0.3, step: 0.5},
	{column: "ambient_c", lag: 5, offset: 0.1, scatter: 0.05, step: 0.1},
}

const (
	benchLead  = 120  // s, the log begins before the run
	benchEvery = 10   // s
	benchEnd   = 4560 // s of the run, when the log ends
)

// benchLog makes the log of a trace with a row a second. The machine stands until
// the run begins; a logger that stood for three minutes leaves a gap, and wrote one
// stamp twice.
func benchLog(t *testing.T, trace *record.Frame) string {
	t.Helper()
	random := rand.New(rand.NewPCG(1, 2))
	state := make([]float64, len(benchProbes))
	var b strings.Builder
	b.WriteString("# one render and what followed, on the bench by the door\nElapsed [s];Sump [degC];Die hot spot [degC];Desk air [degC]\n")
	for at := -benchLead; at <= benchEnd; at++ {
		row := max(at, 0)
		for k, p := range benchProbes {
			x := floats(t, trace, p.column)[row]
			if at == -benchLead {
				state[k] = x
			}
			state[k] += (x - state[k]) * -math.Expm1(-1/p.lag)
		}
		if at%benchEvery != 0 || 3000 < at && at < 3180 {
			continue
		}
		times := 1
		if at == 1200 {
			times = 2
		}
		for range times {
			fmt.Fprintf(&b, "%d", at+benchLead)
			for k, p := range benchProbes {
				read := state[k] + p.offset + p.scatter*random.NormFloat64()
				fmt.Fprintf(&b, ";%.1f", math.Round(read/p.step)*p.step)
			}
			b.WriteString("\n")
		}
	}
	return b.String()
}

// The shipped log is the one that the recipe makes. -update writes it.
func TestBenchLog(t *testing.T) {
	trace := rowsOf(t, mustRun(t, "example:office_render"), "traces")
	compareGolden(t, filepath.Join(benchFolder, "office_render.csv"), benchLog(t, trace))
}
