package part

import "math"

// FanScale holds a fan's ratios to another one of the same shape: speed,
// diameter and the air's density. All are 1 or above zero.
//
// Source: the fan laws of ISO 5801:2017 and the AMCA/ISO conversion rules
// (from memory, not checked against the source).
type FanScale struct {
	Speed   float64
	Size    float64
	Density float64
}

// Flow returns the ratio of volume flows, n D³.
func (s FanScale) Flow() float64 { return s.Speed * s.Size * s.Size * s.Size }

// Pressure returns the ratio of pressures, ρ n² D².
func (s FanScale) Pressure() float64 { return s.Density * s.Speed * s.Speed * s.Size * s.Size }

// Power returns the ratio of powers, ρ n³ D⁵.
func (s FanScale) Power() float64 { return s.Flow() * s.Pressure() }

// Sound returns the difference of sound levels, 50 lg n + 70 lg D + 20 lg ρ dB,
// at points of operation that correspond by the other laws. It is -Inf for a
// fan that stands.
//
// Source: ASHRAE Handbook HVAC Applications and AMCA 301 (from memory, not
// checked against the source).
func (s FanScale) Sound() float64 {
	return 50*math.Log10(s.Speed) + 70*math.Log10(s.Size) + 20*math.Log10(s.Density)
}

// SoundLevel returns the level (dB(A)) of a fan at a speed over rated speed (0
// to about 1.5), from its level at rated speed: + 50 lg of the ratio, see
// [FanScale.Sound]. It is -Inf for a fan that stands.
func SoundLevel(rated, speed float64) float64 {
	return rated + FanScale{math.Max(0, speed), 1, 1}.Sound()
}

// SumLevels returns the level of several sources together, which add in power:
// 10 lg Σ 10^(L/10), in dB. Without any, or with silent ones of -Inf alone, it
// is -Inf.
func SumLevels(levels ...float64) float64 {
	loudest := math.Inf(-1)
	for _, l := range levels {
		loudest = math.Max(loudest, l)
	}
	if math.IsInf(loudest, -1) {
		return loudest
	}
	sum := 0.0
	for _, l := range levels {
		sum += math.Pow(10, (l-loudest)/10)
	}
	return loudest + 10*math.Log10(sum)
}

// EqualSources returns the level of count equal sources, each of a level: + 10
// lg count, in dB. None are silent, -Inf.
func EqualSources(level float64, count int) float64 {
	return level + 10*math.Log10(math.Max(0, float64(count)))
}

// SpeedForLevel returns the speed over rated speed at which count equal fans,
// each of a level (dB(A)) at rated speed, together have the target level: the
// inverse of [SoundLevel] and [EqualSources]. It may be beyond 1. Without fans
// it is +Inf.
func SpeedForLevel(target, rated float64, count int) float64 {
	return math.Pow(10, (target-EqualSources(rated, count))/50)
}

// LevelAt returns the level at a distance of what has a level at another one,
// both above zero (m), from a point source in the open: - 20 lg of their ratio.
func LevelAt(level, from, to float64) float64 { return level - 20*math.Log10(to/from) }
