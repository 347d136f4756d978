package ode_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/ode"
	"soakledger/sim/ode/odetest"
)

// heater is a stiff pair of lumps, y0 heated by power, with the heat lost as quadrature:
// 1 y0' = power - 20 (y0-y1), 50 y1' = 20 (y0-y1) - 0.5 y1.
type heater struct{ power float64 }

func (h *heater) Dim() (states, quadratures int) { return 2, 1 }
func (h *heater) Pattern() ode.Pattern {
	return odetest.Rows([]int{0, 1}, []int{0, 1}, []int{1})
}

func (h *heater) F(_ float64, y, f []float64) {
	q := 20 * (y[0] - y[1])
	f[0] = h.power - q
	f[1] = (q - 0.5*y[1]) / 50
	f[2] = 0.5 * y[1]
}

func (h *heater) Jacobian(_ float64, _, jac []float64) {
	copy(jac, []float64{-20, 20, 0.4, -0.41, 0.5})
}
func (h *heater) TimeDerivative(_ float64, _, _ []float64) bool { return false }

func started(t testing.TB, sys ode.System, m ode.Method, s ode.Settings, y ...float64) *ode.Integrator {
	t.Helper()
	it, err := ode.New(sys, m, s)
	if err != nil {
		t.Fatal(err)
	}
	if err := it.Start(0, y); err != nil {
		t.Fatal(err)
	}
	return it
}

func mustStep(t testing.TB, it *ode.Integrator, end float64) {
	t.Helper()
	if err := it.Step(end); err != nil {
		t.Fatal(err)
	}
}

var heaterTol = ode.Settings{AbsTol: []float64{1e-5}}

// Whatever end times are asked for, steps land on them bit by bit, never pass them, and join up.
func TestStepLandsExactly(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		it := started(t, &heater{100}, rapid.SampledFrom(methods).Draw(rt, "method"), heaterTol, 0, 0, 0)
		for range rapid.IntRange(1, 12).Draw(rt, "spans") {
			end := it.Time() + math.Pow(10, rapid.Float64Range(-14, 4).Draw(rt, "log span"))
			for it.Time() < end {
				from := it.Time()
				if err := it.Step(end); err != nil {
					rt.Fatal(err)
				}
				seg := it.Segment()
				for i, v := range it.State() {
					if seg.At(i, seg.End()) != v {
						rt.Fatalf("segment ends at %v in component %d, state %v", seg.At(i, seg.End()), i, v)
					}
				}
				if seg.Start() != from || seg.End() != it.Time() || it.Time() > end || it.Time() <= from {
					rt.Fatalf("step from %v to %v (segment %v to %v), end %v", from, it.Time(), seg.Start(), seg.End(), end)
				}
			}
			if it.Time() != end {
				rt.Fatalf("arrived at %v instead of %v", it.Time(), end)
			}
		}
	})
}

// The end time is met even where start + (end - start) rounds to something else.
func TestLandingDespiteRounding(t *testing.T) {
	it := clock(t)
	rapid.Check(t, func(rt *rapid.T) {
		start := rapid.Float64Range(-10, 10).Draw(rt, "start")
		end := start + math.Abs(start)*rapid.Float64Range(0.01, 1000).Draw(rt, "ratio") + 0.001
		if err := it.Start(start, []float64{0, 0}); err != nil {
			rt.Fatal(err)
		}
		for it.Time() < end {
			if err := it.Step(end); err != nil {
				rt.Fatal(err)
			}
		}
		if it.Time() != end || it.Segment().End() != end {
			rt.Fatalf("arrived at %v instead of %v", it.Time(), end)
		}
	})
	const start = -0.3
	if err := it.Start(start, []float64{0, 0}); err != nil {
		t.Fatal(err)
	}
	end := 0.0
	for k := 0; start+(end-start) == end; k++ { // the first such end time there is
		end = 0.07 * float64(k) / math.Pi
		if k == 1000 {
			t.Fatal("no end time rounds")
		}
	}
	mustStep(t, it, end) // the fixed step of 1 covers the span
	if it.Time() != end {
		t.Errorf("arrived at %v instead of %v", it.Time(), end)
	}
}

// A first step cut short by an end time does not spoil the size remembered for the next restart.
func TestRestartSizeSurvivesShortSpan(t *testing.T) {
	it := started(t, &heater{100}, nil, heaterTol, 0, 0, 0)
	for it.Time() < 100 {
		mustStep(t, it, 100)
	}
	it.Jump()
	mustStep(t, it, 200)
	first := it.Time() - 100
	it.Jump()
	mustStep(t, it, it.Time()+1e-9)
	it.Jump()
	from := it.Time()
	mustStep(t, it, 1e6)
	if h := it.Time() - from; h < first {
		t.Errorf("first steps after restarts: %g, then, after one cut to 1e-9, %g", first, h)
	}
}

