package spec

// Scenario is everything a file states about one machine and its work.
type Scenario struct {
	Title    string  `spec:"title" eg:"Office workstation" doc:"one line that names the scenario"`
	Note     string  `spec:"note" eg:"measured in May" doc:"free text, carried along"`
	Ambient  Ambient `spec:"ambient" short:"temperature" doc:"the room around the machine"`
	Coolant  Coolant `spec:"coolant" short:"fluid" doc:"what fills the loop"`
	Room     *Room   `spec:"room" doc:"a closed room that warms; its surroundings are then the ambient"`
	Case     *Case   `spec:"case" doc:"air, boards and panels around the loop, as one mass"`
	Chips    []Chip  `spec:"chips" doc:"heat sources with a die, a spreader and a block on top"`
	Loops    []Loop  `spec:"loops" doc:"coolant loops; loop: is short for one entry"`
	Lumps    []Lump  `spec:"lumps" doc:"free masses beside the parts"`
	Links    []Link  `spec:"links" doc:"free conductances and coolant streams between lumps"`
	Work     []Work  `spec:"work" doc:"patterns of requested power"`
	Start    Start   `spec:"start" one:"ambient|idle|level" eg:"level" doc:"temperatures at time zero"`
	Duration Number  `spec:"duration" dim:"time" min:"1e-3" max:"3.6e7" eg:"80 min" doc:"length of the run; the end of the work if not stated"`
	Record   Record  `spec:"record" doc:"what the trace keeps"`
	Figures  Figures `spec:"figures" doc:"settings of the soak figures"`
	Solver   Solver  `spec:"solver" doc:"accuracy of the integration"`
}

// Ambient is the room: fixed in this version of the model.
type Ambient struct {
	Temperature Number `spec:"temperature" dim:"temperature" min:"233.15" max:"343.15" eg:"22 degC" doc:"air temperature of the room"`
	Humidity    Number `spec:"humidity" dim:"ratio" min:"0.01" max:"1" eg:"50 %" doc:"relative humidity of the room, for the dew point"`
}

// Room is a closed room as one mass of air and furnishings. Without it the
// ambient is the room itself; an empty one is a room of the usual figures.
type Room struct {
	Capacity    Number `spec:"capacity" dim:"capacity" min:"1000" max:"1e9" eg:"300 kJ/K" doc:"heat capacity of air and the skin of furnishings"`
	Conductance Number `spec:"conductance" dim:"conductance" min:"0.1" max:"1e5" eg:"40 W/K" doc:"loss to its surroundings"`
}

// Case is the air, boards and panels around the loop. Without it the parts
// stand in the room; an empty one is a case of the usual figures.
type Case struct {
	Capacity    Number `spec:"capacity" dim:"capacity" min:"10" max:"1e6" eg:"5 kJ/K" doc:"heat capacity of air, boards and panels"`
	Conductance Number `spec:"conductance" dim:"conductance" min:"0.01" max:"1000" eg:"5 W/K" doc:"from the case to the room, panels and air exchange together"`
	OtherHeat   Power  `spec:"other_heat" dim:"power" min:"0" max:"5000" eg:"45 W" doc:"heat of everything in the case that the loop does not cool"`
	Work        string `spec:"work" eg:"render" doc:"name of the work pattern the other heat follows"`
}

// Coolant names the fluid. A constant fluid needs Density and SpecificHeat and
// exists for closed-form cases.
type Coolant struct {
	Fluid        string `spec:"fluid" one:"water|ethylene glycol|propylene glycol|constant" eg:"water" doc:"kind of coolant"`
	MassShare    Number `spec:"mass_share" dim:"ratio" min:"0" max:"0.6" eg:"30 %" doc:"glycol by mass"`
	VolumeShare  Number `spec:"volume_share" dim:"ratio" min:"0" max:"0.6" eg:"20 %" doc:"glycol by volume before mixing"`
	Density      Number `spec:"density" dim:"density" min:"500" max:"2000" eg:"998 kg/m3" doc:"of a constant fluid"`
	SpecificHeat Number `spec:"specific_heat" dim:"specific_heat" min:"500" max:"10000" eg:"4180 J/(kg K)" doc:"of a constant fluid"`
}

