package spec

// Scenario is everything a file states about one machine and its work.
type Scenario struct {
	Title    string  `spec:"title" eg:"Office workstation" doc:"one line that names the scenario"`
	Note     string  `spec:"note" eg:"measured in May" doc:"free text, carried along"`
	Ambient  Ambient `spec:"ambient" short:"temperature" eg:"{temperature: 22 degC, humidity: 50 %}" doc:"the room around the machine"`
	Coolant  Coolant `spec:"coolant" short:"fluid" eg:"{fluid: propylene glycol, volume_share: 20 %}" doc:"what fills the loop"`
	Room     *Room   `spec:"room" doc:"a closed room that warms; its surroundings are then the ambient"`
	Case     *Case   `spec:"case" doc:"air, boards and panels around the loop, as one mass"`
	Chips    []Chip  `spec:"chips" doc:"heat sources with a die, a spreader and a block on top"`
	Loops    []Loop  `spec:"loops" doc:"coolant loops; loop: is short for one entry"`
	Lumps    []Lump  `spec:"lumps" doc:"free masses beside the parts"`
	Links    []Link  `spec:"links" doc:"free conductances and coolant streams between lumps"`
	Work     []Work  `spec:"work" doc:"patterns of requested power"`
	Faults   []Fault `spec:"faults" eg:"[{at: 20 min, ambient: 8 K}]" doc:"what goes wrong, each once, at a time or on a condition"`
	Start    Start   `spec:"start" one:"ambient|idle|level" eg:"level" doc:"temperatures at time zero"`
	Duration Number  `spec:"duration" dim:"time" min:"1e-3" max:"3.6e7" eg:"80 min" doc:"length of the run; the end of the work if not stated"`
	Record   Record  `spec:"record" doc:"what the trace keeps"`
	Figures  Figures `spec:"figures" eg:"{tail: 100 s, coolant_at: [45 degC]}" doc:"settings of the soak figures"`
	Solver   Solver  `spec:"solver" doc:"accuracy of the integration"`

	Variants []Variants `spec:"variants" eg:"{front: [{name: slim, core: {thickness: 28 mm}}, {name: deep, core: {thickness: 64 mm}}]}" doc:"what may stand in place of what a part, chip, lump, fan or the coolant states, by its name"`
	Study    Study      `spec:"study" doc:"which designs are made of the scenario: what is varied, and how"`
}

// Ambient is the room: at one temperature, along a schedule, or as measured.
type Ambient struct {
	Temperature Number            `spec:"temperature" dim:"temperature" min:"233.15" max:"343.15" eg:"22 degC" doc:"air temperature of the room"`
	Schedule    []TimeTemperature `spec:"schedule" pair:"yes" eg:"[[0 h, 22 degC], [3 h, 32 degC]]" doc:"air temperature of the room over time, straight between the points and held behind the last"`
	Log         Log               `spec:"log" eg:"{file: room.csv, column: Room}" doc:"a measured log of the room's temperature, from its first stamp on, instead of temperature"`
	Humidity    Number            `spec:"humidity" dim:"ratio" min:"0.01" max:"1" eg:"50 %" doc:"relative humidity of the room at its first temperature"`
	Altitude    Number            `spec:"altitude" dim:"length" min:"-430" max:"5000" eg:"150 m" doc:"height above the sea; thin air carries less heat"`
}

// TimeTemperature is one point of a temperature over time.
type TimeTemperature struct {
	Time        Number `spec:"time" dim:"time" min:"0" max:"3.6e7" eg:"3 h" doc:"since the start of the run"`
	Temperature Number `spec:"temperature" dim:"temperature" min:"233.15" max:"343.15" eg:"32 degC" doc:"air temperature at that time"`
}

// Room is a closed room as one mass of air and furnishings. Without it the
// ambient is the room itself; an empty one is a room of the usual figures.
type Room struct {
	Capacity    Number `spec:"capacity" dim:"capacity" min:"1000" max:"1e9" eg:"300 kJ/K" doc:"heat capacity of air and the skin of furnishings"`
	Conductance Number `spec:"conductance" dim:"conductance" min:"0.1" max:"1e5" eg:"40 W/K" doc:"loss to its surroundings"`
}