// Where f vanishes at the start and only its time derivative does not, the first step is chosen by that.
func TestFirstStepFromTimeDerivative(t *testing.T) {
	sys := scalar(func(t, _ float64) float64 { return t }, constant(0), constant(0))
	sys.Dt = func(_ float64, _, d []float64) { d[0], d[1] = 1, 0 }
	it := started(t, sys, nil, ode.Settings{AbsTol: []float64{1e-6}}, 0, 0)
	mustStep(t, it, 1e6)
	if h := it.Time(); h < 1e-5 || h > 0.1 {
		t.Errorf("first step %g, want about 5e-4", h)
	}
}

// The last step to an end time is no mere remainder: it is as long as the one before it, or ends a span that one step fills.
func TestLastStepsAreBalanced(t *testing.T) {
	it := started(t, &heater{100}, nil, heaterTol, 0, 0, 0)
	for end := 1.0; end < 200; end *= 1.37 {
		var sizes []float64
		for it.Time() < end {
			from := it.Time()
			mustStep(t, it, end)
			sizes = append(sizes, it.Time()-from)
		}
		if k := len(sizes); k > 1 && sizes[k-1] < 0.45*sizes[k-2] {
			t.Errorf("steps to %g end with %g, %g", end, sizes[k-2], sizes[k-1])
		}
	}
}

// An end time cut short does not make the steps after it short.
func TestShortSpanKeepsStepSize(t *testing.T) {
	it := started(t, &heater{100}, nil, heaterTol, 0, 0, 0)
	for it.Time() < 100 {
		mustStep(t, it, 100)
	}
	mustStep(t, it, 100+1e-9)
	mustStep(t, it, 1e6)
	if h := it.Time() - 100; h < 1 {
		t.Errorf("the step after one of 1e-9 has size %g", h)
	}
}

func TestZeroLengthInterval(t *testing.T) {
	it := started(t, &heater{100}, nil, heaterTol, 1, 2, 3)
	mustStep(t, it, 0)
	if it.Time() != 0 || it.Stats() != (ode.Stats{}) || !slices.Equal(it.State(), []float64{1, 2, 3}) {
		t.Errorf("a step of length zero did something: t = %g, %+v, %v", it.Time(), it.Stats(), it.State())
	}
	seg := it.Segment()
	if seg.Start() != 0 || seg.End() != 0 || seg.At(1, 0) != 2 || seg.At(1, 5) != 2 || seg.Poly(2) != [5]float64{3} {
		t.Errorf("segment before the first step: %g to %g, %g %g %v", seg.Start(), seg.End(), seg.At(1, 0), seg.At(1, 5), seg.Poly(2))
	}
	p := odetest.HIRES()
	res, err := ode.Solve(ode.Problem{System: p.System, T0: 3, T1: 3, Y0: p.Y0}, nil, p.Settings(1e-6))
	if err != nil || res.Status != ode.Finished || res.T != 3 || !slices.Equal(res.Y, p.Y0) {
		t.Errorf("Solve over no time: %+v, %v", res, err)
	}
}

// The solution of the heater after a change of power is that of a fresh start there.
func TestJumpForgetsOldSlopes(t *testing.T) {
	sys := &heater{100}
	it := started(t, sys, nil, heaterTol, 0, 0, 0)
	for it.Time() < 30 {
		mustStep(t, it, 30)
	}
	sys.power = 0
	it.Jump()
	before := it.Stats()
	for it.Time() < 60 {
		mustStep(t, it, 60)
	}
	fresh, err := ode.New(sys, nil, ode.Settings{AbsTol: []float64{1e-9}})
	if err != nil {
		t.Fatal(err)
	}
	start := started(t, &heater{100}, nil, ode.Settings{AbsTol: []float64{1e-9}}, 0, 0, 0)
	for start.Time() < 30 {
		mustStep(t, start, 30)
	}
	if err := fresh.Start(30, start.State()); err != nil {
		t.Fatal(err)
	}
	for fresh.Time() < 60 {
		mustStep(t, fresh, 60)
	}
	for i, want := range fresh.State() {
		if got := it.State()[i]; math.Abs(got-want) > 1e-3 {
			t.Errorf("component %d after the jump: %g, want %g", i, got, want)
		}
	}
	if before.Restarts != 1 || it.Stats().Rejected-before.Rejected > 3 {
		t.Errorf("stats after a jump: %+v, before it %+v", it.Stats(), before)
	}
}