// Chip is a heat source seen as a ladder: die, spreader, and the cold plate of
// the block that cools it.
type Chip struct {
	Name             string  `spec:"name" eg:"cpu" doc:"unique name"`
	Class            string  `spec:"class" one:"desktop with spreader|compact desktop|workstation|bare die graphics" eg:"workstation" doc:"kind of chip, for what is not stated"`
	Power            Power   `spec:"power" dim:"power" min:"0" max:"5000" eg:"210 W" doc:"requested electrical power; the full load of a pattern"`
	Idle             Number  `spec:"idle" dim:"power" min:"0" max:"5000" eg:"15 W" doc:"requested power when a pattern rests"`
	Work             string  `spec:"work" eg:"render" doc:"name of the work pattern it follows"`
	DieToPlate       Number  `spec:"die_to_plate" dim:"resistance" min:"1e-4" max:"20" eg:"0.12 K/W" doc:"resistance from die to cold plate"`
	DieShare         Number  `spec:"die_share" dim:"ratio" min:"0.01" max:"0.99" eg:"40 %" doc:"part of die_to_plate that lies between die and spreader"`
	DieCapacity      Number  `spec:"die_capacity" dim:"capacity" min:"1e-3" max:"1000" eg:"3 J/K" doc:"heat capacity of the die with its first interface"`
	SpreaderCapacity Number  `spec:"spreader_capacity" dim:"capacity" min:"1e-2" max:"10000" eg:"15 J/K" doc:"heat capacity of the spreader"`
	Leakage          Leakage `spec:"leakage" doc:"power that grows with die temperature"`
	Shutdown         Number  `spec:"shutdown" dim:"temperature" min:"323.15" max:"473.15" eg:"115 degC" doc:"die temperature of the chip's own cut-out"`
}

// Leakage is a temperature-dependent power on top of the requested one:
// Power exp(Growth (T - At)), or Power (1 + Growth (T - At)) in linear form.
type Leakage struct {
	Power  Number `spec:"power" dim:"power" min:"0" max:"1000" eg:"30 W" doc:"leakage at the reference temperature"`
	At     Number `spec:"at" dim:"temperature" min:"233.15" max:"423.15" eg:"60 degC" doc:"reference temperature"`
	Growth Number `spec:"growth" dim:"per_kelvin" min:"0" max:"0.2" eg:"2 %/K" doc:"relative growth with temperature"`
	Form   string `spec:"form" one:"exponential|linear" eg:"exponential" doc:"law of growth"`
}

// Loop is a closed ring of parts in flow order.
type Loop struct {
	Name  string `spec:"name" eg:"main" doc:"unique name"`
	Parts []Part `spec:"parts" doc:"the parts in flow order"`
}

// Part is one element of a loop. Kind says which of the pointers is set; their
// keys stand beside the common ones in a file. A parallel element is written
// under the key parallel instead: a list of branches, each a list of parts. It
// has no kind, no name and none of the common keys.
type Part struct {
	Kind  string `spec:"part" one:"pump|tube|fitting|block|radiator|reservoir" eg:"tube" doc:"what it is"`
	Name  string `spec:"name" eg:"front" doc:"unique name; made from the kind if not stated"`
	Holds Number `spec:"holds" dim:"volume" min:"1e-6" max:"0.1" eg:"150 mL" doc:"coolant inside, as measured"`
	Empty Number `spec:"empty" dim:"mass" min:"0.001" max:"100" eg:"780 g" doc:"weight without coolant"`
	Full  Number `spec:"full" dim:"mass" min:"0.001" max:"100" eg:"940 g" doc:"weight filled with coolant"`
	Power Power  `spec:"power" dim:"power" min:"0" max:"5000" eg:"8 W" doc:"heat released in the part; of a pump at its rated speed"`
	Work  string `spec:"work" eg:"render" doc:"name of the work pattern its power follows"`
	Price Number `spec:"price" dim:"price" min:"0" max:"1e6" eg:"60" doc:"in any one currency, carried along"`
	Note  string `spec:"note" eg:"second hand" doc:"free text, carried along"`

	Pump      *Pump      `kind:"pump"`
	Tube      *Tube      `kind:"tube"`
	Fitting   *Fitting   `kind:"fitting"`
	Block     *Block     `kind:"block"`
	Radiator  *Radiator  `kind:"radiator"`
	Reservoir *Reservoir `kind:"reservoir"`

	Branches []Branch `branches:"parallel" eg:"[[{part: block, cools: cpu}], [{part: block, cools: gpu}]]" doc:"ways that share the flow, each a list of parts in flow order"`
}

// Branch is one way through a parallel element.
type Branch struct {
	Parts []Part `spec:"parts" doc:"the parts in flow order"`
}

