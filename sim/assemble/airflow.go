package assemble

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"soakledger/sim/fluid"
	"soakledger/sim/network"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// airFlows is all air of a machine: the ways through its radiators, the fans and
// the vents of its case.
type airFlows struct {
	list     []*airWay // in file order
	caseFans []*caseFan
	vents    float64 // m3/s, out of the case by its vents
	vent     network.Stream
	pressure float64 // Pa, of the case over the room
}

// caseFan is a fan of the case, or several alike.
type caseFan struct {
	spec   *spec.Fan
	fans   *fanDrive
	losses part.AirSeries
	flow   float64 // m3/s, the way it is meant to blow
	stream network.Stream
}

// outside prepares the air of the room, at its first temperature.
func (b *assembler) outside() {
	a := b.plan.Scenario.Ambient
	t, pressure := a.Temperature.Value, fluid.PressureAtAltitude(a.Altitude.Value)
	ratio := 0.0
	if a.Humidity.Set {
		ratio = fluid.HumidityRatio(fluid.VapourPressure(t, a.Humidity.Value), pressure)
	}
	var err error
	if b.air, err = b.plan.stock.airShelf().get(airKind{pressure, ratio}, func() (*fluid.Table, error) { return fluid.FastAir(pressure, ratio) }); err != nil {
		b.problems.add("ambient", "%v", err)
		return
	}
	b.airState = part.AirAt(t, pressure, ratio)
	b.benchAir = part.AirAt(zeroCelsius+22, standardPressure, 0)
}

// airWays finds what flows through every radiator and every opening of the case,
// and adds it to the network. The nodes of room and case must be there.
func (b *assembler) airWays() {
	b.ways = map[string]*airWay{}
	for p := range b.plan.Scenario.Parts() {
		if p.Radiator == nil {
			continue
		}
		w := b.newWay(p)
		if w == nil {
			continue
		}
		b.ways[p.Name] = w
		b.flows.list = append(b.flows.list, w)
	}
	b.caseFans()
	if b.problems != nil {
		return
	}
	for _, w := range b.flows.list {
		b.core(w)
	}
	b.stack()
	b.solveAir()
	if b.problems == nil {
		b.movingAir()
		b.airPasses()
	}
}

// movingAir adds a setting for the air through every core, where any fans of the
// machine are controlled: it ranges between what flows with all of these at their
// least and at their greatest speeds, whatever single ones do.
func (b *assembler) movingAir() {
	var all []*device
	for i := range b.devices {
		if b.devices[i].fans != nil {
			all = append(all, &b.devices[i])
		}
	}
	if len(all) == 0 {
		return
	}
	low, high := map[*airWay]float64{}, map[*airWay]float64{}
	note := func() {
		b.solveAir()
		for _, w := range b.flows.list {
			if old, ok := low[w]; !ok || w.through() < old {
				low[w] = w.through()
			}
			high[w] = math.Max(high[w], w.through())
		}
	}
	for mask := range 1 << min(len(all), mostCorners) {
		for i, d := range all {
			least, greatest := d.span()
			d.fans.speed = least * d.rated
			if mask>>min(i, mostCorners-1)&1 == 1 {
				d.fans.speed = greatest * d.rated
			}
		}
		note()
	}
	for _, d := range all { // describe the machine with its fans at their greatest speeds
		_, greatest := d.span()
		d.fans.speed = greatest * d.rated
	}
	b.solveAir()
	for _, w := range b.flows.list {
		if w.core == nil {
			continue
		}
		w.moves = true
		w.setting = b.net.Setting(w.part.Name+" air", low[w], math.Max(high[w], low[w]*(1+1e-6)))
	}
}

// mostCorners bounds how many independent fans are tried at both ends of their
// ranges; further ones go with the last.
const mostCorners = 6

