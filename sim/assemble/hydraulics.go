package assemble

import (
	"strings"

	"soakledger/sim/control"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// resistance returns the pressure drop of a part, with what faults have added to it.
func (b *assembler) resistance(p *spec.Part) part.Resistance {
	if factor := b.damage.of(control.FlowRestriction, p.Name); factor != 1 {
		return part.Restricted{Resistance: b.ownResistance(p), Factor: factor}
	}
	return b.ownResistance(p)
}

// resists reports whether a part resists the flow.
func (b *assembler) resists(p *spec.Part) bool {
	const someFlow = 1e-5 // m3/s
	drop, _ := b.ownResistance(p).Drop(someFlow, part.TestWater())
	return drop > 0
}

// ownResistance returns the pressure drop of a part as it was built.
func (b *assembler) ownResistance(p *spec.Part) part.Resistance {
	switch {
	case p.Tube != nil:
		t := p.Tube
		return part.Tube{Bore: t.Bore.Value, Length: t.Length.Value, Roughness: part.TubeRoughness().Value, Loss: t.Bends.Value * part.BendLoss().Value}
	case p.Fitting != nil:
		return b.fittingResistance(p)
	case p.Block != nil:
		return b.points(p.Name, p.Block.Drop, 1)
	case p.Radiator != nil:
		if w := b.ways[p.Name]; len(p.Radiator.Drop) == 0 && w != nil && w.core != nil {
			return w.core.Tubes()
		}
		return b.points(p.Name, p.Radiator.Drop, 1)
	}
	return part.Series(nil) // a reservoir or a pump resists next to nothing beside the rest
}

// fittingResistance returns the drop of all fittings of one kind.
func (b *assembler) fittingResistance(p *spec.Part) part.Resistance {
	f := p.Fitting
	if len(f.Drop) > 0 {
		return b.points(p.Name, f.Drop, f.Count.Value)
	}
	return part.Loss{K: f.Count.Value * f.Loss.Value, Bore: f.Bore.Value}
}

// points returns a stated pressure drop, times count.
func (b *assembler) points(name string, list []spec.FlowDrop, count float64) part.Resistance {
	if len(list) == 0 {
		return part.Series(nil) // pressure decides nothing in this loop
	}
	flow, drop := make([]float64, len(list)), make([]float64, len(list))
	for i, d := range list {
		flow[i], drop[i] = d.Flow.Value, count*d.Drop.Value
	}
	points, err := part.NewPoints(flow, drop)
	if err != nil {
		b.problems.add(name+".drop", "%s", plain(err))
		return part.Series(nil)
	}
	return points
}

// pumpCurve returns a pump's curve at its rated speed.
func (b *assembler) pumpCurve(p *spec.Part) (part.PumpCurve, bool) {
	pump := p.Pump
	if len(pump.Curve) == 0 {
		curve, err := part.NewPumpCurve(pump.Head.Value, pump.FreeFlow.Value)
		if err != nil {
			b.problems.add(p.Name+".head", "a pump without head moves nothing; state its head at no flow, e.g. head: 3.6 m, and let it stand by speed: 0 %%")
		}
		return curve, err == nil
	}
	flow, head := make([]float64, len(pump.Curve)), make([]float64, len(pump.Curve))
	for i, c := range pump.Curve {
		flow[i], head[i] = c.Flow.Value, c.Head.Value
	}
	curve, err := part.NewPumpCurveFromPoints(flow, head)
	if err != nil {
		b.problems.add(p.Name+".curve", "%s", strings.TrimPrefix(plain(err), "pump curve: "))
	}
	return curve, err == nil
}

// mostSpeed is the largest speed over the rated one to which the affinity laws
// carry a curve.
const mostSpeed = 1.5

// speedRatio returns the speed of a pump over its rated one.
func (b *assembler) speedRatio(p *spec.Part) float64 {
	pump := p.Pump
	if controls(&pump.Control) { // the greatest that it asks for stands for it
		_, high := controlRange(&pump.Control, pump.Rated.Value)
		return high
	}
	if !pump.Speed.Rate.Set {
		return pump.Speed.Share.Value
	}
	ratio := pump.Speed.Rate.Value / pump.Rated.Value
	if ratio > mostSpeed*(1+1e-9) {
		b.problems.add(p.Name+".speed", "%.0f rpm is more than 150 %% of the rated %.0f rpm, too far for the laws of pumps; state the speed at which curve and power hold, e.g. rated: 4800 rpm", 60*pump.Speed.Rate.Value, 60*pump.Rated.Value)
	}
	return ratio
}

// plain returns an error's text without the name of the package it is from.
func plain(err error) string { return strings.ReplaceAll(err.Error(), "part: ", "") }