// FlowHead is one point of a pump's curve at its rated speed.
type FlowHead struct {
	Flow Number `spec:"flow" dim:"flow" min:"0" max:"0.01" eg:"500 L/h" doc:"coolant flow"`
	Head Number `spec:"head" dim:"head" min:"0" max:"1e6" eg:"2.4 m" doc:"head at that flow"`
}

// FlowDrop is one point of a part's pressure drop with water at 25 degC.
type FlowDrop struct {
	Flow Number `spec:"flow" dim:"flow" min:"1e-7" max:"0.01" eg:"4 L/min" doc:"coolant flow"`
	Drop Number `spec:"drop" dim:"pressure" min:"0" max:"1e6" eg:"12 kPa" doc:"pressure drop at that flow"`
}

// SpeedConductance is one point of a radiator's conductance against fan speed.
type SpeedConductance struct {
	Speed       Number `spec:"speed" dim:"speed" min:"0" max:"500" eg:"1000 rpm" doc:"fan speed"`
	Conductance Number `spec:"conductance" dim:"conductance" min:"0.01" max:"5000" eg:"18 W/K" doc:"heat per kelvin at that speed"`
}

// Speed is a rotation speed, or a share of the rated one.
type Speed struct {
	Rate  Number // 1/s
	Share Number // 1
}

// Set reports whether the speed was stated at all.
func (s Speed) Set() bool { return s.Rate.Set || s.Share.Set }

// Pump moves the coolant: by a head curve at its speed, or at a stated flow.
// Its power ends in the coolant.
type Pump struct {
	Class    string     `spec:"class" one:"small|large" eg:"small" doc:"kind of pump, for what is not stated"`
	Flow     Number     `spec:"flow" dim:"flow" min:"0" max:"0.002" eg:"4 L/min" doc:"fixed flow, instead of a head curve"`
	Head     Number     `spec:"head" dim:"head" min:"0" max:"1e6" eg:"3.6 m" doc:"head at no flow, at the rated speed"`
	FreeFlow Number     `spec:"free_flow" dim:"flow" min:"1e-6" max:"0.01" eg:"900 L/h" doc:"flow at no head, at the rated speed"`
	Curve    []FlowHead `spec:"curve" pair:"yes" eg:"[[0 L/h, 3.6 m], [500 L/h, 2.4 m]]" doc:"head against flow at the rated speed"`
	Rated    Number     `spec:"rated" dim:"speed" min:"1" max:"500" eg:"4800 rpm" doc:"speed of the stated curve and power"`
	Speed    Speed      `spec:"speed" dim:"speed" min:"0" max:"500" eg:"60 %" doc:"speed it runs at; the rated one if not stated"`
}

// Tube is a length of hose or pipe.
type Tube struct {
	Bore     Number `spec:"bore" dim:"length" min:"0.001" max:"0.1" eg:"10 mm" doc:"inside diameter"`
	Wall     Number `spec:"wall" dim:"length" min:"0.0001" max:"0.02" eg:"3 mm" doc:"thickness of the wall"`
	Length   Number `spec:"length" dim:"length" min:"0.001" max:"100" eg:"450 mm" doc:"length along the coolant"`
	Material string `spec:"material" one:"soft pvc|epdm|acrylic|glass|copper|brass|stainless steel" eg:"epdm" doc:"what the wall is made of"`
	Bends    Number `spec:"bends" dim:"count" min:"0" max:"1000" eg:"2" doc:"quarter-turn bends"`
}

// Fitting is one or more small losses without coolant of their own.
type Fitting struct {
	Class string     `spec:"class" one:"fitting|elbow|coupling pair" eg:"elbow" doc:"kind of fitting, for what is not stated"`
	Count Number     `spec:"count" dim:"count" min:"1" max:"1000" eg:"4" doc:"how many"`
	Bore  Number     `spec:"bore" dim:"length" min:"0.001" max:"0.1" eg:"9 mm" doc:"narrowest inside diameter"`
	Loss  Number     `spec:"loss" dim:"factor" min:"0" max:"1000" eg:"1.5" doc:"loss coefficient of one, on the velocity in its bore"`
	Drop  []FlowDrop `spec:"drop" pair:"yes" eg:"[[4 L/min, 3 kPa]]" doc:"pressure drop of one, instead of bore and loss"`
}

