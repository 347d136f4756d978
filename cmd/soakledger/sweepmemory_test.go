package main

import (
	"os"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"testing"
	clock "time"
)

// cheapStudy is one whose runs take a fraction of a millisecond.
const cheapStudy = `
ambient: 23 degC
lumps: [{name: plate, capacity: 400 J/K, power: 50 W}]
links: [{from: plate, to: ambient, conductance: 5 W/K}]
work: {on: 60 s}
study:
  combine: random
  runs: RUNS
  vary: [{path: plate.power, from: 10 W, to: 100 W}]
`

// TestSweepMemory: a hundred times as many runs need no more memory.
func TestSweepMemory(t *testing.T) {
	isolate(t)
	few, many := 1000, 100_000
	if testing.Short() {
		few, many = 500, 4000
	}
	peakOf := func(runs int) uint64 {
		file := filepath.Join(t.TempDir(), "study.yaml")
		if err := os.WriteFile(file, []byte(strings.Replace(cheapStudy, "RUNS", strconv.Itoa(runs), 1)), 0o644); err != nil {
			t.Fatal(err)
		}
		return peakHeap(func() { mustSweep(t, exitDone, file, "--no-traces", "--workers", "2", "--part-runs", "500") })
	}
	peakOf(few) // whatever is made once
	least, most := peakOf(few), peakOf(many)
	t.Logf("%d runs: %.1f MB, %d runs: %.1f MB", few, float64(least)/1e6, many, float64(most)/1e6)
	const room, limit = 16e6, 300e6 // bytes: a collection more or less, the most allowed
	if float64(most) > float64(least)+room || float64(most) > limit {
		t.Errorf("%d runs need %.1f MB, %d runs %.1f MB", few, float64(least)/1e6, many, float64(most)/1e6)
	}
}

// peakHeap returns the most bytes of heap that were in use, or waited to be collected,
// while do ran.
func peakHeap(do func()) (peak uint64) {
	// Collecting often, what is in use is what is kept, and not how busy the machine is.
	defer debug.SetGCPercent(debug.SetGCPercent(20))
	runtime.GC()
	done := make(chan struct{})
	var watching sync.WaitGroup
	watching.Go(func() {
		var m runtime.MemStats
		for {
			runtime.ReadMemStats(&m)
			peak = max(peak, m.HeapInuse)
			select {
			case <-done:
				return
			case <-clock.After(2 * clock.Millisecond):
			}
		}
	})
	do()
	close(done)
	watching.Wait()
	return peak
}
