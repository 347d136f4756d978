package part_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"soakledger/sim/part"
)

// The fan laws by hand at ratios whose powers are plain: speed 2, diameter 3,
// density 0.5.
func TestFanScale(t *testing.T) {
	s := part.FanScale{Speed: 2, Size: 3, Density: 0.5}
	near(t, "flow", s.Flow(), 54, 1e-15)
	near(t, "pressure", s.Pressure(), 18, 1e-15)
	near(t, "power", s.Power(), 972, 1e-15)
}

// 50 lg of the speed ratio, computed independently to 1e-6 dB; 70 lg 1.25 =
// 6.783701 of the diameter, 20 lg 0.86 = -1.310031 of the density.
func TestSoundLevel(t *testing.T) {
	for r, want := range map[float64]float64{.5: -15.051500, .75: -6.246937, 1: 0, 1.25: 4.845501, 1.5: 8.804563, 2: 15.051500} {
		if got := part.SoundLevel(30, r) - 30; math.Abs(got-want) > 0.5001e-6 {
			t.Errorf("at a speed of %g: %.7f dB, want %.6f", r, got, want)
		}
	}
	for want, s := range map[float64]part.FanScale{6.783701: {1, 1.25, 1}, -1.310031: {1, 1, .86}, -9.577830: {.5, 1.25, .86}} {
		if got := s.Sound(); math.Abs(got-want) > 0.5001e-6 {
			t.Errorf("%+v: %.7f dB, want %.6f", s, got, want)
		}
	}
	for _, r := range []float64{0, -1} {
		if got := part.SoundLevel(30, r); !math.IsInf(got, -1) {
			t.Errorf("a standing fan has %g dB", got)
		}
	}
}

// N equal sources add 10 lg N, and 30, 33 and 36 dB make 38.436273 dB; computed
// independently to 1e-6 dB.
func TestSumOfLevels(t *testing.T) {
	for n, want := range map[int]float64{1: 0, 2: 3.010300, 3: 4.771213, 4: 6.020600, 6: 7.781513, 9: 9.542425} {
		if got := part.EqualSources(20, n) - 20; math.Abs(got-want) > 0.5001e-6 {
			t.Errorf("%d sources: %.7f dB, want %.6f", n, got, want)
		}
		same := make([]float64, n)
		for i := range same {
			same[i] = 20
		}
		near(t, "sum of equal levels", part.SumLevels(same...), 20+want, 1e-7)
	}
	near(t, "30 + 33 + 36 dB", part.SumLevels(30, 33, 36), 38.436273, 0.5001e-6/38)
	near(t, "with a standing fan", part.SumLevels(math.Inf(-1), 30), 30, 1e-15)
	for name, got := range map[string]float64{
		"no source": part.SumLevels(), "standing fans": part.SumLevels(math.Inf(-1), math.Inf(-1)), "no fans": part.EqualSources(30, 0),
	} {
		if !math.IsInf(got, -1) {
			t.Errorf("%s: %g dB", name, got)
		}
	}
	near(t, "twice as far", part.LevelAt(30, 1, 2), 30-6.020600, 1e-7)
}

// Property: at the speed for a level the fans have that level.
func TestSpeedForLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rated := rapid.Float64Range(10, 50).Draw(t, "rated level")
		target := rapid.Float64Range(5, 60).Draw(t, "target")
		n := rapid.IntRange(1, 12).Draw(t, "fans")
		r := part.SpeedForLevel(target, rated, n)
		near(t, "level", part.EqualSources(part.SoundLevel(rated, r), n), target, 1e-12)
	})
	if r := part.SpeedForLevel(20, 30, 0); !math.IsInf(r, 1) {
		t.Errorf("no fans at a speed of %g", r)
	}
}

// Another published trend, for large fans of air coolers: PWL = 56 + 30 lg(tip
// speed/(304.8 m/min)) + 10 lg(hp), GPSA Engineering Data Book, 13th ed.; 3177
// m/min and 25.1 hp make 100.5368 dB(A). With tip speed and power by the fan
// laws it rises with 60 lg of the speed and 80 lg of the diameter: ours stays
// within 10 lg of either ratio.
func TestSoundAgainstLargeFans(t *testing.T) {
	published := func(tip, hp float64) float64 { return 56 + 30*math.Log10(tip/304.8) + 10*math.Log10(hp) }
	near(t, "published example", published(3177, 25.1), 100.5368, 1e-6)
	for _, r := range []float64{0.5, 0.8, 1.25, 2} {
		for _, s := range []part.FanScale{{r, 1, 1}, {1, r, 1}} {
			theirs := published(3177*s.Speed*s.Size, 25.1*s.Power()) - published(3177, 25.1)
			if d := math.Abs(theirs - s.Sound()); d > 10*math.Abs(math.Log10(r))+1e-9 {
				t.Errorf("%+v: %g dB against %g dB", s, s.Sound(), theirs)
			}
		}
	}
}

// A fan that stands starts at Start, one that turns goes on down to Stop.
func TestFanDriveSpeed(t *testing.T) {
	d := part.FanDrive{Rated: 25, Power: 1.6, Start: 6, Stop: 4, SpinUp: 5}
	for _, c := range []struct {
		asked   float64
		turning bool
		want    float64
	}{{3, true, 0}, {4, true, 4}, {5, true, 5}, {5, false, 0}, {6, false, 6}, {25, false, 25}, {0, true, 0}, {-1, true, 0}} {
		if got := d.Speed(c.asked, c.turning); got != c.want {
			t.Errorf("asked for %g, turning %v: %g, want %g", c.asked, c.turning, got, c.want)
		}
	}
	if got := (part.FanDrive{Rated: 25}).Speed(-1, true); got != 0 {
		t.Errorf("without a stop it turns at %g", got)
	}
	for _, c := range []struct{ from, to, time, want float64 }{{0, 20, 2, 10}, {0, 20, 10, 20}, {20, 10, 1, 15}, {20, 10, 3, 10}, {7, 7, 1, 7}} {
		if got := d.Approach(c.from, c.to, c.time); got != c.want {
			t.Errorf("from %g to %g in %g s: %g, want %g", c.from, c.to, c.time, got, c.want)
		}
	}
}

// The cube law: 0.2 W at half speed of 1.6 W, 2.7648 W at 1.2 of it.
func TestFanDriveElectrical(t *testing.T) {
	d := part.FanDrive{Rated: 25, Power: 1.6}
	for r, want := range map[float64][2]float64{-1: {}, 0: {}, 0.5: {0.2, 1.2}, 1: {1.6, 4.8}, 1.2: {2.7648, 6.912}} {
		power, slope := d.Electrical(r)
		if math.Abs(power-want[0]) > 1e-12 || math.Abs(slope-want[1]) > 1e-12 {
			t.Errorf("at a speed of %g: %g W, slope %g, want %v", r, power, slope, want)
		}
	}
}
