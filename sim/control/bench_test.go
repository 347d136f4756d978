package control_test

import (
	"testing"

	"soakledger/sim/control"
)

// benchCurve has five points, as a fan curve has.
func benchCurve(b *testing.B) *control.Curve {
	return newCurve(b, control.Smoothing, control.Point{In: 300, Out: 0.2}, control.Point{In: 305, Out: 0.3},
		control.Point{In: 310, Out: 0.5}, control.Point{In: 315, Out: 0.8}, control.Point{In: 320, Out: 1})
}

// A continuous curve, as the right-hand side asks for it: every third input lies
// at a kink.
func BenchmarkCurveAt(b *testing.B) {
	c := benchCurve(b)
	x, sum := 298.0, 0.0
	b.ReportAllocs()
	for b.Loop() {
		y, slope := c.At(x)
		sum += y + slope
		if x += 0.7; x > 322 {
			x = 298
		}
	}
	_ = sum
}

func benchSteps(b *testing.B, spec control.SampledSpec) {
	spec.Period, spec.Max, spec.Curve, spec.Resolution = 2, 1, benchCurve(b), control.DefaultResolution
	c := newSampled(b, spec)
	s := c.Settled(300)
	x, k := 298.0, 0
	b.ReportAllocs()
	for b.Loop() {
		c.Step(&s, c.Time(k), x)
		k++
		if x += 0.07; x > 322 {
			x = 298
		}
	}
}

func BenchmarkStep(b *testing.B) { benchSteps(b, control.SampledSpec{}) }

func BenchmarkStepWithEveryLink(b *testing.B) {
	benchSteps(b, control.SampledSpec{
		Window: 20, Hysteresis: control.UpDown{Up: 1, Down: 2}, Hold: control.UpDown{Up: 4, Down: 10},
		Slew: control.UpDown{Up: 0.05, Down: 0.02}, Start: 0.25, Stop: 0.2, Zero: control.Zero{On: true, Below: 299, Band: 2},
	})
}

// Looking ahead copies the state once.
func BenchmarkCopyState(b *testing.B) {
	c := newSampled(b, control.SampledSpec{Period: 2, Max: 1, Curve: benchCurve(b)})
	s := c.Settled(300)
	var copies [2]control.SampledState
	k := 0
	for b.Loop() {
		copies[k] = s
		k ^= 1
	}
}

func BenchmarkPowerLimitsNext(b *testing.B) {
	ls := control.PowerLimits{{Long: 125, Short: 253, Tau: 56}, {Long: 200, Short: 300, Tau: 1}}
	regimes, averages := make([]control.Regime, 2), []float64{100, 180}
	request := 60.0
	b.ReportAllocs()
	for b.Loop() {
		ls.Next(regimes, request, averages)
		request = 360 - request
	}
}

func BenchmarkChatter(b *testing.B) {
	c, err := control.NewChatter([]string{"cpu.throttle"}, control.MostSwitches)
	if err != nil {
		b.Fatal(err)
	}
	t := 0.0
	b.ReportAllocs()
	for b.Loop() {
		t += 0.1
		if err := c.Switched(0, t); err != nil {
			b.Fatal(err)
		}
	}
}

// Two hours of an output that changes every two seconds.
func BenchmarkHunting(b *testing.B) {
	record := wave(0, 60, 30, 0.3)
	for k := range 120 {
		record = append(record, wave(float64(k)*60, 60, 30, 0.3+0.3*float64(k%2), 0.6-0.3*float64(k%2))[1:]...)
	}
	b.ReportAllocs()
	for b.Loop() {
		if v := control.Hunting(record, 0, 7200); !v.Hunts {
			b.Fatal("it does not hunt")
		}
	}
}
