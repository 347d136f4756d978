package spec

// Control lets a speed follow a temperature. Without a period it is an ideal
// curve that acts at once; with one it is sampled, as real controllers are.
type Control struct {
	Follow         string             `spec:"follow" eg:"coolant" doc:"coolant, hottest die, or a node such as cpu.die"`
	Points         []TemperatureSpeed `spec:"points" pair:"yes" eg:"[[30 degC, 600 rpm], [42 degC, 1500 rpm]]" doc:"speed against that temperature"`
	Rises          []RiseSpeed        `spec:"rises" pair:"yes" eg:"[[4 K, 600 rpm], [14 K, 1500 rpm]]" doc:"speed against that temperature over the room's, instead of points"`
	Target         Number             `spec:"target" dim:"temperature" min:"273.15" max:"393.15" eg:"38 degC" doc:"temperature to hold by a slow controller, instead of points"`
	Gain           Number             `spec:"gain" dim:"per_kelvin" min:"1e-4" max:"10" eg:"4 %/K" doc:"of that controller: share of the rated speed per kelvin above the target"`
	IntegralTime   Number             `spec:"integral_time" dim:"time" min:"1" max:"86400" eg:"180 s" doc:"of that controller"`
	Period         Number             `spec:"period" dim:"time" min:"0.01" max:"3600" eg:"2 s" doc:"between samples; without it the curve acts continuously"`
	Average        Number             `spec:"average" dim:"time" min:"0" max:"3600" eg:"10 s" doc:"window over which samples are averaged, at most 64 of them"`
	HysteresisUp   Number             `spec:"hysteresis_up" dim:"difference" min:"0" max:"50" eg:"1 K" doc:"rise that is followed"`
	HysteresisDown Number             `spec:"hysteresis_down" dim:"difference" min:"0" max:"50" eg:"2 K" doc:"fall that is followed"`
	HoldUp         Number             `spec:"hold_up" dim:"time" min:"0" max:"3600" eg:"2 s" doc:"for which a rise must last"`
	HoldDown       Number             `spec:"hold_down" dim:"time" min:"0" max:"3600" eg:"5 s" doc:"for which a fall must last"`
	SlewUp         Number             `spec:"slew_up" dim:"speed_change" min:"0" max:"1000" eg:"200 rpm/s" doc:"fastest rise of the speed; unlimited if not stated"`
	SlewDown       Number             `spec:"slew_down" dim:"speed_change" min:"0" max:"1000" eg:"100 rpm/s" doc:"fastest fall of the speed; unlimited if not stated"`
	Resolution     Number             `spec:"resolution" dim:"ratio" min:"0" max:"0.5" eg:"1 %" doc:"step of the output, as a share of the rated speed"`
	OffBelow       Number             `spec:"off_below" dim:"temperature" min:"233.15" max:"393.15" eg:"32 degC" doc:"temperature below which it stands"`
	OnAbove        Number             `spec:"on_above" dim:"temperature" min:"233.15" max:"393.15" eg:"35 degC" doc:"temperature above which it starts again; off_below if not stated"`
	Sensor         Sensor             `spec:"sensor" doc:"what lies between the temperature and the controller"`
}

// TemperatureSpeed is one point of a control curve.
type TemperatureSpeed struct {
	Temperature Number `spec:"temperature" dim:"temperature" min:"233.15" max:"423.15" eg:"30 degC" doc:"what is followed"`
	Speed       Speed  `spec:"speed" dim:"speed" min:"0" max:"500" eg:"600 rpm" doc:"speed at that temperature"`
}

// RiseSpeed is one point of a control curve over the room's temperature.
type RiseSpeed struct {
	Rise  Number `spec:"rise" dim:"difference" min:"-50" max:"150" eg:"4 K" doc:"what is followed minus the room"`
	Speed Speed  `spec:"speed" dim:"speed" min:"0" max:"500" eg:"600 rpm" doc:"speed at that rise"`
}