// Case is what stands around the loop: its air, its boards, its panels. All
// fans that blow into or out of it work against one pressure. Without it the
// parts stand in the room; an empty one is a case of the usual figures.
type Case struct {
	Volume      Number `spec:"volume" dim:"volume" min:"1e-3" max:"2" eg:"40 L" doc:"inside of the case"`
	Vents       Number `spec:"vents" dim:"area" min:"0" max:"2" eg:"100 cm2" doc:"open area without fans: slots, mesh, gaps"`
	Fans        []Fan  `spec:"fans" eg:"[{name: rear, size: 140 mm, speed: 700 rpm, moves: out}]" doc:"fans of the case itself, those on radiators left out"`
	OtherHeat   Power  `spec:"other_heat" dim:"power" min:"0" max:"5000" eg:"45 W" doc:"heat of everything in the case that the loop does not cool"`
	Work        string `spec:"work" eg:"render" doc:"name of the work pattern the other heat follows"`
	Boards      Body   `spec:"boards" doc:"boards and drives, which release the other heat, and their way to the air"`
	Chassis     Body   `spec:"chassis" doc:"frame and panels, and their way to the air inside"`
	Conductance Number `spec:"conductance" dim:"conductance" min:"0" max:"1000" eg:"5 W/K" doc:"from the panels to the room"`
}

// Body is metal that follows the air of the case.
type Body struct {
	Capacity    Number `spec:"capacity" dim:"capacity" min:"1" max:"1e6" eg:"4 kJ/K" doc:"heat capacity"`
	Conductance Number `spec:"conductance" dim:"conductance" min:"0.01" max:"1000" eg:"6 W/K" doc:"between it and the air of the case"`
}

// Fan is one fan of the case, or several alike side by side.
type Fan struct {
	Name     string            `spec:"name" eg:"rear" doc:"unique name; made if not stated"`
	Moves    string            `spec:"moves" one:"in|out" eg:"out" doc:"whether it blows into the case or out of it"`
	Count    Number            `spec:"count" dim:"count" min:"1" max:"64" eg:"2" doc:"how many"`
	Size     Number            `spec:"size" dim:"length" min:"0.03" max:"0.4" eg:"120 mm" doc:"edge of its frame"`
	Curve    Control           `spec:"curve" doc:"lets their speed follow a temperature, instead of speed"`
	Speed    Speed             `spec:"speed" dim:"speed" min:"0" max:"500" level:"yes" eg:"700 rpm" doc:"speed it runs at, or the sound level of all of them to run at; the rated one if not stated"`
	Airflow  Number            `spec:"airflow" dim:"airflow" min:"1e-5" max:"2" eg:"95 m3/h" doc:"free airflow of one at its rated speed"`
	Pressure Number            `spec:"pressure" dim:"pressure" min:"0.1" max:"2000" eg:"1.9 mmH2O" doc:"pressure of one at no flow, at its rated speed"`
	Points   []AirflowPressure `spec:"points" pair:"yes" eg:"[[0 m3/h, 20 Pa], [60 m3/h, 9 Pa], [95 m3/h, 0 Pa]]" doc:"pressure against airflow of one at its rated speed"`
	Shape    Number            `spec:"shape" dim:"factor" min:"1" max:"4" eg:"1.2" doc:"exponent of the curve between shut-off pressure and free airflow; 1 is straight"`
	Rated    Number            `spec:"rated" dim:"speed" min:"1" max:"500" eg:"1600 rpm" doc:"speed of the stated airflow, pressure, noise and power"`
	Noise    Number            `spec:"noise" dim:"sound" min:"0" max:"120" eg:"28 dBA" doc:"sound level of one at its rated speed"`
	Power    Number            `spec:"power" dim:"power" min:"0" max:"500" eg:"1.5 W" doc:"electrical power of one at its rated speed"`
	Grille   string            `spec:"grille" one:"none|open mesh|punched sheet" eg:"open mesh" doc:"what its air passes at the wall of the case"`
	Filter   string            `spec:"filter" one:"none|coarse|fine" eg:"coarse" doc:"dust filter before it"`
}

