package figure

import (
	"math"
	"strings"
	"testing"
)

func TestRefuses(t *testing.T) {
	tests := []struct {
		name   string
		change func(f *Figure)
		size   Size
		want   string
	}{
		{"no runs", func(f *Figure) { f.Runs = nil }, Size{}, "0 runs: want 1 to 8"},
		{"nine runs", func(f *Figure) { *f = *several(9) }, Size{}, "9 runs: want 1 to 8"},
		{"no panels", func(f *Figure) { f.Panels = nil }, Size{}, "0 panels: want 1 to 4"},
		{"five panels", func(f *Figure) { f.Panels = make([]Panel, 5) }, Size{}, "5 panels: want 1 to 4"},
		{"no rows", func(f *Figure) { f.Runs[1].Times = nil }, Size{}, `run 2 of 2, "run 1, fans at 600 <rpm>": it has no rows`},
		{"time stands", func(f *Figure) { f.Runs[0].Times[3] = f.Runs[0].Times[2] }, Size{}, "time 3 is 20 s: times must increase"},
		{"time is NaN", func(f *Figure) { f.Runs[0].Times[0] = math.NaN() }, Size{}, "time 0 is NaN s"},
		{"a curve too many", func(f *Figure) { f.Runs[0].Curves = make([]Curve, 2) }, Size{}, "2 curves for 1 panels"},
		{"no values", func(f *Figure) { f.Runs[0].Curves[0].Values = nil }, Size{}, "curve 0 has no values"},
		{"values short", func(f *Figure) { f.Runs[0].Curves[0].Values = []float64{1} }, Size{}, "curve 0: 1 values at 481 times"},
		{"value infinite", func(f *Figure) { f.Runs[0].Curves[0].Values[7] = math.Inf(1) }, Size{}, "values: number 7 is +Inf"},
		{"measured short", func(f *Figure) { f.Runs[0].Curves[0].Measured = []float64{1} }, Size{}, "1 measured values at 481 times"},
		{"load is NaN", func(f *Figure) { f.Runs[0].Load[2] = math.NaN() }, Size{}, "loads: number 2 is NaN"},
		{"level is NaN", func(f *Figure) { f.Runs[0].Curves[0].Level.Value = math.NaN() }, Size{}, "a level of NaN"},
		{"level of no time", func(f *Figure) { f.Runs[0].Curves[0].Level.To = 0 }, Size{}, "from 0 s to 0 s"},
		{"no value at all", func(f *Figure) {
			for i := range f.Runs {
				for k := range f.Runs[i].Times {
					f.Runs[i].Curves[0].Values[k] = math.NaN()
				}
			}
		}, Size{}, `panel "coolant": no run has a value`},
		{"huge", nil, Size{100_000, 600}, "100000 by 600 pixels: want 100 to 5000"},
		{"flat", nil, Size{600, 1}, "600 by 1 pixels"},
		{"too narrow", nil, Size{200, 500}, "too narrow for its labels: make it at least 3"},
		{"too low", func(f *Figure) { *f = *several(8) }, Size{900, 200}, "too low for its panels and labels: make it at least 3"},
	}
	for _, test := range tests {
		f := several(2)
		if test.change != nil {
			test.change(f)
		}
		for kind, draw := range map[string]func(Size) ([]byte, error){"PNG": f.PNG, "SVG": f.SVG} {
			content, err := draw(test.size)
			if err == nil || content != nil || !strings.Contains(err.Error(), test.want) || !strings.HasPrefix(err.Error(), "figure: "+kind+": ") {
				t.Errorf("%s, %s: error %v, want one with %q", test.name, kind, err, test.want)
			}
		}
	}
}

// The size that an error asks for is enough.
func TestLeastSize(t *testing.T) {
	for n, most := range map[int]Size{1: {400, 330}, 2: {400, 330}, 8: {400, 560}} {
		f := several(n)
		size := Size{110, 110}
		for range 4 { // width, height, and the height that the labels then need
			if _, err := f.arrange(newSized(size)); err == nil {
				break
			} else if words := strings.Fields(err.Error()); words[len(words)-1] == "wide" {
				size.Width = atoi(t, words[len(words)-2])
			} else {
				size.Height = atoi(t, words[len(words)-2])
			}
		}
		if _, err := f.arrange(newSized(size)); err != nil || size.Width > most.Width || size.Height > most.Height {
			t.Errorf("%d runs: %v is asked for in the end: %v", n, size, err)
		}
	}
}

func atoi(t *testing.T, s string) int {
	t.Helper()
	n := 0
	for _, d := range s {
		if d < '0' || d > '9' {
			t.Fatalf("%q is no number", s)
		}
		n = 10*n + int(d-'0')
	}
	return n
}

