package spec

// Number is a scalar that a scenario may leave unset. Value is in SI units
// and only meaningful when Set is true.
type Number struct {
	Value float64
	Set   bool
}

// Some returns a Number that is set to v (SI).
func Some(v float64) Number { return Number{Value: v, Set: true} }

// Or returns the value if it is set and def otherwise.
func (n Number) Or(def float64) float64 {
	if n.Set {
		return n.Value
	}
	return def
}

// Dimension names what a Number measures. The SI unit of each is given behind
// it; trade units exist only where text is read or written.
type Dimension string

// The dimensions a scenario's fields can have.
const (
	None           Dimension = ""
	Length         Dimension = "length"        // m
	Area           Dimension = "area"          // m2
	Angle          Dimension = "angle"         // rad
	Volume         Dimension = "volume"        // m3
	Mass           Dimension = "mass"          // kg
	VolumeFlow     Dimension = "flow"          // m3/s, of coolant
	Airflow        Dimension = "airflow"       // m3/s, of air
	Pressure       Dimension = "pressure"      // Pa
	PowerFlow      Dimension = "power"         // W
	Resistance     Dimension = "resistance"    // K/W
	Conductance    Dimension = "conductance"   // W/K
	HeatCapacity   Dimension = "capacity"      // J/K
	Energy         Dimension = "energy"        // J
	Temperature    Dimension = "temperature"   // K, absolute
	Difference     Dimension = "difference"    // K
	Time           Dimension = "time"          // s
	RotationSpeed  Dimension = "speed"         // revolutions per second
	RotationChange Dimension = "speed_change"  // revolutions per second squared
	Ratio          Dimension = "ratio"         // 1
	PerKelvin      Dimension = "per_kelvin"    // 1/K
	SoundLevel     Dimension = "sound"         // dB(A)
	Density        Dimension = "density"       // kg/m3
	SpecificHeat   Dimension = "specific_heat" // J/(kg K)
	Count          Dimension = "count"         // whole number
	Head           Dimension = "head"          // Pa; m is metres of water at 9806.65 Pa/m
	Factor         Dimension = "factor"        // 1, a bare number
	PerInch        Dimension = "per_inch"      // 1/(0.0254 m), a bare number of fins
	Price          Dimension = "price"         // a bare number in any one currency
)

// Power is a requested heat: a fixed number of watts, or a share. With Of
// empty a share refers to the part's own stated power (in the steps of a work
// pattern); otherwise to the requested power of the part named Of.
type Power struct {
	Watts Number // W, >= 0
	Share Number // 1, >= 0
	Of    string // name of another part or chip or lump
}

// Set reports whether the power was stated at all.
func (p Power) Set() bool { return p.Watts.Set || p.Share.Set }

// Repeat says how often a work pattern runs: once if unset.
type Repeat struct {
	Count   int // >= 1 when set
	Forever bool
}
