package assemble

import (
	"math"

	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// Words for where air comes from and goes to.
const (
	roomAir = "room"
	caseAir = "case"
)

// sides fills where a radiator's air comes from and goes to: by what is stated,
// else by its mount. In a case of which nothing is said it is taken to hang in
// the front.
func (c *completer) sides(at string, p *spec.Part) {
	r := p.Radiator
	if c.s.Case == nil {
		fillWord(&r.Breathes.From, roomAir)
		fillWord(&r.Exhausts, roomAir)
		return
	}
	if r.Breathes.From == "" && r.Exhausts == "" {
		c.text(at+"mount", &r.Mount, "front", practice)
	}
	from, to := mounted(r.Mount)
	switch {
	case from != "":
	case r.Breathes.From == roomAir:
		from, to = roomAir, caseAir
	case breathesOther(r):
		to = c.exhaustOf(r.Breathes.From)
	case r.Breathes.From != "":
		from, to = caseAir, roomAir
	default:
		from, to = otherAir(r.Exhausts), r.Exhausts
	}
	fillWord(&r.Breathes.From, from)
	if r.Mount == "" {
		c.text(at+"exhausts", &r.Exhausts, to, practice)
	}
	fillWord(&r.Exhausts, to)
	if inCase(r) {
		c.number(at+"recirculation", &r.Recirculation, part.Recirculation())
	}
}

// exhaustOf returns where the exhaust of the named radiator goes, filled or not:
// what stands behind it blows there, too.
func (c *completer) exhaustOf(name string) string {
	for p := range c.s.Parts() {
		if p.Name != name || p.Radiator == nil {
			continue
		}
		r := p.Radiator
		_, to := mounted(r.Mount)
		switch {
		case r.Exhausts != "":
			return r.Exhausts
		case to != "":
			return to
		case r.Breathes.From == caseAir:
			return roomAir
		case breathesOther(r):
			return c.exhaustOf(r.Breathes.From)
		}
	}
	return caseAir
}

// mounted returns where the air of a radiator comes from and goes to by where it
// hangs.
func mounted(mount string) (from, to string) {
	switch mount {
	case "bottom", "front":
		return roomAir, caseAir
	case "top", "rear":
		return caseAir, roomAir
	case "outside":
		return roomAir, roomAir
	}
	return "", ""
}

// otherAir returns the other side of the case's wall.
func otherAir(side string) string {
	if side == roomAir {
		return caseAir
	}
	return roomAir
}

// fillWord sets a word that follows from others.
func fillWord(word *string, value string) {
	if *word == "" {
		*word = value
	}
}

// fillNumber sets a number that follows from others.
func fillNumber(n *spec.Number, value float64) {
	if !n.Set {
		*n = spec.Some(value)
	}
}

// inCase reports whether a radiator with its sides filled touches the air of the
// case.
func inCase(r *spec.Radiator) bool {
	return r.Breathes.From == caseAir || r.Breathes.Rest == caseAir || r.Exhausts == caseAir
}

// hasFans reports whether a radiator, with its sides filled, has fans that the
// model turns. A stated conductance holds whatever they do; where its air goes
// into a case, or to another radiator, they count all the same.
func hasFans(s *spec.Scenario, r *spec.Radiator) bool {
	f := &r.Fans
	if hasCore(r) || f.Airflow.Set || len(f.Points) > 0 || inCase(r) || r.Recirculation.Value > 0 {
		return true
	}
	return breathesOther(r) || breathed(s, r)
}

// breathed reports whether another radiator breathes this one's exhaust.
func breathed(s *spec.Scenario, r *spec.Radiator) bool {
	name := ""
	for p := range s.Parts() {
		if p.Radiator == r {
			name = p.Name
		}
	}
	for p := range s.Parts() {
		if q := p.Radiator; q != nil && (q.Breathes.From == name || q.Breathes.Rest == name) {
			return true
		}
	}
	return false
}

// breathesOther reports whether a radiator breathes another one's exhaust.
func breathesOther(r *spec.Radiator) bool {
	for _, word := range []string{r.Breathes.From, r.Breathes.Rest} {
		if word != "" && word != roomAir && word != caseAir {
			return true
		}
	}
	return false
}

// radiatorFans fills the fans of a radiator by the size of their frames.
func (c *completer) radiatorFans(at string, r *spec.Radiator) {
	f := &r.Fans
	if edge, count := fanFit(r); count > 0 { // they follow from the radiator's size
		fillNumber(&f.Size, edge)
		fillNumber(&f.Count, count)
	}
	c.number(at+"fans.size", &f.Size, part.CaseFanSize())
	c.text(at+"fans.arrangement", &f.Arrangement, string(part.Push), practice)
	figures := fanFigures{&f.Size, &f.Airflow, &f.Pressure, &f.Shape, &f.Rated, &f.Noise, &f.Power, f.Points}
	c.fanFigures(at+"fans.", figures)
	if !controls(&f.Curve) {
		c.speed(at+"fans.speed", &f.Speed, part.FanSpeed())
	}
	c.number(at+"fans.count", &f.Count, fansFor(r))
	if inCase(r) {
		c.text(at+"grille", &r.Grille, "open mesh", practice)
	}
}

// fanFit returns the edge of the fans that fit a radiator, and how many; none if
// its size is unknown.
func fanFit(r *spec.Radiator) (edge, count float64) {
	if r.Size.Set {
		size := sizeOf(r)
		return size.Section, float64(size.Sections)
	}
	if f := r.Core.Face; f.Width.Set {
		long, short := math.Max(f.Width.Value, f.Height.Value), math.Min(f.Width.Value, f.Height.Value)
		for _, class := range part.FanClasses() {
			if class.Size <= short+0.005 {
				edge = class.Size
			}
		}
		if edge == 0 {
			edge = part.FanClasses()[0].Size
		}
		return edge, math.Max(1, math.Floor((long+0.005)/edge)) * math.Max(1, math.Floor((short+0.005)/edge))
	}
	return 0, 0
}

// usualEffectiveness is the conductance over coolant and air inlet of a usual
// radiator, over the capacity rate of its air (common practice, no source).
const usualEffectiveness = 0.6

// fansFor returns how many fans, with all else of them filled, bring the air for
// the stated conductances of a radiator of unknown size.
func fansFor(r *spec.Radiator) part.Default {
	f := &r.Fans
	flow := f.Airflow.Value
	if n := len(f.Points); n > 0 {
		flow = f.Points[n-1].Airflow.Value
	}
	one := part.CoreAir{Free: flow, Rated: f.Rated.Value, Share: part.AirflowShare().Value}
	count := 1.0
	enough := func(conductance, speed float64) {
		const heat = 1006 // J/(kg K), of dry air near 300 K
		carried := usualEffectiveness * one.CapacityRate(orRated(speed, f.Rated.Value), part.StandardAirDensity, heat)
		count = math.Max(count, math.Min(math.Ceil(conductance/carried), mostFans))
	}
	enough(r.Conductance.Value, fanRate(f))
	for _, p := range r.Points {
		enough(p.Conductance.Value, p.Speed.Value)
	}
	return part.Default{Value: count, Low: 1, High: mostFans, Dimension: spec.Count, Source: practice}
}

// mostFans is how many fans a radiator may have.
const mostFans = 64

// fanFigures are the figures of one fan, wherever it stands.
type fanFigures struct {
	size, airflow, pressure, shape, rated, noise, power *spec.Number
	points                                              []spec.AirflowPressure
}

// fanFigures fills what is not stated of a fan by the size of its frame, and by
// the fan laws from what is: a rated speed other than the usual one carries
// airflow, pressure, noise and power with it, an airflow its pressure.
func (c *completer) fanFigures(at string, f fanFigures) {
	class := part.FanNearest(f.size.Value)
	c.number(at+"rated", f.rated, class.Rated)
	ratio := f.rated.Value / class.Rated.Value
	curve := len(f.points) > 0
	if !curve {
		c.number(at+"airflow", f.airflow, times(class.Free, ratio, spec.Airflow))
		flow := f.airflow.Value / class.Free.Value
		c.number(at+"pressure", f.pressure, times(class.ShutOff, flow*flow, spec.Pressure))
		c.number(at+"shape", f.shape, part.FanShape())
	}
	louder := part.FanScale{Speed: ratio, Size: 1, Density: 1}.Sound()
	noise := class.Noise
	noise.Value, noise.Low, noise.High = noise.Value+louder, noise.Low+louder, noise.High+louder
	c.number(at+"noise", f.noise, noise)
	c.number(at+"power", f.power, times(class.Power, ratio*ratio*ratio, spec.PowerFlow))
}

// caseFan fills a fan of the case.
func (c *completer) caseFan(f *spec.Fan) {
	at := f.Name + "."
	if !f.Count.Set {
		f.Count = spec.Some(1)
	}
	c.number(at+"size", &f.Size, part.CaseFanSize())
	c.fanFigures(at, fanFigures{&f.Size, &f.Airflow, &f.Pressure, &f.Shape, &f.Rated, &f.Noise, &f.Power, f.Points})
	if !f.Speed.Set() && !controls(&f.Curve) {
		f.Speed = spec.Speed{Rate: f.Rated}
	}
	c.text(at+"grille", &f.Grille, "open mesh", practice)
}

// speed sets s to the default if it is unset, and lists it.
func (c *completer) speed(path string, s *spec.Speed, d part.Default) {
	if s.Set() {
		return
	}
	*s = spec.Speed{Rate: spec.Some(d.Value)}
	c.assumed = append(c.assumed, spec.Assumed{Path: path, Value: d.Value, Dimension: d.Dimension, Low: d.Low, High: d.High, Source: d.Source})
}

// fanRate returns the speed that the fans of a completed radiator run at,
// revolutions per second.
func fanRate(f *spec.Fans) float64 {
	if controls(&f.Curve) { // the greatest that it asks for stands for it
		_, high := controlRange(&f.Curve, f.Rated.Value)
		return high * f.Rated.Value
	}
	rows := 1
	if f.Arrangement == string(part.PushPull) {
		rows = 2
	}
	return rateOf(f.Speed, f.Rated.Value, f.Noise.Value, rows*int(f.Count.Value))
}

// rateOf returns a speed in revolutions per second: as stated, as a share of the
// rated one, or as that at which count fans of a level at rated speed reach the
// stated level.
func rateOf(s spec.Speed, rated, noise float64, count int) float64 {
	switch {
	case s.Share.Set:
		return s.Share.Value * rated
	case s.Level.Set:
		return rated * part.SpeedForLevel(s.Level.Value, noise, count)
	}
	return s.Rate.Value
}
