package assemble

import (
	"math"

	"soakledger/sim/control"
	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// airWay is the air of one radiator: its fans, its core, what flows through it
// and where that goes.
type airWay struct {
	part   *spec.Part
	core   *part.Core       // nil where a conductance alone is stated
	factor *part.CoreFactor // on the core's air side, where points were measured

	fans    *fanDrive      // nil where the model turns none
	losses  part.AirSeries // core, grille, filter
	behind  *airWay        // the radiator all of whose exhaust it breathes, in one stream with it
	crosses bool           // some of its fresh air passes the wall of the case
	cross   float64        // that share, 1 where none does
	flow    float64        // through the core, m3/s; below zero where it is blown backward
	still   float64        // m3/s, the draught that stands for natural convection
	pass    network.Pass
	source  network.Source  // of the fans' power, -1 for none
	moves   bool            // the air through its core may change in a run
	setting network.Setting // then
}

// fanDrive is a row of fans and the speed it runs at.
type fanDrive struct {
	row   part.FanRow
	drive part.FanDrive
	noise float64 // dB(A), of one at its rated speed
	speed float64 // revolutions per second
	works bool    // some of it turned before any fault
}

// ratio returns the speed over the rated one.
func (f *fanDrive) ratio() float64 { return f.speed / f.drive.Rated }

// turning returns the number of fans that turn.
func (f *fanDrive) turning() int {
	if f.speed == 0 {
		return 0
	}
	return f.row.Fans() - f.row.Failed
}

// power returns the electrical power of all fans, W.
func (f *fanDrive) power() float64 {
	one, _ := f.drive.Electrical(f.ratio())
	return float64(f.turning()) * one
}

// draws reports whether they drew power before any fault.
func (f *fanDrive) draws() bool {
	one, _ := f.drive.Electrical(f.ratio())
	return f.works && one > 0
}

// level returns the sound level of all fans together, dB(A).
func (f *fanDrive) level() float64 {
	return part.EqualSources(part.SoundLevel(f.noise, f.ratio()), f.turning())
}

// through returns the air through the core (m3/s), whichever way, with the
// draught that remains when fans stand.
func (w *airWay) through() float64 { return part.WithDraught(math.Abs(w.flow), w.still) }

// airSide returns the conductance from metal to air, W/K.
func (w *airWay) airSide(air part.Air) float64 {
	g := w.core.Air(w.through(), air).Conductance * w.part.Radiator.CoreFactor.Or(1)
	if w.factor != nil {
		factor, _ := w.factor.At(w.fans.speed)
		g *= factor
	}
	return g
}

// airRate returns the capacity rate of the air through the core, W/K.
func (w *airWay) airRate(air part.Air) float64 { return w.through() * air.Density * air.SpecificHeat }

// input returns the air of the radiator's pass.
func (w *airWay) input(air part.Air) network.AirFlow {
	// A stated conductance holds whatever the air does, which so must be enough for a
	// radiator of usual effectiveness: what fans do not move takes its heat back to
	// where it came from.
	least := 0.0
	if w.core == nil {
		least = largestConductance(w.part.Radiator) / usualEffectiveness
	}
	if w.fans == nil {
		return network.AirFlow{Rate: least, Forced: 1}
	}
	moved := math.Abs(w.flow) * air.Density * air.SpecificHeat
	rate := math.Max(w.airRate(air), least)
	return network.AirFlow{Rate: rate, Forced: moved / rate, Backward: w.flow < 0}
}

// scale returns the air that crosses the wall of the case over the air that the
// fans' curve is read at: airflow_factor lies between the fans' figures and the
// air, the recirculated part does not go on, and of the rest a part may come from
// the side to which it goes.
func (w *airWay) scale() float64 {
	return w.part.Radiator.AirflowFactor.Or(1) * (1 - w.part.Radiator.Recirculation.Value) * w.cross
}

// newWay returns the air of a radiator without its flow, or nil if its figures
// cannot be.
func (b *assembler) newWay(p *spec.Part) *airWay {
	r := p.Radiator
	w := &airWay{part: p, cross: 1, source: -1}
	if hasCore(r) {
		shape := coreShape(r)
		shape.Blocked = control.Effect{Kind: control.CoreBlocked, Value: shape.Blocked}.Onto(b.damage.of(control.CoreBlocked, p.Name))
		core, err := b.plan.stock.coreShelf().get(shape, func() (*part.Core, error) { return part.NewCore(shape) })
		if err != nil {
			b.problems.add(p.Name+".core", "%s", plain(err))
			return nil
		}
		w.core = core
		w.losses = append(w.losses, core)
	}
	if w.core == nil && controls(&r.Fans.Curve) {
		b.problems.add(p.Name+".fans.curve", "a stated conductance holds whatever the fans do; let size and fans, or points and size, say what the radiator carries")
		return nil
	}
	if !hasFans(b.plan.Scenario, r) {
		return w
	}
	f := &r.Fans
	w.fans = b.fanDrive(p.Name+".fans", fanFigures{&f.Size, &f.Airflow, &f.Pressure, &f.Shape, &f.Rated, &f.Noise, &f.Power, f.Points}, fanRate(f))
	if w.fans == nil {
		return nil
	}
	w.fans.row.Count, w.fans.row.Failed = int(f.Count.Value), int(f.Failed.Value)
	b.breakFans(w.fans, p.Name)
	w.fans.row.Arrangement = part.FanArrangement(f.Arrangement)
	class := part.FanNearest(f.Size.Value)
	stop := f.Stop.Or(class.Stop.Value)
	if w.fans.speed < stop {
		w.fans.speed = 0
	}
	if faulty := b.faulty(p.Name); controls(&f.Curve) || faulty && w.fans.speed > 0 {
		rated := f.Rated.Value
		b.devices = append(b.devices, device{name: p.Name, path: p.Name + ".fans.curve", control: &f.Curve, rated: rated,
			start: math.Max(stop, math.Min(f.Start.Or(class.Start.Value), rated)) / rated, spinUp: f.SpinUp.Value / rated, stop: stop / rated, fans: w.fans, loop: b.loopOf(p), faulty: faulty, held: heldAt(&f.Curve, w.fans.ratio())})
	}
	if err := w.fans.row.Check(); err != nil {
		b.problems.add(p.Name+".fans", "%s", plain(err))
		return nil
	}
	face := f.Size.Value * f.Size.Value * f.Count.Value
	if w.core != nil {
		face = w.core.Face()
	} else {
		w.losses = append(w.losses, usualLoss(w.fans.row, face))
	}
	w.losses = append(w.losses, wallLosses(r.Grille, r.Filter, face)...)
	return w
}

// breakFans lets those fans of a row stand that faults have broken.
func (b *assembler) breakFans(f *fanDrive, name string) {
	f.works = f.row.Fans() > f.row.Failed
	if more := int(b.damage.of(control.FansFailed, name)); more > 0 {
		f.row.Failed = min(f.row.Fans(), f.row.Failed+more)
	}
}

// usualLoss returns what a radiator resists of which nothing but a conductance
// is known: it lets the usual share of the fans' free flow through.
func usualLoss(row part.FanRow, face float64) part.AirLoss {
	share := part.AirflowShare().Value
	flow := share * row.Curve.FreeFlow()
	pressure, _ := row.Curve.Pressure(flow, 1, part.StandardAirDensity)
	velocity := float64(row.Count) * flow / face
	return part.AirLoss{K: pressure / (part.StandardAirDensity * velocity * velocity / 2), Area: face}
}

// wallLosses returns what grille and filter resist on a face (m2).
func wallLosses(grille, filter string, face float64) part.AirSeries {
	var s part.AirSeries
	if k, err := part.GrilleLoss(grille); err == nil && k.Value > 0 {
		s = append(s, part.AirLoss{K: k.Value, Area: face})
	}
	if k, err := part.FilterLoss(filter); err == nil && k.Value > 0 {
		s = append(s, part.AirLoss{K: k.Value, Area: face})
	}
	return s
}

// fanDrive returns one fan with its completed figures at a speed (revolutions
// per second), or nil if these cannot be.
func (b *assembler) fanDrive(path string, f fanFigures, speed float64) *fanDrive {
	curve, err := fanCurve(f, 1)
	if err != nil {
		b.problems.add(path, "%s", plain(err))
		return nil
	}
	d := &fanDrive{
		row:   part.FanRow{Curve: curve, Count: 1},
		drive: part.FanDrive{Rated: f.rated.Value, Power: f.power.Value},
		noise: f.noise.Value, speed: speed,
	}
	if d.ratio() > mostSpeed*(1+1e-9) {
		b.problems.add(path+".speed", "%.0f rpm is more than 150 %% of the rated %.0f rpm, too far for the laws of fans; state the speed at which airflow and pressure hold, e.g. rated: 2000 rpm", 60*speed, 60*f.rated.Value)
		return nil
	}
	return d
}

// fanCurve returns the curve of a fan's completed figures, its flow times scale.
func fanCurve(f fanFigures, scale float64) (part.FanCurve, error) {
	if len(f.points) == 0 {
		return part.NewFanCurve(scale*f.airflow.Value, f.pressure.Value, f.shape.Value)
	}
	flow, pressure := make([]float64, len(f.points)), make([]float64, len(f.points))
	for i, q := range f.points {
		flow[i], pressure[i] = scale*q.Airflow.Value, q.Pressure.Value
	}
	return part.NewFanCurveFromPoints(flow, pressure)
}

// scaled is a resistance to a share of a flow: what it is read at is the flow
// over scale.
type scaled struct {
	part.AirResistance
	scale float64
}

func (s scaled) Drop(q float64, a part.Air) (dp, slope float64) {
	dp, slope = s.AirResistance.Drop(q/s.scale, a)
	return dp, slope / s.scale
}

// onto adds the fans and the losses of a radiator to a duct, whose flow is the
// air that crosses the wall of the case.
func (w *airWay) onto(d *part.Duct) {
	scale := w.scale()
	f := &w.part.Radiator.Fans
	row := w.fans.row
	row.Curve, _ = fanCurve(fanFigures{airflow: &f.Airflow, pressure: &f.Pressure, shape: &f.Shape, points: f.Points}, scale) // sound before
	d.Rows = append(d.Rows, row)
	for _, loss := range w.losses {
		d.Losses = append(d.Losses, scaled{loss, scale})
	}
}

// benchFlow returns the air through the core (m3/s) on an open bench with the
// fans at a speed, revolutions per second.
func (w *airWay) benchFlow(speed float64, air part.Air) (float64, error) {
	bench := part.Duct{Rows: []part.FanRow{w.fans.row}, Losses: part.AirSeries{w.core}}
	q, _, err := bench.Flow(0, []float64{speed / w.fans.drive.Rated}, air)
	return q * w.part.Radiator.AirflowFactor.Or(1), err
}
