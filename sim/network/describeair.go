package network

// PassDescription is a pass of air at the present inputs. Its air breathes the
// mixture S of the shares of From. With the fresh rate
// F = (1 - Recirculation) Rate, and C = Rate,
//
//	C inlet  = F S + Recirculation C outlet + power of the sources Before
//	C outlet = C inlet + sum of ties g (metal - inlet) + power of the sources Behind
//
// It takes F from From, by the shares; the part Forced of F goes, at the
// outlet's temperature, to the place behind the pass, and the rest, likewise,
// back to where it came from: to a node, or instead of an exhaust to the nodes
// To of its pass. To that place the nodes of To, by their shares, add what is
// breathed there beyond what is brought, at their temperatures, or get what is
// left, at that of the mixture there. A share of From with a Pass is air of the
// place behind that one.
//
// Backward, it takes F from the place behind it; the part Forced of F goes by
// the shares of From to nodes and to the places of passes, the rest back to the
// nodes of To.
//
// Without a Rate there is no heat from metal, and the power of the sources goes
// where the air would be breathed, and there, too, to nodes only.
type PassDescription struct {
	Name           string
	From, To       []AirShareDescription
	Recirculation  float64
	Rate, Forced   float64 // W/K; part of it
	Backward       bool
	Ties           []AirTieDescription
	Before, Behind []int // numbers of the sources that heat its air
}

// AirShareDescription is a share of the air of a node or of the place behind a
// pass.
type AirShareDescription struct {
	Node, Pass string // one of them is empty
	Share      float64
}

// AirTieDescription is a conductance g between a lump and the air at a pass's
// inlet: Share of a quantity of a circuit (W/K), or, if Circuit is empty, Share
// in W/K.
type AirTieDescription struct {
	Metal, Circuit string
	Quantity       int
	Share          float64
}

// AirStreamDescription is a stream of air at the present inputs: it carries
// Rate (W/K) times the temperature of From to To, or, if Rate is below zero, of
// To to From. The power of the Sources goes to the node to which it runs.
type AirStreamDescription struct {
	From, To string
	Rate     float64
	Sources  []int // their numbers
}

// describeAir adds passes and streams of air.
func (n *Network) describeAir(d *Description) {
	for i := range n.passes {
		p := &n.passes[i]
		pass := PassDescription{
			Name: p.name, From: n.describeEnds(p.from), To: n.describeEnds(p.to), Recirculation: p.recirculation,
			Rate: p.rate, Forced: n.in.Air[i].Forced, Backward: p.backward,
		}
		for _, x := range p.exhausts {
			pass.From = append(pass.From, AirShareDescription{Pass: n.passes[x.pass].name, Share: x.share})
		}
		for _, t := range p.ties {
			tie := AirTieDescription{Metal: n.names[t.metal], Share: t.share}
			if int(t.value) < len(n.quantity)-1 {
				tie.Circuit, tie.Quantity = n.quantityOf(t.value)
			}
			pass.Ties = append(pass.Ties, tie)
		}
		d.Passes = append(d.Passes, pass)
	}
	for i := range n.airStreams {
		l := &n.airStreams[i]
		d.AirStreams = append(d.AirStreams, AirStreamDescription{From: n.nodeName(l.from.node), To: n.nodeName(l.to.node), Rate: l.rate})
	}
	for k := range n.sources {
		switch s := &n.sources[k]; s.into {
		case intoPass:
			d.Passes[s.pass].Before = append(d.Passes[s.pass].Before, k)
		case behindPass:
			d.Passes[s.pass].Behind = append(d.Passes[s.pass].Behind, k)
		case intoStream:
			d.AirStreams[s.stream].Sources = append(d.AirStreams[s.stream].Sources, k)
		}
	}
}

// describeEnds lists the nodes of a pass.
func (n *Network) describeEnds(ends []airEnd) (shares []AirShareDescription) {
	for i := range ends {
		shares = append(shares, AirShareDescription{Node: n.nodeName(ends[i].node), Share: ends[i].share})
	}
	return shares
}
