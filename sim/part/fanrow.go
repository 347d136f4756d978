package part

import (
	"fmt"
	"math"

	"soakledger/sim/spec"
)

// FanArrangement tells on which side of what they serve fans stand.
type FanArrangement string

// The arrangements of fans.
const (
	Push     FanArrangement = "push"      // they blow on it
	Pull     FanArrangement = "pull"      // they draw through it
	PushPull FanArrangement = "push-pull" // a row on either side
)

// FanArrangementNamed returns the arrangement called word. The error lists the
// words.
func FanArrangementNamed(word string) (FanArrangement, error) {
	return named("arrangement of fans", word, []FanArrangement{Push, Pull, PushPull}, func(a FanArrangement) string { return string(a) })
}

// FanRow is equal fans side by side on a face, all at one speed, or with
// [PushPull] one such row on either side of it. The air between fans and face
// is taken as one space, so that all fans of a side work against the same
// pressure.
//
// Failed of them stand, and what the others push is blown back through them, or
// what they draw comes in by them. With PushPull all of these are in one of the
// two rows, and the other row is whole.
type FanRow struct {
	Curve       FanCurve
	Count       int // fans of one side, one or more
	Failed      int // of them stand, 0 to Count
	Arrangement FanArrangement
}

// Check reports a row that cannot be.
func (f *FanRow) Check() error {
	switch {
	case f.Curve.free == 0:
		return fmt.Errorf("part: fans: they have no curve")
	case f.Count < 1:
		return fmt.Errorf("part: fans: a row of %d cannot be; it needs one or more", f.Count)
	case f.Failed < 0 || f.Failed > f.Count:
		return fmt.Errorf("part: fans: %d of %d cannot have failed", f.Failed, f.Count)
	}
	if _, err := FanArrangementNamed(string(f.Arrangement)); err != nil {
		return err
	}
	return nil
}

// Fans returns the number of fans, those that failed included.
func (f *FanRow) Fans() int {
	if f.Arrangement == PushPull {
		return 2 * f.Count
	}
	return f.Count
}

// Pressure returns the static pressure (Pa) that the fans add to the whole
// airflow q (m3/s, either sign), and its slope (Pa s/m3, never above zero);
// speed and density as in [FanCurve.Pressure]. It falls with flow, and rises
// with speed.
func (f *FanRow) Pressure(q, speed, density float64) (p, slope float64) {
	r, density := math.Max(0, speed), density/StandardAirDensity
	p, slope = f.side(q, r, density, f.Failed)
	if f.Arrangement == PushPull {
		whole, s := p, slope
		if f.Failed > 0 {
			whole, s = f.side(q, r, density, 0)
		}
		p += whole
		slope += s
	}
	return p, slope
}

// most returns a flow from which on the fans add no pressure.
func (f *FanRow) most(speed float64) float64 {
	return float64(f.Count) * f.Curve.free * math.Max(0, speed)
}

// side is one row at a speed ratio r not below zero and a density over the
// standard one, some of whose fans stand.
func (f *FanRow) side(q, r, density float64, standing int) (p, slope float64) {
	if standing > 0 {
		if standing < f.Count && r > 0 {
			return f.mixed(q, r, density, standing)
		}
		r *= 0 // all stand; a NaN stays one
	}
	n := float64(f.Count)
	p, slope = f.Curve.pressure(q/n, r, density)
	return p, slope / n
}

// mixed is a row of running and standing fans: the flow of a running fan is
// found at which it has the pressure of a standing one with its part of the
// rest. It lies between an equal share and the flow at which the running fan
// has lost its pressure and the standing one has backward flow.
func (f *FanRow) mixed(q, r, density float64, standing int) (p, slope float64) {
	stand, run := float64(standing), float64(f.Count-standing)
	low, high := q/float64(f.Count), math.Max(f.Curve.free*r, q/run)
	var own, back float64 // slopes of a running and of a standing fan
	each, _, ok := falling(low, high, high, func(x float64) (float64, float64) {
		var driven, held float64
		driven, own = f.Curve.pressure(x, r, density)
		held, back = f.Curve.pressure((q-run*x)/stand, 0, density)
		return driven - held, own + run/stand*back
	})
	if !ok {
		return math.NaN(), math.NaN()
	}
	p, own = f.Curve.pressure(each, r, density)
	if steep := run*back + stand*own; steep < 0 {
		slope = own * back / steep // side by side: 1/slope adds
	}
	return p, slope
}

// shroudGap is the distance between fans and core from which on the air has
// spread over the whole face: common practice, no source.
const shroudGap = 0.020 // m

// FaceShare is the share of a core's face that carries air. Fans that only push
// leave the shadows of hubs and corners without it, the more the nearer they
// stand: gap (m, not below zero) is the free distance between fans and core.
// Fans that draw take air from all of the face.
func FaceShare(arrangement FanArrangement, gap float64) Default {
	if arrangement != Push {
		return Default{1, 0.9, 1, spec.Ratio, practice}
	}
	near := 1 - math.Max(0, math.Min(gap/shroudGap, 1))
	return Default{1 - 0.15*near, 0.9 - 0.2*near, 1, spec.Ratio, practice}
}
