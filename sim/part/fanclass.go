package part

import (
	"fmt"
	"math"
	"slices"

	"soakledger/sim/spec"
)

// FanClass holds what is usual for a frame size. Airflow, pressure, noise and
// power are those at the usual rated speed.
type FanClass struct {
	Name    string
	Size    float64 // edge of the frame, m
	Free    Default // free airflow, m3/s
	ShutOff Default // static pressure without flow, Pa
	Rated   Default // revolutions per second
	Noise   Default // one fan, near 1 m, dB(A)
	Power   Default // electrical, W
	Start   Default // revolutions per second
	Stop    Default // revolutions per second
	SpinUp  Default // revolutions per second squared
}

const (
	cubicFoot = 0.3048 * 0.3048 * 0.3048 / 60 // 1 cubic foot a minute in m3/s
	mmOfWater = MetreOfWater / 1000           // Pa
)

// fan120 is a fan of 120 mm and 25 mm depth, from which the other sizes follow.
func fan120() FanClass {
	const rated = 1500. / 60
	return FanClass{
		Name:    "120 mm",
		Size:    0.120,
		Free:    Default{48 * cubicFoot, 40 * cubicFoot, 55 * cubicFoot, spec.Airflow, practice},
		ShutOff: Default{1.55 * mmOfWater, 1.2 * mmOfWater, 1.9 * mmOfWater, spec.Pressure, practice},
		Rated:   Default{rated, 1000. / 60, 2200. / 60, spec.RotationSpeed, practice},
		Noise:   Default{28, 26, 30, spec.SoundLevel, practice},
		Power:   Default{1.5, 0.5, 3, spec.PowerFlow, practice},
		Start:   Default{400. / 60, 250. / 60, 500. / 60, spec.RotationSpeed, practice},
		Stop:    Default{300. / 60, 150. / 60, 400. / 60, spec.RotationSpeed, practice},
		SpinUp:  Default{300. / 60, 100. / 60, 600. / 60, spec.RotationChange, practice},
	}
}

// FanClasses returns the frame sizes, small to large. That of 120 mm is common
// practice; the others follow from it by the fan laws at their usual rated
// speeds, flow as D³ n and pressure as D² n². Their ranges hold as well a frame
// of the same depth, of flow as D² n and pressure as n². Fans of 140 mm are of
// the same depth, and move 30 to 40 % more at equal speed (common practice, no
// source).
func FanClasses() []FanClass { return slices.Clone(fanClasses) }

var fanClasses = allFanClasses()

func allFanClasses() []FanClass {
	wide := fan120().scaled("140 mm", 0.140, 1200)
	wide.Free = stretched(fan120().Free, 1.35*1200/1500, 1.30*1200/1500, 1.40*1200/1500)
	return []FanClass{
		fan120().scaled("80 mm", 0.080, 2000),
		fan120().scaled("92 mm", 0.092, 1800),
		fan120(),
		wide,
		fan120().scaled("180 mm", 0.180, 900),
		fan120().scaled("200 mm", 0.200, 800),
	}
}

// scaled returns the class of another size with its usual rated speed (1/min).
func (c FanClass) scaled(name string, size, rpm float64) FanClass {
	law := FanScale{Speed: rpm / 60 / c.Rated.Value, Size: size / c.Size, Density: 1}
	flat := law
	flat.Size = 1
	deep := law.Flow()
	even := flat.Flow() * law.Size * law.Size
	lift, flatLift := law.Pressure(), flat.Pressure()
	c.Name, c.Size = name, size
	c.Free = stretched(c.Free, deep, math.Min(deep, even), math.Max(deep, even))
	c.ShutOff = stretched(c.ShutOff, lift, math.Min(lift, flatLift), math.Max(lift, flatLift))
	c.Power = stretched(c.Power, law.Power(), law.Power(), law.Power())
	for _, speed := range []*Default{&c.Rated, &c.Start, &c.Stop} {
		*speed = stretched(*speed, law.Speed, law.Speed, law.Speed)
	}
	c.Noise.Value += law.Sound()
	c.Noise.Low += law.Sound() - 3
	c.Noise.High += law.Sound() + 3
	return c
}

// stretched multiplies a default and the ends of its range.
func stretched(d Default, value, low, high float64) Default {
	d.Value *= value
	d.Low *= low
	d.High *= high
	return d
}

// FanSized returns the class whose frame has an edge of size (m) within half a
// millimetre. The error lists the sizes.
func FanSized(size float64) (FanClass, error) {
	names := ""
	for _, c := range fanClasses {
		if math.Abs(size-c.Size) <= 0.0005 {
			return c, nil
		}
		if names != "" {
			names += ", "
		}
		names += c.Name
	}
	return FanClass{}, fmt.Errorf("part: there is no usual fan of %.4g mm; known are %s; state airflow and pressure for another", 1e3*size, names)
}

// FanNearest returns the class whose frame is nearest to an edge of size (m).
func FanNearest(size float64) FanClass {
	best := fanClasses[0]
	for _, c := range fanClasses[1:] {
		if math.Abs(c.Size-size) < math.Abs(best.Size-size) {
			best = c
		}
	}
	return best
}

// Curve returns the curve of the class's figures.
func (c FanClass) Curve() (FanCurve, error) {
	return NewFanCurve(c.Free.Value, c.ShutOff.Value, FanShape().Value)
}

// Drive returns the drive of the class's figures.
func (c FanClass) Drive() FanDrive {
	return FanDrive{
		Rated: c.Rated.Value, Power: c.Power.Value, Start: c.Start.Value,
		Stop: c.Stop.Value, SpinUp: c.SpinUp.Value,
	}
}
