package spec

import (
	"fmt"
	"math"
	"reflect"
)

// Words for what a controller or a fault observes besides nodes.
const (
	coolantNode = "coolant"
	hottestDie  = "hottest die"
)

// mostSamples is how many samples a controller averages at most.
const mostSamples = 64

// isStated reports whether a section states anything.
func isStated(section any) bool { return !reflect.ValueOf(section).IsZero() }

// control checks what sets the speed of a pump or of fans, stated under key
// beside the speed.
func (c *checker) control(path, key string, k *Control, speed Speed, rated Number) {
	if !isStated(*k) {
		return
	}
	at := path + "." + key
	if speed.Set() {
		c.add(at, "speed and %s exclude each other: keep one", key)
	}
	c.observed(at+".follow", k.Follow)
	c.exactlyOne(at, "points: [[30 degC, 600 rpm], [42 degC, 1500 rpm]]",
		stated{"points", len(k.Points) > 0}, stated{"rises", len(k.Rises) > 0}, stated{"target", k.Target.Set})
	c.speedCurves(at, k, rated)
	c.target(at, k)
	c.sampling(at, k)
	c.standing(at, k)
}

// observed checks what is followed or waited for: a word, or a node.
func (c *checker) observed(path, node string) {
	if node == hottestDie && len(c.s.Chips) == 0 {
		c.add(path, "the file has no chips, so there is no hottest die: write %s, or a node", coolantNode)
		return
	}
	c.node(path, node, coolantNode, hottestDie)
}

// speedCurves checks the points of a control curve, over temperatures or rises.
func (c *checker) speedCurves(path string, k *Control, rated Number) {
	var over []Number
	var speeds []Speed
	for _, p := range k.Points {
		over, speeds = append(over, p.Temperature), append(speeds, p.Speed)
	}
	c.speedCurve(path+".points", over, speeds, rated, curve{x: "temperature", y: "speed", direction: free, example: "[30 degC, 600 rpm]"})
	over, speeds = nil, nil
	for _, p := range k.Rises {
		over, speeds = append(over, p.Rise), append(speeds, p.Speed)
	}
	c.speedCurve(path+".rises", over, speeds, rated, curve{x: "rise", y: "speed", direction: free, example: "[4 K, 600 rpm]"})
}

func (c *checker) speedCurve(path string, over []Number, speeds []Speed, rated Number, k curve) {
	if len(over) == 1 {
		c.add(path, "a curve needs at least two points, for example %s and one more; one speed for all is stated as speed", k.example)
	}
	var points [][2]Number
	for i, s := range speeds {
		c.speed(fmt.Sprintf("%s[%d].speed", path, i), s, rated)
		y := either(s.Rate, s.Share)
		if s.Level.Set {
			y = Some(math.NaN()) // a problem of its own
		}
		points = append(points, [2]Number{over[i], y})
		if first := speeds[0]; s.Rate.Set && first.Share.Set || s.Share.Set && first.Rate.Set {
			c.add(fmt.Sprintf("%s[%d].speed", path, i), "the speeds of one curve are all stated alike, in rpm or as shares of the rated speed, and the first point does it otherwise")
		}
	}
	c.points(path, points, k)
}

// target checks the figures of a controller that holds a temperature.
func (c *checker) target(path string, k *Control) {
	switch {
	case !k.Target.Set:
		c.excluded(path, "%s belongs to target, the temperature to hold: state target beside it, for example target: 38 degC, or leave it out",
			[]stated{{"gain", k.Gain.Set}, {"integral_time", k.IntegralTime.Set}})
	case !k.Period.Set:
		c.add(path, "a target is held by a controller that takes samples, so it needs period, for example period: 2 s")
	}
}

// sampling checks what only a controller that takes samples has.
func (c *checker) sampling(path string, k *Control) {
	if !k.Period.Set {
		c.excluded(path, "without period a curve acts at once and smoothly, so it has no %s: add period, for example period: 2 s", []stated{
			{"average", k.Average.Set}, {"hysteresis_up", k.HysteresisUp.Set}, {"hysteresis_down", k.HysteresisDown.Set},
			{"hold_up", k.HoldUp.Set}, {"hold_down", k.HoldDown.Set}, {"slew_up", k.SlewUp.Set}, {"slew_down", k.SlewDown.Set},
			{"resolution", k.Resolution.Set}, {"off_below", k.OffBelow.Set}, {"on_above", k.OnAbove.Set},
			{"sensor.lag", k.Sensor.Lag.Set}, {"sensor.resolution", k.Sensor.Resolution.Set},
		})
		return
	}
	if k.Average.Set && k.Average.Value > mostSamples*k.Period.Value*(1+1e-9) {
		c.add(path+".average", "it holds more than %d samples: average over less, or sample less often, for example period: 2 s, average: 10 s", mostSamples)
	}
}

// standing checks the temperatures between which a fan starts and stands.
func (c *checker) standing(path string, k *Control) {
	switch {
	case k.OnAbove.Set && !k.OffBelow.Set:
		c.add(path+".on_above", "it starts again above this, but where does it stand? Add off_below, for example off_below: 32 degC, on_above: 35 degC")
	case k.OnAbove.Set && k.OnAbove.Value <= k.OffBelow.Value:
		c.add(path+".on_above", "it starts again at a temperature above off_below, for example off_below: 32 degC, on_above: 35 degC")
	}
	if len(k.Rises) > 0 {
		c.excluded(path, "%s is a temperature, and rises follow how far one lies above the room: state points instead of rises, or leave it out", []stated{
			{"off_below", k.OffBelow.Set}, {"on_above", k.OnAbove.Set},
		})
	}
}

// throttle checks a chip's protection against itself and the chip.
func (c *checker) throttle(path string, chip *Chip) {
	t := chip.Throttle
	if t == (Throttle{}) {
		return
	}
	at := path + ".throttle"
	const example = "for example throttle: {at: 95 degC, release: 90 degC}"
	switch {
	case !t.At.Set:
		c.add(at, "it needs at, the die temperature at which it begins, %s", example)
	case t.Release.Set && t.Release.Value >= t.At.Value:
		c.add(at+".release", "a chip runs freely again at a temperature below at, %s", example)
	}
	if t.At.Set && chip.Shutdown.Set && t.At.Value >= chip.Shutdown.Value {
		c.add(at+".at", "the chip shuts down before it throttles: throttle at a temperature below shutdown")
	}
	switch {
	case t.To.Of != "":
		c.add(at+".to", "it is a power, or a share of what the chip itself is asked for, for example to: 60 %%")
	case t.To.Share.Set && t.To.Share.Value >= 1,
		t.To.Watts.Set && chip.Power.Watts.Set && t.To.Watts.Value >= chip.Power.Watts.Value:
		c.add(at+".to", "a chip that throttles draws less than it is asked for, for example to: 60 %%")
	}
}

// limits checks the caps on a chip's power.
func (c *checker) limits(path string, list []Limit) {
	for i, l := range list {
		at := fmt.Sprintf("%s.limits[%d]", path, i)
		const example = "for example {long: 125 W, short: 253 W, time: 56 s}"
		if !l.Long.Set {
			c.add(at, "a limit needs long, what may be drawn for ever, %s", example)
		}
		if !l.Time.Set {
			c.add(at, "a limit needs time, the time constant of its moving average, %s", example)
		}
		if l.Long.Set && l.Short.Set && l.Short.Value <= l.Long.Value {
			c.add(at+".short", "what may be drawn for a while is more than long, what may be drawn for ever, %s", example)
		}
	}
}