// caseFans prepares the fans of the case.
func (b *assembler) caseFans() {
	box := b.plan.Scenario.Case
	if box == nil {
		return
	}
	for i := range box.Fans {
		f := &box.Fans[i]
		count := int(f.Count.Value)
		figures := fanFigures{&f.Size, &f.Airflow, &f.Pressure, &f.Shape, &f.Rated, &f.Noise, &f.Power, f.Points}
		drive := b.fanDrive(f.Name, figures, rateOf(f.Speed, f.Rated.Value, f.Noise.Value, count))
		if drive == nil {
			continue
		}
		drive.row.Count, drive.row.Arrangement = count, part.Push
		b.breakFans(drive, f.Name)
		if drive.speed < part.FanNearest(f.Size.Value).Stop.Value {
			drive.speed = 0
		}
		if faulty := b.faulty(f.Name); controls(&f.Curve) || faulty && drive.speed > 0 {
			class := part.FanNearest(f.Size.Value)
			b.devices = append(b.devices, device{name: f.Name, path: f.Name + ".curve", control: &f.Curve, rated: f.Rated.Value,
				start: class.Start.Value / f.Rated.Value, stop: class.Stop.Value / f.Rated.Value, fans: drive, faulty: faulty, held: heldAt(&f.Curve, drive.ratio())})
		}
		face := f.Size.Value * f.Size.Value * f.Count.Value
		b.flows.caseFans = append(b.flows.caseFans, &caseFan{spec: f, fans: drive, losses: wallLosses(f.Grille, f.Filter, face)})
	}
}

// stack joins every radiator that breathes all of another one's exhaust to that
// one: they stand one behind the other in one stream.
func (b *assembler) stack() {
	taken := map[*airWay]*airWay{}
	for _, w := range b.flows.list {
		r := w.part.Radiator
		first := b.ways[r.Breathes.From]
		if first != nil && (!r.Breathes.Share.Set || r.Breathes.Share.Value == 1) {
			if other := taken[first]; other != nil {
				b.problems.add(w.part.Name+".breathes", "%s breathes all of the exhaust of %s already; give each a share, e.g. breathes: {from: %s, share: 50 %%, rest: room}",
					other.part.Name, first.part.Name, first.part.Name)
			}
			w.behind, taken[first] = first, w
		}
	}
}

// crossing finds what share of the fresh air of a stream passes the wall of the
// case on its way to where the last of its radiators blows.
func (b *assembler) crossing(stream []*airWay) {
	cross := 0.0
	for _, s := range b.breath(stream[0].part.Radiator) {
		if b.sideOf(s.from) != far(stream) {
			cross += s.share
		}
	}
	for _, w := range stream {
		if w.crosses = cross > 0; w.crosses {
			w.cross = cross
		}
	}
}

// far returns the side of the case's wall to which a stream goes.
func far(stream []*airWay) string { return stream[len(stream)-1].part.Radiator.Exhausts }

// breathShare is a share of a radiator's air by the word for where it comes from.
type breathShare struct {
	from  string
	share float64
}

// breath lists where a radiator's air comes from.
func (b *assembler) breath(r *spec.Radiator) []breathShare {
	share := r.Breathes.Share.Or(1)
	list := []breathShare{{r.Breathes.From, share}}
	if share < 1 {
		list = append(list, breathShare{r.Breathes.Rest, 1 - share})
	}
	return list
}

// sideOf returns room or case for a word for where air comes from: of a radiator,
// where its exhaust goes.
func (b *assembler) sideOf(word string) string {
	if w := b.ways[word]; w != nil {
		return w.part.Radiator.Exhausts
	}
	return word
}

// near returns the side of the case's wall from which a stream comes.
func near(stream []*airWay) string {
	if stream[0].crosses {
		return otherAir(far(stream))
	}
	return far(stream)
}