// Sensor is what a controller sees with.
type Sensor struct {
	Lag        Number `spec:"lag" dim:"time" min:"0" max:"3600" eg:"8 s" doc:"time constant with which it follows"`
	Offset     Number `spec:"offset" dim:"difference" min:"-20" max:"20" eg:"0.5 K" doc:"by which it reads high"`
	Resolution Number `spec:"resolution" dim:"difference" min:"0" max:"10" eg:"0.1 K" doc:"step of its readings"`
}

// Throttle is a chip's own protection, before it shuts down.
type Throttle struct {
	At      Number `spec:"at" dim:"temperature" min:"313.15" max:"473.15" eg:"95 degC" doc:"die temperature at which it throttles"`
	Release Number `spec:"release" dim:"temperature" min:"303.15" max:"473.15" eg:"90 degC" doc:"die temperature at which it runs freely again"`
	To      Power  `spec:"to" dim:"power" min:"0" max:"5000" share:"own" eg:"60 %" doc:"power while it throttles, or a share of what is asked for"`
}

// Limit caps a chip's total power, leakage included, by a moving average.
type Limit struct {
	Long  Number `spec:"long" dim:"power" min:"0.1" max:"5000" eg:"125 W" doc:"what may be drawn for ever"`
	Short Number `spec:"short" dim:"power" min:"0.1" max:"5000" eg:"253 W" doc:"what may be drawn until the moving average meets long; unlimited if not stated"`
	Time  Number `spec:"time" dim:"time" min:"0.01" max:"3600" eg:"56 s" doc:"time constant of the moving average"`
}

// Fault is something that goes wrong once, at a time or on a condition.
type Fault struct {
	Name        string `spec:"name" eg:"pump_stop" doc:"unique name; made if not stated"`
	At          Number `spec:"at" dim:"time" min:"0" max:"3.6e7" eg:"20 min" doc:"when it happens, since the start of the run"`
	When        When   `spec:"when" doc:"or the temperature at which it happens"`
	Of          string `spec:"of" eg:"pump" doc:"pump, radiator, fan of the case or other part that it is about"`
	Speed       Number `spec:"speed" dim:"ratio" min:"0" max:"1" eg:"0 %" doc:"share of the speed it is told that the pump or the fans keep"`
	Failed      Number `spec:"failed" dim:"count" min:"1" max:"64" eg:"1" doc:"how many of the fans stop, instead of all by speed"`
	Blocked     Number `spec:"blocked" dim:"ratio" min:"0" max:"0.95" eg:"40 %" doc:"share of the radiator's face that is closed from then on"`
	Restriction Number `spec:"restriction" dim:"factor" min:"1" max:"1e6" eg:"10" doc:"factor on the pressure drop of the part"`
	Lost        Number `spec:"lost" dim:"ratio" min:"0" max:"0.95" eg:"20 %" doc:"share of the loop's coolant that leaves"`
	Ambient     Number `spec:"ambient" dim:"difference" min:"-40" max:"40" eg:"8 K" doc:"by which the room becomes warmer"`
}

// When is a temperature that a fault waits for: that of the coolant if no node is
// stated.
type When struct {
	Node  string `spec:"node" eg:"coolant" doc:"coolant, hottest die, or a node such as cpu.die"`
	Above Number `spec:"above" dim:"temperature" min:"233.15" max:"423.15" eg:"45 degC" doc:"it happens when the node is this warm"`
	Below Number `spec:"below" dim:"temperature" min:"233.15" max:"423.15" eg:"20 degC" doc:"it happens when the node is this cold"`
}