// Block is a cold plate with coolant behind it.
type Block struct {
	Class           string     `spec:"class" one:"processor block|full-cover block" eg:"processor block" doc:"kind of block, for what is not stated"`
	Cools           string     `spec:"cools" eg:"cpu" doc:"name of the chip on the plate"`
	FilmConductance Number     `spec:"film_conductance" dim:"conductance" min:"0.01" max:"10000" eg:"60 W/K" doc:"plate to coolant, at test_flow"`
	TestFlow        Number     `spec:"test_flow" dim:"flow" min:"1e-6" max:"0.002" eg:"4 L/min" doc:"coolant flow of the stated film_conductance"`
	PlateCapacity   Number     `spec:"plate_capacity" dim:"capacity" min:"0.1" max:"1e6" eg:"80 J/K" doc:"heat capacity of the cold plate"`
	PlateMass       Number     `spec:"plate_mass" dim:"mass" min:"0.001" max:"100" eg:"180 g" doc:"mass of the cold plate, instead of its capacity"`
	Material        string     `spec:"material" one:"copper|aluminium|brass" eg:"copper" doc:"what the plate is made of"`
	Drop            []FlowDrop `spec:"drop" pair:"yes" eg:"[[4 L/min, 12 kPa]]" doc:"pressure drop"`
}

// Radiator gives heat to the air by stated conductances.
type Radiator struct {
	Class           string             `spec:"class" one:"slim|mid|thick|very thick" eg:"mid" doc:"kind of radiator by thickness, for what is not stated"`
	Size            Number             `spec:"size" dim:"length" min:"0.08" max:"1.5" eg:"240 mm" doc:"length of its fan side, a multiple of 120 mm or 140 mm"`
	Thickness       Number             `spec:"thickness" dim:"length" min:"0.01" max:"0.2" eg:"30 mm" doc:"depth of the core in the direction of the air"`
	Conductance     Number             `spec:"conductance" dim:"conductance" min:"0.01" max:"5000" eg:"18 W/K" doc:"heat per kelvin between coolant and entering air, whatever the fans do"`
	Points          []SpeedConductance `spec:"points" pair:"yes" eg:"[[750 rpm, 13 W/K], [1300 rpm, 21 W/K]]" doc:"that conductance against fan speed"`
	Per             string             `spec:"per" one:"inlet|mean" eg:"inlet" doc:"which coolant temperature the conductance refers to"`
	TestFlow        Number             `spec:"test_flow" dim:"flow" min:"1e-6" max:"0.002" eg:"4 L/min" doc:"coolant flow at which the conductance was measured"`
	Fans            Fans               `spec:"fans" short:"speed" doc:"the fans on it"`
	FilmConductance Number             `spec:"film_conductance" dim:"conductance" min:"0.1" max:"50000" eg:"250 W/K" doc:"coolant to metal, at test_flow"`
	MetalCapacity   Number             `spec:"metal_capacity" dim:"capacity" min:"1" max:"1e6" eg:"300 J/K" doc:"heat capacity of tubes, fins and tanks"`
	Material        string             `spec:"material" one:"copper and brass|aluminium" eg:"copper and brass" doc:"what it is made of"`
	Drop            []FlowDrop         `spec:"drop" pair:"yes" eg:"[[4 L/min, 2.5 kPa]]" doc:"pressure drop of the coolant"`
	Cells           Number             `spec:"cells" dim:"count" min:"1" max:"64" eg:"4" doc:"mixed coolant cells in flow order"`
}

// Fans is the row of fans on a radiator.
type Fans struct {
	Count   Number `spec:"count" dim:"count" min:"1" max:"64" eg:"2" doc:"how many"`
	Speed   Number `spec:"speed" dim:"speed" min:"0" max:"500" eg:"1050 rpm" doc:"speed they run at; 0 rpm when they stand"`
	Airflow Number `spec:"airflow" dim:"flow" min:"1e-5" max:"2" eg:"95 m3/h" doc:"free airflow of one at its rated speed"`
	Rated   Number `spec:"rated" dim:"speed" min:"1" max:"500" eg:"1600 rpm" doc:"speed of the stated airflow"`
}

// Reservoir is a mixed volume of coolant.
type Reservoir struct {
	Class    string `spec:"class" one:"small|typical|large" eg:"typical" doc:"kind of reservoir, for what is not stated"`
	Volume   Number `spec:"volume" dim:"volume" min:"1e-6" max:"0.1" eg:"180 mL" doc:"coolant it holds when filled"`
	Material string `spec:"material" one:"acrylic|acetal|glass" eg:"acrylic" doc:"what it is made of"`
}

