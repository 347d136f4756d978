package assemble

import (
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// air looks at the air of radiators and case.
func (f *finder) air() {
	for _, a := range f.plan.Air {
		var r *spec.Radiator
		for p := range f.s.Parts() {
			if p.Name == a.Name {
				r = p.Radiator
			}
		}
		f.room(a, r)
		f.moves(a, r)
		if a.Core {
			f.againstBand(a, r)
			if a.Beyond != "" {
				f.add(a.Name+".core.fins", "%s; the band of core_factor is wider for it", a.Beyond)
			}
		}
	}
	if c := f.plan.CaseAir; c != nil {
		for _, fan := range c.Fans {
			if fan.Flow < 0 {
				f.add(fan.Name, "the other fans blow %.3g m3/h backward through it; turn it round (moves), speed it up, or open vents", -3600*fan.Flow)
			}
		}
	}
}

// room looks whether core and fans fit.
func (f *finder) room(a AirWay, r *spec.Radiator) {
	if c := r.Clearance; c.Set && a.Stack > c.Value*(1+1e-9) {
		f.add(a.Name+".clearance", "core and fans take %s, but there are %s; take a thinner core, slimmer fans, or fans on one side only",
			trade(a.Stack, spec.Length), trade(c.Value, spec.Length))
	}
}

// moves looks for radiators that get no air, or get it from the wrong side.
func (f *finder) moves(a AirWay, r *spec.Radiator) {
	switch asked := fanRate(&r.Fans); {
	case a.Fans == 0:
	case a.Airflow < 0:
		f.add(a.Name+".fans", "the other fans of the case blow %.3g m3/h backward through it; speed its fans up, turn the others down, or open vents", -3600*a.Airflow)
	case a.Speed == 0 && asked > 0:
		f.add(a.Name+".fans.speed", "%s is below the %s at which such fans stop, so they stand; ask for more, or state fans.stop",
			trade(asked, spec.RotationSpeed), trade(r.Fans.Stop.Or(part.FanNearest(r.Fans.Size.Value).Stop.Value), spec.RotationSpeed))
	case a.Speed > 0 && a.Airflow < 1e-6:
		f.add(a.Name+".fans", "its fans turn but move no air: something is closed, or nothing lets the air of the case out or in; add vents")
	}
}

// againstBand compares what the model gives with what radiators of the size
// usually carry on an open bench at that speed.
func (f *finder) againstBand(a AirWay, r *spec.Radiator) {
	if !(a.Speed > 0) || r.Fans.Arrangement == string(part.PushPull) {
		return
	}
	width, height := faceOf(r)
	const section = 0.120 * 0.120
	sections := width * height / section
	one := part.SectionConductance(a.Speed, 0.120)
	switch per := a.Conductance / sections; {
	case per < one.Low:
		f.add(a.Name+".core", "%s in all is %s for 120 mm of it, below the %s from small cases with grilles to open benches at %s; check the figures of fans and core, filters and vents",
			trade(a.Conductance, spec.Conductance), trade(per, spec.Conductance), tradeRange(one.Low, one.High, spec.Conductance), trade(a.Speed, spec.RotationSpeed))
	case per > one.High:
		f.add(a.Name+".core", "%s in all is %s for 120 mm of it, above the %s of radiators at %s; check the figures of fans and core",
			trade(a.Conductance, spec.Conductance), trade(per, spec.Conductance), tradeRange(one.Low, one.High, spec.Conductance), trade(a.Speed, spec.RotationSpeed))
	}
}
