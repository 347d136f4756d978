package network

import (
	"errors"
	"fmt"
	"math"
)

// ErrOverdrawn is wrapped by the error of CheckAir for every pass whose exhaust
// does not cover what runs on through those that breathe it, and for nothing
// else. F is sound all the same: see AirPass for where the rest comes from.
var ErrOverdrawn = errors.New("more of its exhaust is breathed than there is")

// airBalance is how far the air into and out of a lump, or a place, may differ,
// as a part of both together.
const airBalance = 1e-9

// CheckAir reports what cannot be of the flows of air in, of this network's
// lengths: a rate that is not finite, below zero, or zero where metal is tied
// to it; a forced share not from 0 to 1; a pass of one way that runs backward;
// an exhaust of which more is breathed than there is (only of air that runs on:
// a draught gives back what it takes); a lump that gets in another amount of
// air than goes out, as its mass would change. The error joins all of it. It
// allocates only for errors, and what is set stays as it is.
func (n *Network) CheckAir(in Inputs) error {
	n.mustFit(in)
	errs := n.impossibleAir(in)
	if errs == nil {
		n.spreadAir(in.Air)
		errs = append(n.overdrawn(), n.unbalanced(in.Stream)...)
		n.spreadAir(n.in.Air)
	}
	return errors.Join(errs...)
}

// impossibleAir returns what is wrong with single flows.
func (n *Network) impossibleAir(in Inputs) (errs []error) {
	wrong := func(format string, args ...any) { errs = append(errs, fmt.Errorf("network: "+format, args...)) }
	for i := range n.passes {
		p, f := &n.passes[i], flowOfPass(in.Air, i)
		switch {
		case !(f.Rate >= 0) || math.IsInf(f.Rate, 1):
			wrong("pass %s: a rate of %g W/K is not zero or above and finite", p.name, f.Rate)
		case !(f.Forced >= 0 && f.Forced <= 1):
			wrong("pass %s: a forced share of %g is not from 0 to 1", p.name, f.Forced)
		case f.Rate == 0 && p.tied():
			wrong("pass %s: metal is tied to its air, but there is none", p.name)
		}
	}
	for i, rate := range in.Stream {
		if l := &n.airStreams[i]; math.IsNaN(rate) || math.IsInf(rate, 0) {
			wrong("air %s to %s: a rate of %g W/K is not finite", n.nodeName(l.from.node), n.nodeName(l.to.node), rate)
		}
	}
	return errs
}

// tied reports whether metal can warm the pass's air.
func (p *passLink) tied() bool {
	for i := range p.ties {
		if p.ties[i].share > 0 {
			return true
		}
	}
	return false
}

// overdrawn returns the passes that run forward and behind which more air is
// drawn on than comes.
func (n *Network) overdrawn() (errs []error) {
	drawn := n.airScratch[:len(n.passes)]
	clear(drawn)
	for i := range n.passes {
		if p := &n.passes[i]; !p.backward {
			for _, x := range p.exhausts {
				drawn[x.pass] += x.share * p.forced
			}
		}
	}
	for i := range n.passes {
		if p := &n.passes[i]; !p.backward && drawn[i] > p.in+airBalance*(p.in+drawn[i]) {
			errs = append(errs, fmt.Errorf("network: pass %s: %w: %.6g of %.6g W/K", p.name, ErrOverdrawn, drawn[i], p.in))
		}
	}
	return errs
}

// unbalanced returns the lumps whose mass of air would change.
func (n *Network) unbalanced(streams []float64) (errs []error) {
	lumps := len(n.names)
	in, out := n.airScratch[:lumps], n.airScratch[lumps:2*lumps]
	clear(in)
	clear(out)
	move := func(e *airEnd, taken, given float64) {
		if e.lump {
			out[e.node] += e.share * taken
			in[e.node] += e.share * given
		}
	}
	n.eachPassEnd(move)
	for i, rate := range streams {
		l := &n.airStreams[i]
		move(&l.from, max(rate, 0), max(-rate, 0))
		move(&l.to, max(-rate, 0), max(rate, 0))
	}
	for i, name := range n.names {
		if !(math.Abs(in[i]-out[i]) <= airBalance*(in[i]+out[i])) {
			errs = append(errs, fmt.Errorf("network: %s takes in %.10g but gives out %.10g W/K of air, so its mass would change", name, in[i], out[i]))
		}
	}
	return errs
}

// eachPassEnd calls move with the rates (W/K) that the passes take from each of
// their ends and give there; they are for the shares of the ends to be
// multiplied by.
func (n *Network) eachPassEnd(move func(e *airEnd, taken, given float64)) {
	for i := range n.passes {
		p := &n.passes[i]
		taken, given := p.atFront()
		for k := range p.from {
			move(&p.from[k], taken, given)
		}
		back := 0.0
		if p.backward {
			back = p.draught()
		}
		for k := range p.to {
			move(&p.to[k], p.lack(), p.rest()+back)
		}
		if p.backward {
			continue
		}
		for _, x := range p.exhausts {
			behind := &n.passes[x.pass]
			for k := range behind.to {
				move(&behind.to[k], 0, x.share*p.draught())
			}
		}
	}
}