// streamsOf lists the streams of air through radiators, each from its first to its
// last.
func (b *assembler) streamsOf() [][]*airWay {
	follows := map[*airWay]*airWay{}
	for _, w := range b.flows.list {
		if w.behind != nil {
			follows[w.behind] = w
		}
	}
	var all [][]*airWay
	for _, w := range b.flows.list {
		if w.behind != nil || w.fans == nil {
			continue
		}
		stream := []*airWay{w}
		for next := follows[w]; next != nil; next = follows[next] {
			stream = append(stream, next)
		}
		b.crossing(stream)
		all = append(all, stream)
	}
	return all
}

// ductOf is a duct of the case's wall and what to do with its flow.
type ductOf struct {
	duct   part.Duct
	speeds []float64
	set    func(flow float64)
}

// solveAir finds all flows: those across the wall of the case against one
// pressure, others each by itself.
func (b *assembler) solveAir() {
	var in, out []ductOf
	for _, stream := range b.streamsOf() {
		d := b.ductOf(stream)
		switch from := near(stream); {
		case from == far(stream):
			flow, _, err := d.duct.Flow(0, d.speeds, b.airState)
			if err != nil {
				b.problems.add(stream[0].part.Name+".fans", "%s", plain(err))
			}
			d.set(flow)
		case from == roomAir:
			in = append(in, d)
		default:
			out = append(out, d)
		}
	}
	for _, f := range b.flows.caseFans {
		d := ductOf{duct: part.Duct{Rows: []part.FanRow{f.fans.row}, Losses: f.losses}, speeds: []float64{f.fans.ratio()}, set: func(flow float64) { f.flow = flow }}
		if f.spec.Moves == "in" {
			in = append(in, d)
		} else {
			out = append(out, d)
		}
	}
	if b.plan.Scenario.Case != nil {
		b.solveCase(in, out)
	}
}

// ductOf returns the duct of a stream through radiators.
func (b *assembler) ductOf(stream []*airWay) ductOf {
	var d ductOf
	for _, w := range stream {
		w.onto(&d.duct)
		d.speeds = append(d.speeds, w.fans.ratio())
	}
	d.set = func(flow float64) {
		for _, w := range stream {
			w.flow = flow / w.cross / (1 - w.part.Radiator.Recirculation.Value)
		}
	}
	return d
}

// solveCase finds the pressure of the case and all flows through its wall.
func (b *assembler) solveCase(in, out []ductOf) {
	var c part.Casing
	var speeds []float64
	for _, d := range in {
		c.In, speeds = append(c.In, d.duct), append(speeds, d.speeds...)
	}
	for _, d := range out {
		c.Out, speeds = append(c.Out, d.duct), append(speeds, d.speeds...)
	}
	if area := b.plan.Scenario.Case.Vents.Value; area > 0 {
		c.Vents = []part.AirLoss{part.Vent(area)}
	}
	flows := make([]float64, c.Flows())
	var err error
	if err = c.Check(); err == nil {
		b.flows.pressure, err = c.Solve(speeds, b.airState, flows)
	}
	if err != nil {
		b.problems.add(caseName, "the air of the case: %s", plain(err))
		return
	}
	for i, d := range append(in, out...) {
		d.set(flows[i])
	}
	if len(c.Vents) > 0 {
		b.flows.vents = flows[len(flows)-1]
	}
}