// Lump is a free mass. Exactly one of Capacity, Holds and HeldAt is stated: a
// heat capacity, a volume of coolant, or a temperature that nothing changes.
type Lump struct {
	Name     string  `spec:"name" eg:"backplate" doc:"unique name"`
	Capacity Number  `spec:"capacity" dim:"capacity" min:"1e-3" max:"1e12" eg:"300 kJ/K" doc:"heat capacity"`
	Holds    Number  `spec:"holds" dim:"volume" min:"1e-9" max:"10" eg:"1 L" doc:"coolant inside, well mixed"`
	HeldAt   Number  `spec:"held_at" dim:"temperature" min:"233.15" max:"423.15" eg:"40 degC" doc:"fixed temperature of a boundary"`
	Start    Number  `spec:"start" dim:"temperature" min:"233.15" max:"423.15" eg:"22 degC" doc:"temperature at time zero"`
	Power    Power   `spec:"power" dim:"power" min:"0" max:"1e5" eg:"45 W" doc:"heat released in it"`
	Idle     Number  `spec:"idle" dim:"power" min:"0" max:"1e5" eg:"5 W" doc:"heat released when a pattern rests"`
	Work     string  `spec:"work" eg:"render" doc:"name of the work pattern its power follows"`
	Leakage  Leakage `spec:"leakage" doc:"power that grows with its temperature"`
}

// Link ties two nodes. A node is a lump's name, ambient, or a part's node such
// as cpu.die, cpu_block.plate, front.metal or tube_1.coolant. Exactly one of
// Conductance and Flow is stated: heat both ways, or coolant one way.
type Link struct {
	Name        string `spec:"name" eg:"to_room" doc:"unique name; made if not stated"`
	From        string `spec:"from" eg:"case" doc:"node at one end; upstream of a flow"`
	To          string `spec:"to" eg:"ambient" doc:"node at the other end"`
	Conductance Number `spec:"conductance" dim:"conductance" min:"0" max:"1e6" eg:"5 W/K" doc:"heat per kelvin of difference"`
	Flow        Number `spec:"flow" dim:"flow" min:"0" max:"1" eg:"4 L/min" doc:"coolant carried from one to the other"`
}

// Work is a pattern of requested power: steps, or the short form on and off.
type Work struct {
	Name   string `spec:"name" eg:"render" doc:"unique name; made if not stated"`
	Steps  []Step `spec:"steps" doc:"levels one after the other"`
	On     Number `spec:"on" dim:"time" min:"1e-3" max:"3.6e7" eg:"40 min" doc:"time at full power"`
	Off    Number `spec:"off" dim:"time" min:"1e-3" max:"3.6e7" eg:"20 min" doc:"time at idle power"`
	Repeat Repeat `spec:"repeat" min:"1" max:"1000000" eg:"8" doc:"how often, or forever"`
}

// Step is one level of a pattern.
type Step struct {
	For   Number `spec:"for" dim:"time" min:"1e-3" max:"3.6e7" eg:"40 min" doc:"how long"`
	Power Power  `spec:"power" dim:"power" min:"0" max:"1e5" share:"own" eg:"210 W" doc:"requested power, or a share of the part's own"`
}

// Start gives the temperatures at time zero: a rule for all (ambient, idle or
// level), or single nodes; nodes that are not named start at ambient.
type Start struct {
	Rule  string      // "", ambient, idle or level
	Nodes []StartNode // in file order
}

// StartNode is one stated temperature.
type StartNode struct {
	Node        string
	Temperature float64 // K
}

// Record says what the trace keeps.
type Record struct {
	Every      Number `spec:"every" dim:"time" min:"1e-3" max:"86400" eg:"1 s" doc:"interval of the trace"`
	Resolution Number `spec:"resolution" dim:"difference" min:"0" max:"0.1" eg:"1 mK" doc:"rounding of stored temperatures, to the next finer binary step; 0 mK stores them exactly"`
}

// Figures sets what the soak figures refer to.
type Figures struct {
	Of        string   `spec:"of" eg:"room" doc:"node whose soak is reported; the coolant if not stated"`
	Tail      Number   `spec:"tail" dim:"time" min:"1" max:"86400" eg:"100 s" doc:"window at the end of a phase for means and deviations"`
	CoolantAt []Number `spec:"coolant_at" dim:"temperature" min:"233.15" max:"423.15" eg:"45 degC" doc:"coolant temperatures whose first passing is reported"`
}

// Solver sets the accuracy of the integration.
type Solver struct {
	Tolerance         Number `spec:"tolerance" dim:"difference" min:"1e-9" max:"1" eg:"0.2 mK" doc:"error allowed in one step"`
	MaxStepsPerSecond Number `spec:"max_steps_per_second" dim:"count" min:"1" max:"1000000" eg:"1000" doc:"steps per second of model time beyond which a run is given up"`
}