// AirflowPressure is one point of a fan's curve at its rated speed.
type AirflowPressure struct {
	Airflow  Number `spec:"airflow" dim:"airflow" min:"0" max:"2" eg:"60 m3/h" doc:"airflow"`
	Pressure Number `spec:"pressure" dim:"pressure" min:"0" max:"2000" eg:"9 Pa" doc:"static pressure at that airflow"`
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
	Name             string   `spec:"name" eg:"cpu" doc:"unique name"`
	Class            string   `spec:"class" one:"desktop with spreader|compact desktop|workstation|bare die graphics" eg:"workstation" doc:"kind of chip, for what is not stated"`
	Power            Power    `spec:"power" dim:"power" min:"0" max:"5000" eg:"210 W" doc:"requested electrical power; the full load of a pattern"`
	Idle             Number   `spec:"idle" dim:"power" min:"0" max:"5000" eg:"15 W" doc:"requested power when a pattern rests"`
	Work             string   `spec:"work" eg:"render" doc:"name of the work pattern it follows"`
	DieToPlate       Number   `spec:"die_to_plate" dim:"resistance" min:"1e-4" max:"20" eg:"0.12 K/W" doc:"resistance from die to cold plate"`
	DieShare         Number   `spec:"die_share" dim:"ratio" min:"0.01" max:"0.99" eg:"40 %" doc:"part of die_to_plate that lies between die and spreader"`
	DieCapacity      Number   `spec:"die_capacity" dim:"capacity" min:"1e-3" max:"1000" eg:"3 J/K" doc:"heat capacity of the die with its first interface"`
	SpreaderCapacity Number   `spec:"spreader_capacity" dim:"capacity" min:"1e-2" max:"10000" eg:"15 J/K" doc:"heat capacity of the spreader"`
	Leakage          Leakage  `spec:"leakage" doc:"power that grows with die temperature"`
	Throttle         Throttle `spec:"throttle" doc:"protection by less power, with hysteresis; none if not stated"`
	Limits           []Limit  `spec:"limits" eg:"[{long: 125 W, short: 253 W, time: 56 s}]" doc:"caps on its total power by moving averages; none if not stated"`
	Shutdown         Number   `spec:"shutdown" dim:"temperature" min:"323.15" max:"473.15" eg:"115 degC" doc:"die temperature of the chip's own cut-out"`
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

// Speed is a rotation speed, a share of the rated one, or the speed at which
// all fans of a row together have a sound level.
type Speed struct {
	Rate  Number // 1/s
	Share Number // 1
	Level Number // dB(A)
}

// Set reports whether the speed was stated at all.
func (s Speed) Set() bool { return s.Rate.Set || s.Share.Set || s.Level.Set }

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
	Control  Control    `spec:"control" doc:"lets its speed follow a temperature, instead of speed"`
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

// Radiator gives heat to the air: by stated conductances, by the geometry of
// its core and its fans, or by both, where the stated ones correct the core.
type Radiator struct {
	Class           string             `spec:"class" one:"slim|mid|thick|very thick" eg:"mid" doc:"kind of radiator by thickness, for what is not stated"`
	Size            Number             `spec:"size" dim:"length" min:"0.08" max:"1.5" eg:"240 mm" doc:"length of its fan side, a multiple of 120 mm or 140 mm; core.face states any other"`
	Thickness       Number             `spec:"thickness" dim:"length" min:"0.005" max:"0.2" eg:"30 mm" doc:"depth in the direction of the air; short for core.thickness"`
	FinsPerInch     Number             `spec:"fins_per_inch" dim:"per_inch" min:"3" max:"60" eg:"16" doc:"fins along an inch of tube; short for core.fins_per_inch"`
	Core            Core               `spec:"core" doc:"geometry of tubes and fins"`
	Conductance     Number             `spec:"conductance" dim:"conductance" min:"0.01" max:"5000" eg:"18 W/K" doc:"heat per kelvin between coolant and entering air, whatever the fans do"`
	Points          []SpeedConductance `spec:"points" pair:"yes" eg:"[[750 rpm, 13 W/K], [1300 rpm, 21 W/K]]" doc:"that conductance against fan speed"`
	Per             string             `spec:"per" one:"inlet|mean" eg:"inlet" doc:"which coolant temperature the conductance refers to"`
	TestFlow        Number             `spec:"test_flow" dim:"flow" min:"1e-6" max:"0.002" eg:"4 L/min" doc:"coolant flow at which the conductance was measured"`
	Fans            Fans               `spec:"fans" short:"speed" doc:"the fans on it"`
	Mount           string             `spec:"mount" one:"bottom|top|front|rear|outside" eg:"front" doc:"where it hangs: bottom and front draw air from the room into the case, top and rear blow air of the case out, outside does neither"`
	Breathes        Breathes           `spec:"breathes" short:"from" eg:"{from: room, share: 70 %, rest: case}" doc:"where its air comes from, instead of what mount says"`
	Exhausts        string             `spec:"exhausts" one:"room|case" eg:"case" doc:"where its air goes, instead of what mount says"`
	Recirculation   Number             `spec:"recirculation" dim:"ratio" min:"0" max:"0.9" eg:"10 %" doc:"share of the entering air that is its own exhaust"`
	Grille          string             `spec:"grille" one:"none|open mesh|punched sheet" eg:"open mesh" doc:"what its air passes at the wall of the case"`
	Filter          string             `spec:"filter" one:"none|coarse|fine" eg:"coarse" doc:"dust filter before it"`
	Gap             Number             `spec:"gap" dim:"length" min:"0" max:"0.2" eg:"15 mm" doc:"shroud between fans and core"`
	Covered         Number             `spec:"covered" dim:"ratio" min:"0.3" max:"1" eg:"90 %" doc:"share of the face that the fans blow on"`
	Blocked         Number             `spec:"blocked" dim:"ratio" min:"0" max:"0.95" eg:"10 %" doc:"share of the face that dust has closed"`
	CoreFactor      Number             `spec:"core_factor" dim:"factor" min:"0.2" max:"5" eg:"1.1" doc:"true conductance between metal and air over what the laws of its core give"`
	AirflowFactor   Number             `spec:"airflow_factor" dim:"factor" min:"0.2" max:"5" eg:"0.9" doc:"true airflow over what fans and resistances give"`
	FilmConductance Number             `spec:"film_conductance" dim:"conductance" min:"0.1" max:"50000" eg:"250 W/K" doc:"coolant to metal, at test_flow"`
	MetalCapacity   Number             `spec:"metal_capacity" dim:"capacity" min:"1" max:"1e6" eg:"300 J/K" doc:"heat capacity of tubes, fins and tanks"`
	Material        string             `spec:"material" one:"copper and brass|aluminium" eg:"copper and brass" doc:"what it is made of"`
	Drop            []FlowDrop         `spec:"drop" pair:"yes" eg:"[[4 L/min, 2.5 kPa]]" doc:"pressure drop of the coolant"`
	Clearance       Number             `spec:"clearance" dim:"length" min:"0.01" max:"2" eg:"60 mm" doc:"room there is for core and fans together"`
	Cells           Number             `spec:"cells" dim:"count" min:"1" max:"64" eg:"4" doc:"mixed coolant cells in flow order"`
}

// Core is the geometry of a radiator: flat tubes along its width with fins
// between them.
type Core struct {
	Face          Face   `spec:"face" doc:"finned face; that of size if not stated"`
	Thickness     Number `spec:"thickness" dim:"length" min:"0.005" max:"0.2" eg:"28 mm" doc:"depth in the direction of the air"`
	Depth         Number `spec:"depth" dim:"length" min:"0.004" max:"0.2" eg:"24 mm" doc:"of fins and tubes alone, without what the frame stands over them"`
	FinsPerInch   Number `spec:"fins_per_inch" dim:"per_inch" min:"3" max:"60" eg:"14" doc:"fins along an inch of tube, each leg of a corrugation counted"`
	Fins          string `spec:"fins" one:"plain|louvred|strip" eg:"plain" doc:"kind of fin"`
	FinThickness  Number `spec:"fin_thickness" dim:"length" min:"1e-5" max:"1e-3" eg:"0.05 mm" doc:"thickness of the fin's sheet"`
	FinMaterial   string `spec:"fin_material" one:"copper|aluminium|brass" eg:"copper" doc:"what the fins are made of"`
	TubePitch     Number `spec:"tube_pitch" dim:"length" min:"0.002" max:"0.05" eg:"10 mm" doc:"from tube to tube across the face"`
	TubeThickness Number `spec:"tube_thickness" dim:"length" min:"0.0008" max:"0.02" eg:"2 mm" doc:"outside, across the face"`
	TubeWall      Number `spec:"tube_wall" dim:"length" min:"5e-5" max:"0.003" eg:"0.2 mm" doc:"thickness of the tubes' sheet"`
	Rows          Number `spec:"rows" dim:"count" min:"1" max:"8" eg:"1" doc:"rows of tubes behind one another in the direction of the air"`
	Passes        Number `spec:"passes" dim:"count" min:"1" max:"16" eg:"2" doc:"ways of the coolant one after the other, side by side in the face"`
	TankLength    Number `spec:"tank_length" dim:"length" min:"0.001" max:"0.2" eg:"6 mm" doc:"inside of each of the two tanks, along the tubes"`
	LouvrePitch   Number `spec:"louvre_pitch" dim:"length" min:"0.0003" max:"0.01" eg:"1.2 mm" doc:"of louvred fins, from louvre to louvre"`
	LouvreLength  Number `spec:"louvre_length" dim:"length" min:"0.001" max:"0.05" eg:"6.5 mm" doc:"of louvred fins, across the air"`
	LouvreAngle   Number `spec:"louvre_angle" dim:"angle" min:"0.05235987755982989" max:"1.0471975511965979" eg:"27 deg" doc:"of louvred fins, against the air"`
	StripLength   Number `spec:"strip_length" dim:"length" min:"0.0005" max:"0.05" eg:"3 mm" doc:"of strip fins, along the air"`
}

// Face is the finned face of a core.
type Face struct {
	Width  Number `spec:"width" dim:"length" min:"0.03" max:"3" eg:"420 mm" doc:"along the tubes"`
	Height Number `spec:"height" dim:"length" min:"0.03" max:"3" eg:"140 mm" doc:"across the tubes"`
}

// Breathes is where a radiator's air comes from: room, case, or the exhaust of
// another radiator by its name. With a share the rest comes from elsewhere.
type Breathes struct {
	From  string `spec:"from" eg:"room" doc:"room, case, or the name of a radiator whose exhaust it breathes"`
	Share Number `spec:"share" dim:"ratio" min:"0" max:"1" eg:"70 %" doc:"part of the air that comes from there"`
	Rest  string `spec:"rest" eg:"case" doc:"where the remaining air comes from, as under from"`
}

// Fans is the row of fans on a radiator.
type Fans struct {
	Count       Number            `spec:"count" dim:"count" min:"1" max:"64" eg:"2" doc:"how many side by side; as many again behind the core with push-pull"`
	Size        Number            `spec:"size" dim:"length" min:"0.03" max:"0.4" eg:"120 mm" doc:"edge of the frame"`
	Curve       Control           `spec:"curve" doc:"lets their speed follow a temperature, instead of speed"`
	Speed       Speed             `spec:"speed" dim:"speed" min:"0" max:"500" level:"yes" eg:"1050 rpm" doc:"speed they run at, or the sound level of all of them to run at; 0 rpm when they stand"`
	Airflow     Number            `spec:"airflow" dim:"airflow" min:"1e-5" max:"2" eg:"95 m3/h" doc:"free airflow of one at its rated speed"`
	Pressure    Number            `spec:"pressure" dim:"pressure" min:"0.1" max:"2000" eg:"1.9 mmH2O" doc:"pressure of one at no flow, at its rated speed"`
	Points      []AirflowPressure `spec:"points" pair:"yes" eg:"[[0 m3/h, 20 Pa], [60 m3/h, 9 Pa], [95 m3/h, 0 Pa]]" doc:"pressure against airflow of one at its rated speed"`
	Shape       Number            `spec:"shape" dim:"factor" min:"1" max:"4" eg:"1.2" doc:"exponent of the curve between shut-off pressure and free airflow; 1 is straight"`
	Rated       Number            `spec:"rated" dim:"speed" min:"1" max:"500" eg:"1600 rpm" doc:"speed of the stated airflow, pressure, noise and power"`
	Noise       Number            `spec:"noise" dim:"sound" min:"0" max:"120" eg:"30 dBA" doc:"sound level of one at its rated speed"`
	Power       Number            `spec:"power" dim:"power" min:"0" max:"500" eg:"1.5 W" doc:"electrical power of one at its rated speed"`
	Arrangement string            `spec:"arrangement" one:"push|pull|push-pull" eg:"push-pull" doc:"before the core, behind it, or both"`
	Start       Number            `spec:"start" dim:"speed" min:"0" max:"100" eg:"400 rpm" doc:"least speed that gets standing ones turning, under a curve with a period"`
	Stop        Number            `spec:"stop" dim:"speed" min:"0" max:"100" eg:"250 rpm" doc:"slowest speed; asked for less they stand"`
	SpinUp      Number            `spec:"spin_up" dim:"speed_change" min:"1" max:"1000" eg:"300 rpm/s" doc:"fastest rise of their speed under a curve with a period"`
	Failed      Number            `spec:"failed" dim:"count" min:"0" max:"64" eg:"1" doc:"how many of them stand whatever they are asked for; air is blown back through them"`
	Depth       Number            `spec:"depth" dim:"length" min:"0.005" max:"0.1" eg:"25 mm" doc:"of the frame, for the space they take"`
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

// Work is a pattern of requested power: steps and ramps, the short form on and
// off, a session of play, random bursts, a replayed log, or the mean of another.
type Work struct {
	Name    string  `spec:"name" eg:"render" doc:"unique name; made if not stated"`
	Steps   []Step  `spec:"steps" doc:"levels and ramps one after the other"`
	Session Session `spec:"session" doc:"rounds of play with loading screens, lobbies and breaks"`
	Bursts  Bursts  `spec:"bursts" eg:"{seed: 7, for: 1 h, burst: [2 s, 30 s], pause: [5 s, 40 s], high: [60 %, 100 %]}" doc:"seeded random bursts"`
	Log     Log     `spec:"log" eg:"{file: render.csv, column: CPU power}" doc:"a measured log of power, replayed"`
	MeanOf  string  `spec:"mean_of" eg:"evening" doc:"name of another pattern with whose mean power it is constant, or with on and off its bursts have that mean"`
	Ratio   Number  `spec:"ratio" dim:"factor" min:"1" max:"1e6" eg:"10" doc:"power of such a burst over that between bursts; without it there is none between"`
	On      Number  `spec:"on" dim:"time" min:"1e-3" max:"3.6e7" eg:"40 min" doc:"time at full power"`
	Off     Number  `spec:"off" dim:"time" min:"1e-3" max:"3.6e7" eg:"20 min" doc:"time at idle power"`
	Repeat  Repeat  `spec:"repeat" min:"1" max:"1000000" eg:"8" doc:"how often, or forever"`
}

// Step is one level of a pattern.
type Step struct {
	For   Number `spec:"for" dim:"time" min:"1e-3" max:"3.6e7" eg:"40 min" doc:"how long"`
	Power Power  `spec:"power" dim:"power" min:"0" max:"1e5" share:"own" eg:"210 W" doc:"requested power, or a share of the part's own"`
	To    Power  `spec:"to" dim:"power" min:"0" max:"1e5" share:"own" eg:"250 W" doc:"power at the end of the step, reached along a straight line"`
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