// core finds the draught of a radiator, and how measured points correct its core.
// The draught is that of a clean face in the air radiators are measured in. As a
// volume it stays the same behind dust and in thin air, which so take less heat.
func (b *assembler) core(w *airWay) {
	r := w.part.Radiator
	if w.core == nil {
		w.still = part.SectionPassive().Value / (b.benchAir.Density * b.benchAir.SpecificHeat)
		return
	}
	clean := w.core.Shape()
	clean.Blocked, clean.Covered = 0, 1
	flow := part.RadiatorTestFlow().Value
	kind := draughtKind{clean, r.CoreFactor.Or(1), w.testFilm(flow)}
	still, err := b.plan.stock.draughtShelf().get(kind, func() (float64, error) {
		whole, err := part.NewCore(clean)
		if err != nil {
			return 0, err
		}
		return whole.Draught(whole.Passive().Value, kind.factor, kind.film, flow*part.TestWater().Density*part.TestSpecificHeat, b.benchAir)
	})
	if err != nil {
		b.problems.add(w.part.Name+".core", "%s", plain(err))
		return
	}
	w.still = still
	if len(r.Points) > 0 {
		factor, err := b.measuredCore(w)
		if err != nil && b.filledIn(w.part.Name+".fans.airflow") {
			factor, err = b.moreAir(w)
		}
		if err != nil {
			b.problems.add(w.part.Name+".points", "%s, and the figures of the core; the airflow of its fans%s", plain(err), b.orAssumed(w.part.Name+".fans.airflow"))
			return
		}
		w.factor = &factor
		if least, largest := factor.Range(); least < 0.5 || largest > 2 {
			b.plan.Warnings = append(b.plan.Warnings, fmt.Sprintf("%s.points: they are %.2g to %.2g times what this core and these fans give; check the unit, per: inlet or mean, and the figures of core and fans", w.part.Name, least, largest))
		}
		if _, outside := factor.At(w.fans.speed); outside {
			b.plan.Warnings = append(b.plan.Warnings, beyondPoints(w.part))
		}
	}
}

// moreAir raises the airflow of fans of which none is stated until the measured
// points can be, and says so: what was measured tells more than what was assumed.
func (b *assembler) moreAir(w *airWay) (factor part.CoreFactor, err error) {
	r, path := w.part.Radiator, w.part.Name+".airflow_factor"
	const most, step = 2.0, 0.1
	stated := r.AirflowFactor.Value
	for more := 1 + step; more <= most; more += step {
		r.AirflowFactor = spec.Some(more * stated)
		if factor, err = b.measuredCore(w); err != nil {
			continue
		}
		b.plan.Warnings = append(b.plan.Warnings, fmt.Sprintf(
			"%s.points: they ask for more air than usual fans of that size bring, so %.2g times as much is taken; state airflow and pressure of the fans", w.part.Name, more))
		for i := range b.plan.Assumed {
			if a := &b.plan.Assumed[i]; a.Path == path {
				a.Value, a.Low, a.High = more*a.Value, more*a.Low, more*a.High
			}
		}
		return factor, nil
	}
	r.AirflowFactor = spec.Some(stated)
	return b.measuredCore(w)
}

// orAssumed says that a figure was not stated.
func (b *assembler) orAssumed(path string) string {
	if b.filledIn(path) {
		return " was assumed: state it"
	}
	return " is stated"
}

// airPasses adds what flows to the network: passes through radiators in the order
// in which they breathe one another, streams by the fans and vents of the case.
func (b *assembler) airPasses() {
	done := map[*airWay]bool{}
	var add func(w *airWay)
	add = func(w *airWay) {
		if done[w] {
			return
		}
		done[w] = true
		var from []network.AirShare
		for _, s := range b.breath(w.part.Radiator) {
			if other := b.ways[s.from]; other != nil {
				add(other)
				from = append(from, network.ExhaustOf(other.pass, s.share))
				continue
			}
			from = append(from, network.AirOf(b.airNode(s.from), s.share))
		}
		b.airPass(w, from)
	}
	for _, w := range b.flows.list {
		add(w)
	}
	if b.plan.Scenario.Case == nil {
		return
	}
	for _, f := range b.flows.caseFans {
		from, to := roomAir, caseAir
		if f.spec.Moves == "out" {
			from, to = to, from
		}
		f.stream = b.net.AirStream(b.airNode(from), b.airNode(to), b.net.Path(caseName))
		b.inputAir.stream = append(b.inputAir.stream, f.flow*b.heatOfAir())
		if power := f.fans.power(); f.fans.draws() {
			b.fanSource(b.deviceOf(f.fans), f.fans, f.spec.Name, 1, power, func(name string) network.Source { return b.net.SourceIntoStream(name, f.stream) })
		}
	}
	b.flows.vent = b.net.AirStream(b.airNode(caseAir), b.airNode(roomAir), b.net.Path(caseName))
	b.inputAir.stream = append(b.inputAir.stream, b.flows.vents*b.heatOfAir())
}