// With many jumps the first step after each has the size that suited the one before, so that a
// burst takes few steps and hardly any rejections.
func TestJumpRemembersFirstStep(t *testing.T) {
	sys := &heater{}
	it := started(t, sys, nil, heaterTol, 0, 0, 0)
	const bursts = 100
	for k := 1; k <= bursts; k++ {
		sys.power = 100 * float64(k%2)
		it.Jump()
		for end := 2 * float64(k); it.Time() < end; {
			mustStep(t, it, end)
		}
	}
	s := it.Stats()
	if s.Steps > 35*bursts || s.Rejected > bursts/20 || s.Restarts != bursts { // measured: 34 a burst, none rejected
		t.Errorf("%d bursts took %+v", bursts, s)
	}
	if s.FEvals != s.Steps+5*(s.Steps+s.Rejected) {
		t.Errorf("restarts cost extra evaluations: %+v", s)
	}
}

func TestSetState(t *testing.T) {
	it := started(t, &heater{100}, nil, heaterTol, 0, 0, 0)
	mustStep(t, it, 1)
	seg := it.Segment()
	end := slices.Clone(it.State())
	y := []float64{5, 6, 7}
	it.SetState(y)
	y[0] = -1
	if !slices.Equal(it.State(), []float64{5, 6, 7}) {
		t.Errorf("state after SetState: %v", it.State())
	}
	it.SetState([]float64{8, 9, 10})
	got := make([]float64, 3)
	if seg.Into(seg.End(), got); !slices.Equal(got, end) {
		t.Errorf("the last segment ends at %v after SetState, %v before", got, end)
	}
	if middle := seg.At(0, seg.End()/2); !(middle > 0 && middle < end[0]) {
		t.Errorf("the last segment is spoilt by SetState: %g at the middle, %g at the end", middle, end[0])
	}
	mustStep(t, it, 100)
	if v := it.Segment().At(0, it.Segment().Start()); v != 8 {
		t.Errorf("the next step starts from %g, want 8", v)
	}
	defer func() {
		if recover() == nil {
			t.Error("SetState with a wrong length did not panic")
		}
	}()
	it.SetState([]float64{1})
}

// Truncated, the solution goes on from the interpolant as if the step had ended there.
func TestTruncateTo(t *testing.T) {
	for _, m := range methods {
		it := started(t, &heater{100}, m, heaterTol, 0, 0, 0)
		for range 5 {
			mustStep(t, it, 100)
		}
		seg := it.Segment()
		at := seg.Start() + 0.3*(seg.End()-seg.Start())
		inside := seg.Start() + 0.2*(seg.End()-seg.Start())
		want, wantInside := make([]float64, 3), make([]float64, 3)
		seg.Into(at, want)
		seg.Into(inside, wantInside)
		it.TruncateTo(at)
		if it.Time() != at || !slices.Equal(it.State(), want) {
			t.Errorf("state after truncation: %v at %v, want %v at %v", it.State(), it.Time(), want, at)
		}
		if seg.End() != at || seg.At(0, at) != want[0] {
			t.Errorf("segment ends at %v with %v", seg.End(), seg.At(0, at))
		}
		for i, w := range wantInside {
			if got := seg.At(i, inside); math.Abs(got-w) > 1e-14*math.Abs(w) {
				t.Errorf("inside the truncated segment: %v, before it was %v", got, w)
			}
		}
		s := it.Stats()
		if s.Truncations != 1 || s.Restarts != 1 {
			t.Errorf("stats %+v", s)
		}
		mustStep(t, it, 100)
		if it.Segment().Start() != at || it.Segment().At(0, at) != want[0] {
			t.Error("the next step does not start from the truncated state")
		}
	}
}

func TestTruncateOutsideStepIsClamped(t *testing.T) {
	it := started(t, &heater{100}, nil, heaterTol, 0, 0, 0)
	mustStep(t, it, 100)
	first := it.Time()
	mustStep(t, it, 100)
	end := it.Time()
	state := slices.Clone(it.State())
	it.TruncateTo(end + 1)
	if it.Time() != end || !slices.Equal(it.State(), state) {
		t.Error("truncation after the end moved the state")
	}
	it.TruncateTo(first - 1)
	if it.Time() != first || it.Segment().End() != first {
		t.Errorf("truncation before the start went to %g, want %g", it.Time(), first)
	}
	it.TruncateTo(first)
	mustStep(t, it, 100)
	if it.Segment().Start() != first {
		t.Error("the step after it starts elsewhere")
	}
}