// Session is an evening of play: rounds with a loading screen before and a lobby
// after each, and longer breaks.
type Session struct {
	Rounds       Number `spec:"rounds" dim:"count" min:"1" max:"10000" eg:"8" doc:"how many rounds"`
	Round        Number `spec:"round" dim:"time" min:"1e-3" max:"86400" eg:"18 min" doc:"length of a round"`
	Loading      Number `spec:"loading" dim:"time" min:"0" max:"86400" eg:"20 s" doc:"length of the loading screen before each"`
	Lobby        Number `spec:"lobby" dim:"time" min:"0" max:"86400" eg:"2 min" doc:"time between rounds"`
	Break        Number `spec:"break" dim:"time" min:"0" max:"86400" eg:"15 min" doc:"a longer pause"`
	BreakAfter   Number `spec:"break_after" dim:"count" min:"1" max:"10000" eg:"4" doc:"rounds between longer pauses"`
	RoundPower   Power  `spec:"round_power" dim:"power" min:"0" max:"1e5" share:"own" eg:"90 %" doc:"requested in a round; all of the part's own power if not stated"`
	LoadingPower Power  `spec:"loading_power" dim:"power" min:"0" max:"1e5" share:"own" eg:"40 %" doc:"requested while loading; that of a round if not stated"`
	LobbyPower   Power  `spec:"lobby_power" dim:"power" min:"0" max:"1e5" share:"own" eg:"30 %" doc:"requested between rounds; idle if not stated"`
	BreakPower   Power  `spec:"break_power" dim:"power" min:"0" max:"1e5" share:"own" eg:"15 W" doc:"requested in longer pauses; idle if not stated"`
}

// Bursts are levels of random length and power, the same for the same seed.
type Bursts struct {
	Seed      Number   `spec:"seed" dim:"count" min:"0" max:"1e9" eg:"7" doc:"any number; the same gives the same bursts"`
	For       Number   `spec:"for" dim:"time" min:"1" max:"3.6e7" eg:"1 h" doc:"total length"`
	Burst     []Number `spec:"burst" dim:"time" min:"1e-3" max:"86400" eg:"2 s, 30 s" doc:"shortest and longest burst"`
	Pause     []Number `spec:"pause" dim:"time" min:"1e-3" max:"86400" eg:"5 s, 40 s" doc:"shortest and longest pause"`
	MeanBurst Number   `spec:"mean_burst" dim:"time" min:"1e-3" max:"86400" eg:"8 s" doc:"mean length of bursts, which are then spread exponentially instead of evenly"`
	MeanPause Number   `spec:"mean_pause" dim:"time" min:"1e-3" max:"86400" eg:"12 s" doc:"mean length of pauses, likewise"`
	High      []Number `spec:"high" dim:"ratio" min:"0" max:"10" eg:"60 %, 100 %" doc:"least and largest power of a burst, between idle and the part's own power"`
	Low       []Number `spec:"low" dim:"ratio" min:"0" max:"10" eg:"0 %, 20 %" doc:"least and largest power of a pause"`
	Apart     string   `spec:"apart" one:"nothing|levels|both" eg:"levels" doc:"what each part that follows it draws for itself: nothing, its levels, or its lengths too"`
}

// Log is a measured log as a source of power or of a temperature.
type Log struct {
	File    string `spec:"file" eg:"render.csv" doc:"csv or Parquet file, beside the scenario or in a folder there"`
	Time    string `spec:"time" eg:"Time" doc:"heading of the column of time; the first column if not stated"`
	Form    string `spec:"form" eg:"hh:mm:ss" doc:"how time is written, where the log does not say: a unit such as s or ms, epoch s, mm:ss, hh:mm, hh:mm:ss, time of day, or dd/mm/yyyy or mm/dd/yyyy for its dates"`
	Column  string `spec:"column" eg:"CPU power" doc:"heading of the column to follow, with or without its unit"`
	Unit    string `spec:"unit" eg:"W" doc:"unit of that column, where the heading does not say"`
	Between string `spec:"between" one:"hold|line" eg:"hold" doc:"what lies between samples: the last one, as for power if not stated, or a straight line, as for a temperature"`
	Merge   Number `spec:"merge" dim:"time" min:"0.001" max:"3600" eg:"0.1 s" doc:"merge samples into steps of at least this length with their mean, energy kept"`

	Series *Series // what was read, W or K; nil before that. It is shared by copies and never changed
}