// heatOfAir returns the heat capacity of the room's air, J/(m3 K).
func (b *assembler) heatOfAir() float64 { return b.airState.Density * b.airState.SpecificHeat }

// airPass adds the pass of one radiator, and the power of its fans.
func (b *assembler) airPass(w *airWay, from []network.AirShare) {
	r := w.part.Radiator
	w.pass = b.net.AirPass(w.part.Name, network.AirPass{
		From: from, To: []network.AirShare{network.AirOf(b.airNode(r.Exhausts), 1)},
		Recirculation: r.Recirculation.Value, OneWay: w.flow >= 0 && !b.fansMove() && !b.changesAir(),
	})
	b.inputAir.air = append(b.inputAir.air, w.input(b.airState))
	if w.fans == nil || !w.fans.draws() {
		return
	}
	power, name := w.fans.power(), w.part.Name+"_fans"
	fans, d := w.fans, b.deviceOf(w.fans)
	before := map[part.FanArrangement]float64{part.Push: 1, part.Pull: 0, part.PushPull: 0.5}[w.fans.row.Arrangement]
	if before > 0 {
		b.fanSource(d, fans, name, before, power, func(name string) network.Source { return b.net.SourceInto(name, w.pass, false) })
		name += "_behind"
	}
	if before < 1 {
		b.fanSource(d, fans, name, 1-before, power, func(name string) network.Source { return b.net.SourceInto(name, w.pass, true) })
	}
}

// fanSource adds a share of the power of fans: constant, or going with their speed.
func (b *assembler) fanSource(d *device, f *fanDrive, name string, share, power float64, add func(name string) network.Source) {
	if d == nil {
		b.constantSource(name, share*power, add)
		return
	}
	source := b.constantSource(name, 0, add) // booked with the speed
	count := float64(f.row.Fans() - f.row.Failed)
	drive := f.drive
	d.source = append(d.source, Powered{source, func(ratio float64) float64 {
		one, _ := drive.Electrical(ratio)
		return share * count * one
	}})
}

// deviceOf returns what controls a row of fans, or nil.
func (b *assembler) deviceOf(f *fanDrive) *device {
	for i := range b.devices {
		if b.devices[i].fans == f {
			return &b.devices[i]
		}
	}
	return nil
}

// deviceNamed returns the controlled device of a name, or nil.
func (b *assembler) deviceNamed(name string) *device {
	for i := range b.devices {
		if b.devices[i].name == name {
			return &b.devices[i]
		}
	}
	return nil
}

// fansMove reports whether any fans of the machine are controlled.
func (b *assembler) fansMove() bool {
	for i := range b.devices {
		if b.devices[i].fans != nil {
			return true
		}
	}
	return false
}

// airNode returns the node of a word for room or case.
func (b *assembler) airNode(word string) network.Node {
	if word == caseAir {
		return b.caseNode
	}
	return b.roomNode
}

// checkAir tells why the air of the built network cannot be.
func (b *assembler) checkAir(n *network.Network, in network.Inputs) {
	joined, ok := n.CheckAir(in).(interface{ Unwrap() []error })
	if !ok {
		return
	}
	for _, err := range joined.Unwrap() {
		if errors.Is(err, network.ErrOverdrawn) {
			b.plan.Warnings = append(b.plan.Warnings, fmt.Sprintf("%s: the rest comes from where that exhaust goes; lower the share in breathes, or slow the fans that draw it", strings.TrimPrefix(err.Error(), "network: ")))
			continue
		}
		b.problems.add("loop", "the air does not balance: %v", err)
	}
}
