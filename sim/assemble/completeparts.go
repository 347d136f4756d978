package assemble

import (
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// chip fills a chip by its class.
func (c *completer) chip(chip *spec.Chip) {
	at := chip.Name + "."
	idle := c.rests(chip.Work)
	stated := chip.DieToPlate.Set && chip.DieShare.Set && chip.DieCapacity.Set && chip.SpreaderCapacity.Set && chip.Shutdown.Set
	if !stated || idle && !chip.Idle.Set {
		c.text(at+"class", &chip.Class, part.DesktopChip().Name, practice)
	}
	class, err := part.ChipClassNamed(chip.Class)
	if err != nil {
		class = part.DesktopChip() // every figure of the class is stated
	}
	c.number(at+"die_to_plate", &chip.DieToPlate, class.DieToPlate)
	c.number(at+"die_share", &chip.DieShare, class.DieShare)
	c.number(at+"die_capacity", &chip.DieCapacity, class.DieCapacity)
	c.number(at+"spreader_capacity", &chip.SpreaderCapacity, class.SpreaderCapacity)
	c.number(at+"shutdown", &chip.Shutdown, class.Shutdown)
	if idle {
		c.number(at+"idle", &chip.Idle, class.Idle)
	}
	c.leakage(at, &chip.Leakage)
}

// surroundings fills case and room where they are stated.
func (c *completer) surroundings() {
	if room := c.s.Room; room != nil {
		c.number("room.capacity", &room.Capacity, part.RoomCapacity())
		c.number("room.conductance", &room.Conductance, part.RoomConductance())
	}
	if box := c.s.Case; box != nil {
		c.number("case.volume", &box.Volume, part.CaseVolume())
		c.number("case.boards.capacity", &box.Boards.Capacity, part.CaseBoards())
		c.number("case.boards.conductance", &box.Boards.Conductance, part.CaseBoardsTie())
		c.number("case.chassis.capacity", &box.Chassis.Capacity, part.CaseChassis())
		c.number("case.chassis.conductance", &box.Chassis.Conductance, part.CaseChassisTie())
		c.number("case.conductance", &box.Conductance, part.CaseConductance())
		c.number("case.vents", &box.Vents, part.VentArea())
		for i := range box.Fans {
			c.caseFan(&box.Fans[i])
		}
	}
}

// loop fills the parts of a loop.
func (c *completer) loop(l *spec.Loop) {
	shareFlow(l)
	for p := range l.All() {
		at := p.Name + "."
		switch {
		case p.Pump != nil:
			c.pump(at, l, p)
		case p.Tube != nil:
			c.tube(at, p.Tube)
		case p.Fitting != nil:
			c.fitting(at, l, p.Fitting)
		case p.Block != nil:
			c.block(at, l, p)
		case p.Radiator != nil:
			c.radiator(at, l, p)
		case p.Reservoir != nil:
			c.reservoir(at, p)
		}
	}
}

// shareFlow gives pumps of which nothing is stated the fixed flow of another
// one in their ring: one ring has one flow, so that is no assumption.
func shareFlow(l *spec.Loop) {
	var fixed spec.Number
	for p := range l.All() {
		if p.Pump != nil && p.Pump.Flow.Set && !fixed.Set {
			fixed = p.Pump.Flow
		}
	}
	for p := range l.All() {
		if q := p.Pump; fixed.Set && q != nil && !drives(q) {
			q.Flow = fixed
		}
	}
}

// drives reports whether a pump states its flow or any figure of its curve.
func drives(p *spec.Pump) bool {
	return p.Flow.Set || p.Head.Set || p.FreeFlow.Set || len(p.Curve) > 0 || p.Rated.Set || p.Speed.Set()
}

// hydraulic reports whether pressure drops decide anything in a loop: its flow,
// or how branches share it.
func hydraulic(l *spec.Loop) bool {
	for i := range l.Parts {
		if l.Parts[i].Parallel() {
			return true
		}
	}
	for p := range l.All() {
		if p.Pump != nil && !p.Pump.Flow.Set {
			return true
		}
	}
	return false
}

// holds fills the coolant in a part whose weights do not tell it.
func (c *completer) holds(at string, p *spec.Part, usual part.Default) {
	if !weighed(p) {
		c.number(at+"holds", &p.Holds, usual)
	}
}

// pump fills a pump by its class, of which the mass of a pump that was not
// weighed is always taken.
func (c *completer) pump(at string, l *spec.Loop, p *spec.Part) {
	pump := p.Pump
	driven := !pump.Flow.Set
	curve := len(pump.Curve) > 0 || pump.Head.Set && pump.FreeFlow.Set
	rated := pump.Rated.Set || !pump.Speed.Rate.Set
	powered := p.Power.Set() || p.Work != ""
	if driven && !(curve && rated) || !powered || !weighed(p) {
		c.text(at+"class", &pump.Class, usualPump(l), practice)
	}
	class := pumpClass(pump)
	if driven && len(pump.Curve) == 0 {
		c.number(at+"head", &pump.Head, class.Head)
		c.number(at+"free_flow", &pump.FreeFlow, class.Free)
	}
	if driven && !pump.Speed.Set() {
		if !controls(&pump.Control) {
			c.number(at+"speed", &pump.Speed.Share, part.PumpSpeed())
		}
	}
	if pump.Speed.Rate.Set || controls(&pump.Control) {
		c.number(at+"rated", &pump.Rated, class.Rated)
	}
	if !powered {
		c.number(at+"power", &p.Power.Watts, class.Power)
	}
	c.holds(at, p, class.Holds)
}

// pumpClass returns a pump's class, the larger one if everything that it would
// tell is stated.
func pumpClass(p *spec.Pump) part.PumpClass {
	if class, err := part.PumpClassNamed(p.Class); err == nil {
		return class
	}
	return part.LargePump()
}

// usualPump returns the class of pump that a loop usually has: one block and
// one radiator ask for a small one.
func usualPump(l *spec.Loop) string {
	blocks, radiators := 0, 0
	for p := range l.All() {
		if p.Block != nil {
			blocks++
		}
		if p.Radiator != nil {
			radiators++
		}
	}
	if blocks > 1 || radiators > 1 {
		return part.LargePump().Name
	}
	return part.SmallPump().Name
}

// tube fills a tube, whose wall counts even where its coolant was measured.
func (c *completer) tube(at string, t *spec.Tube) {
	c.number(at+"bore", &t.Bore, part.TubeBore())
	c.number(at+"length", &t.Length, part.TubeLength())
	c.number(at+"wall", &t.Wall, part.TubeWall())
	c.text(at+"material", &t.Material, part.EPDM().Name, practice)
	if !t.Bends.Set {
		t.Bends = spec.Some(0) // what is not stated is not there
	}
}

// fitting fills a fitting. One that is called a pair of couplings and states
// neither bore nor loss is known by its drop.
func (c *completer) fitting(at string, l *spec.Loop, f *spec.Fitting) {
	if !f.Count.Set {
		f.Count = spec.Some(1)
	}
	if !hydraulic(l) || len(f.Drop) > 0 {
		c.text(at+"class", &f.Class, "fitting", practice) // its mass comes from the class
		return
	}
	if f.Class == couplingPair && !f.Bore.Set && !f.Loss.Set {
		c.drop(at, &f.Drop, couplingPair)
		return
	}
	c.text(at+"class", &f.Class, "fitting", practice)
	c.number(at+"bore", &f.Bore, part.TubeBore())
	loss := part.FittingLoss()
	if f.Class == "elbow" {
		loss = part.ElbowLoss()
	}
	c.number(at+"loss", &f.Loss, loss)
}

// couplingPair is the class of fitting whose drop is measured as a whole.
const couplingPair = "coupling pair"

// drop fills a pressure drop by its class.
func (c *completer) drop(at string, drop *[]spec.FlowDrop, class string) {
	if len(*drop) > 0 {
		return
	}
	usual, err := part.ResistanceClassNamed(class)
	if err != nil {
		panic("assemble: " + err.Error()) // the words are this package's own
	}
	*drop = []spec.FlowDrop{{Flow: spec.Some(part.StatedFlow)}}
	c.number(at+"drop[0].drop", &(*drop)[0].Drop, usual.Drop)
}

// block fills a block by its class. Its metal is that of the plate if that is
// stated, else all that was weighed.
func (c *completer) block(at string, l *spec.Loop, p *spec.Part) {
	b := p.Block
	if b.PlateMass.Set || weighed(p) && !b.PlateCapacity.Set {
		c.text(at+"material", &b.Material, part.Copper().Name, practice)
	}
	if weighed(p) && !b.PlateCapacity.Set && !b.PlateMass.Set {
		b.PlateCapacity = spec.Some(capacityOf(b.Material, p.Empty.Value))
	}
	plate := b.PlateCapacity.Set || b.PlateMass.Set
	if !b.FilmConductance.Set || !weighed(p) || hydraulic(l) && len(b.Drop) == 0 {
		c.text(at+"class", &b.Class, c.usualBlock(b), practice) // its mass comes from the class, too
	}
	class := blockClass(b)
	c.number(at+"film_conductance", &b.FilmConductance, class.Film)
	c.number(at+"test_flow", &b.TestFlow, part.RadiatorTestFlow())
	if !plate {
		c.number(at+"plate_capacity", &b.PlateCapacity, class.PlateCapacity)
	}
	c.holds(at, p, class.Holds)
	if hydraulic(l) {
		c.drop(at, &b.Drop, class.Name)
	}
}

// blockClass returns a block's class; without one every figure of it is stated.
func blockClass(b *spec.Block) part.BlockClass {
	if class, err := part.BlockClassNamed(b.Class); err == nil {
		return class
	}
	return part.BlockClasses()[0]
}

// usualBlock returns the class of block for the chip it cools: one that covers
// a whole card if the chip is a bare die.
func (c *completer) usualBlock(b *spec.Block) string {
	for _, chip := range c.s.Chips {
		if chip.Name == b.Cools && chip.Class == part.GraphicsChip().Name {
			return part.BlockClasses()[1].Name
		}
	}
	return part.BlockClasses()[0].Name
}

// reservoir fills a reservoir.
func (c *completer) reservoir(at string, p *spec.Part) {
	r := p.Reservoir
	c.text(at+"material", &r.Material, part.Acrylic().Name, practice)
	if p.Holds.Set || weighed(p) || r.Volume.Set {
		return
	}
	c.text(at+"class", &r.Class, "typical", practice)
	if class, err := part.ReservoirClassNamed(r.Class); err == nil {
		c.number(at+"volume", &r.Volume, class.Volume)
	}
}