// Nothing allocates after New.
func TestNoAllocations(t *testing.T) {
	for _, m := range methods {
		sys := &heater{100}
		s := heaterTol
		s.MaxStep = 0.5
		it := started(t, sys, m, s, 0, 0, 0)
		y := make([]float64, 3)
		initial := []float64{0, 0, 0}
		for name, f := range map[string]func(){
			"Step":       func() { mustStep(t, it, 1e9) },
			"Jump":       func() { it.Jump() },
			"Into":       func() { it.Segment().Into(it.Time(), y); y[0] += it.Segment().At(0, 0) + it.Segment().Poly(1)[2] },
			"SetState":   func() { it.SetState(initial) },
			"TruncateTo": func() { mustStep(t, it, 1e9); it.TruncateTo(it.Segment().Start() + 1e-3) },
			"Start": func() {
				if err := it.Start(0, initial); err != nil {
					t.Fatal(err)
				}
				mustStep(t, it, 1)
			},
		} {
			if n := testing.AllocsPerRun(100, f); n != 0 {
				t.Errorf("%s: %s allocates %g times", m.Name(), name, n)
			}
		}
	}
}

// trace integrates POLLU with a restart in it and returns the bits of everything that came out.
func trace(t *testing.T, it *ode.Integrator, p odetest.Problem) []uint64 {
	if err := it.Start(p.T0, p.Y0); err != nil {
		t.Fatal(err)
	}
	var bits []uint64
	y := make([]float64, len(p.Y0))
	for it.Time() < p.T1 {
		mustStep(t, it, p.T1)
		it.Segment().Into(0.5*(it.Segment().Start()+it.Segment().End()), y)
		for i, v := range it.State() {
			bits = append(bits, math.Float64bits(v), math.Float64bits(y[i]))
		}
		if it.Stats().Steps == 40 {
			it.TruncateTo(0.5 * (it.Segment().Start() + it.Segment().End()))
		}
	}
	return bits
}

// The same inputs give the same bytes, from a new integrator and from one that has been used.
func TestSameBytes(t *testing.T) {
	for _, m := range methods {
		p := odetest.POLLU()
		a, b := started(t, p.System, m, p.Settings(1e-5), p.Y0...), started(t, p.System, m, p.Settings(1e-5), p.Y0...)
		first := trace(t, a, p)
		if !slices.Equal(first, trace(t, b, p)) {
			t.Errorf("%s: a second integrator gives other bytes", m.Name())
		}
		if !slices.Equal(first, trace(t, a, p)) {
			t.Errorf("%s: an integrator used again gives other bytes", m.Name())
		}
	}
}

// A given first step and a largest step are obeyed.
func TestStepSizeSettings(t *testing.T) {
	s := heaterTol
	s.FirstStep, s.MaxStep = 1e-4, 0.01
	it := started(t, &heater{100}, nil, s, 0, 0, 0)
	mustStep(t, it, 10)
	if it.Time() != 1e-4 {
		t.Errorf("first step %g, want 1e-4", it.Time())
	}
	for it.Time() < 1 {
		from := it.Time()
		mustStep(t, it, 10)
		if h := it.Time() - from; h > 0.01*(1+1e-12) {
			t.Fatalf("step of %g beyond MaxStep", h)
		}
	}
	s = ode.Settings{Fixed: 0.1}
	it = started(t, &heater{100}, nil, s, 0, 0, 0)
	for it.Time() < 1 {
		mustStep(t, it, 1)
	}
	if it.Stats().Steps != 10 || it.Stats().Rejected != 0 {
		t.Errorf("fixed steps of 0.1 to 1: %+v", it.Stats())
	}
}

// The error norm heeds each state's own tolerance: a loose one for the lump that matters less saves steps.
func TestToleranceByState(t *testing.T) {
	steps := func(abs ...float64) int {
		it := started(t, &heater{100}, nil, ode.Settings{AbsTol: abs}, 0, 0, 0)
		for it.Time() < 100 {
			mustStep(t, it, 100)
		}
		return it.Stats().Steps
	}
	tight, first, both := steps(1e-8), steps(1e-3, 1e-8), steps(1e-3, 1e-3)
	if !(tight > first && first > both) {
		t.Errorf("steps %d, %d, %d with ever looser tolerances", tight, first, both)
	}
}