// What the foot of a picture and the strip of the load say follows from what is shown.
func TestSays(t *testing.T) {
	differ := func(by float64) func(f *Figure) {
		return func(f *Figure) {
			for i := range f.Runs[1].Load {
				f.Runs[1].Load[i] += by
			}
		}
	}
	const foot = "calculated, not measured; dotted: the level under the load; engine 1"
	tests := []struct {
		name     string
		change   func(f *Figure)
		foot     string
		strip    string
		shared   bool
		withLoad bool
	}{
		{"as it is", func(*Figure) {}, foot, "requested power, W", true, true},
		{"loads differ a little", differ(0.9), foot, "requested power, W", true, true},
		{"loads differ somewhat", differ(4.1), foot, "requested power, W (of one run; others differ by up to 5 W)", true, true},
		{"loads differ", differ(30), foot, "requested power, W", false, true},
		{"one load is not known", func(f *Figure) { f.Runs[0].Load = nil }, foot, "requested power, W", true, true},
		{"no load is known", func(f *Figure) { f.Runs[0].Load, f.Runs[1].Load = nil, nil }, foot, "", false, false},
		{"measured", func(f *Figure) { f.Runs[1].Curves[0].Measured = f.Runs[1].Curves[0].Values },
			"lines are calculated, circles are measured; dotted: the level under the load; engine 1", "requested power, W", true, true},
		{"a level far off", func(f *Figure) { f.Runs[1].Curves[0].Level.Value = 200 }, strings.Replace(foot, "; engine", "; a level lies beyond the scale; engine", 1), "requested power, W", true, true},
		{"levels of bursts", func(f *Figure) {
			f.Runs[0].Curves[0].Level.To = 40
			f.Runs[1].Curves[0].Level = &Level{Value: 1e6, From: 4000, To: 4040}
		}, "calculated, not measured; engine 1", "requested power, W", true, true},
		{"one is shorter", func(f *Figure) { f.Runs[1] = soak("short", 10, 4700, 400) }, strings.Replace(foot, "; engine", "; dot: a run that is shorter; engine", 1), "requested power, W", false, true},
		{"shorter by less than can be seen", func(f *Figure) { f.Runs[1] = soak("short", 10, 4795, 400) }, foot, "requested power, W", false, true},
		{"one stopped", func(f *Figure) { f.Runs[1] = soak("short", 10, 4700, 400); f.Runs[1].Broken = true }, strings.Replace(foot, "; engine", "; cross: a run that stopped; engine", 1), "requested power, W", false, true},
		{"no level", func(f *Figure) { f.Runs[0].Curves[0].Level, f.Runs[1].Curves[0].Level = nil, nil }, "calculated, not measured; engine 1", "requested power, W", true, true},
	}
	for _, test := range tests {
		f := several(2)
		test.change(f)
		l, err := f.arrange(newSized(Size{900, 600}))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(l.foot, " "); got != test.foot {
			t.Errorf("%s: the foot says %q, want %q", test.name, got, test.foot)
		}
		if l.says != test.strip || (l.shared >= 0) != test.shared || (l.load != nil) != test.withLoad {
			t.Errorf("%s: the strip says %q, shared %d", test.name, l.says, l.shared)
		}
	}
}

// Loads are compared along straight lines, whatever the rows, while both last.
func TestSharedLoad(t *testing.T) {
	ramp := func(every, end, slope float64) Run {
		var r Run
		for at := 0.0; at <= end; at += every {
			r.Times, r.Load = append(r.Times, at), append(r.Load, slope*at)
		}
		return r
	}
	tests := []struct {
		name    string
		runs    []Run
		longest int
		differ  float64
	}{
		{"none", []Run{{}}, -1, 0},
		{"one", []Run{ramp(1, 10, 2)}, 0, 0},
		{"rows differ", []Run{ramp(1, 10, 2), ramp(2.5, 20, 2), ramp(3, 12, 2)}, 1, 0},
		{"one is steeper", []Run{ramp(1, 10, 2), ramp(2.5, 20, 2), ramp(3, 12, 2.5)}, 1, 6},
		{"they differ where one has no row", []Run{{Times: []float64{0, 10}, Load: []float64{0, 0}}, {Times: []float64{0, 5, 10}, Load: []float64{0, 7, 0}}}, 0, 7},
		{"or the other", []Run{{Times: []float64{0, 5, 10}, Load: []float64{0, 7, 0}}, {Times: []float64{0, 10}, Load: []float64{0, 0}}}, 0, 7},
	}
	for _, test := range tests {
		f := Figure{Runs: test.runs}
		if longest, differ := f.sharedLoad(); longest != test.longest || math.Abs(differ-test.differ) > 1e-12 {
			t.Errorf("%s: run %d, %g W, want run %d, %g W", test.name, longest, differ, test.longest, test.differ)
		}
	}
}
