package quantity

import "soakledger/sim/spec"

// Exact factors. The inch, pound and foot follow the international yard and
// pound agreement of 1959; the US gallon is 231 cubic inches and 128 fluid
// ounces; pound-force and water columns use the standard acceleration
// 9.80665 m/s2 (water column "conventional"; a head in metres is one of water). The same factors, rounded, are
// printed in NIST SP 811 (2008), appendix B. The degree is pi/180, here to 36
// digits, so that what is read is correctly rounded.
const (
	inch       = "0.0254"
	pound      = "0.45359237"
	ounce      = "0.028349523125"
	gallon     = "0.003785411784"
	gallonHour = "0.003785411784/3600"
	gallonMin  = "0.003785411784/60"
	fluidOunce = "0.0000295735295625"
	footMin    = "0.028316846592/60"
	degree     = "0.0174532925199432957692369076848861271"
	psi        = "44482216152605/6451600000" // 4.4482216152605 N / (0.0254 m)2
)

// kinds is read only.
var kinds = map[spec.Dimension]kind{
	spec.None: {label: "plain number", example: "1.5"},
	spec.Count: {
		label: "count", example: "4",
	},
	spec.Factor: {
		label: "factor", example: "1.5",
		why: "a factor compares two things of one kind and is a bare number",
	},
	spec.PerInch: {
		label: "fin density", example: "16",
		why: "fins along an inch are counted, as a bare number",
	},
	spec.Price: {
		label: "price", example: "60",
		why: "a price is a bare number, in any one currency for the whole file",
	},
	spec.Length: {
		label: "length", example: "450 mm", suggest: []string{"mm", "m"},
		units: []unit{
			u("mm", "1/1000", "millimetre", "millimetres", "millimeter", "millimeters"),
			u("cm", "1/100", "centimetre", "centimetres", "centimeter", "centimeters"),
			u("m", "1", "metre", "metres", "meter", "meters"),
			u("in", inch, "inch", "inches", `"`, "''"),
		},
		show: []scale{{"mm", 0}, {"m", 1}},
	},
	spec.Area: {
		label: "area", example: "100 cm2", suggest: []string{"cm2", "m2"},
		units: []unit{
			u("mm2", "1e-6", "mm^2", "sq mm"),
			u("cm2", "1e-4", "cm^2", "sq cm"),
			u("m2", "1", "m^2", "sq m"),
			u("in2", "0.00064516", "in^2", "sq in"),
		},
		show: []scale{{"cm2", 0}, {"m2", 1}},
	},
	spec.Angle: {
		label: "angle", example: "27 deg", suggest: []string{"deg"},
		units: []unit{
			u("deg", degree, "degree", "degrees", "°"),
			u("rad", "1", "radian", "radians"),
		},
		show: []scale{{"deg", 0}},
	},
	spec.Airflow: {
		label: "airflow", example: "95 m3/h", suggest: []string{"m3/h", "cfm"},
		units: []unit{
			u("m3/h", "1/3600", "m^3/h", "m3/hr", "m3/hour"),
			u("cfm", footMin, "CFM", "ft3/min", "ft^3/min", "cu ft/min"),
			u("L/s", "1/1000", "l/s"),
			u("L/min", "1/60000", "l/min"),
			u("m3/min", "1/60", "m^3/min"),
			u("m3/s", "1", "m^3/s"),
		},
		show: []scale{{"m3/h", 0}},
	},
	spec.Volume: {
		label: "volume", example: "180 mL", suggest: []string{"mL", "L"},
		units: []unit{
			u("mL", "1e-6", "ml", "cm3", "cc", "millilitre", "millilitres", "milliliter", "milliliters"),
			u("L", "1/1000", "l", "litre", "litres", "liter", "liters", "dm3"),
			u("fl oz", fluidOunce, "floz", "fl. oz", "fl. oz.", "US fl oz"),
			u("US gal", gallon),
			u("m3", "1", "m^3"),
		},
		show: []scale{{"mL", 0}, {"L", 1e-3}, {"m3", 1}},
	},
	spec.Mass: {
		label: "mass", example: "800 g", suggest: []string{"g", "kg"},
		units: []unit{
			u("g", "1/1000", "gram", "grams", "gramme", "grammes"),
			u("kg", "1", "kilogram", "kilograms"),
			u("oz", ounce, "ounce", "ounces"),
			u("lb", pound, "lbs", "pound", "pounds"),
		},
		show: []scale{{"g", 0}, {"kg", 1}},
	},
	spec.VolumeFlow: {
		label: "flow", example: "4 L/min", suggest: []string{"L/min", "L/h"},
		units: []unit{
			u("L/min", "1/60000", "l/min", "lpm", "LPM", "Lpm", "litre/min", "litres/min", "litre/minute", "litres/minute", "liters/minute"),
			u("L/h", "1/3600000", "l/h", "lph", "LPH", "L/hr", "l/hr", "L/hour", "l/hour", "litres/hour", "liters/hour"),
			u("mL/s", "1e-6", "ml/s"),
			u("L/s", "1/1000", "l/s"),
			u("gpm", gallonMin, "GPM", "gal/min", "US gal/min"),
			u("gph", gallonHour, "GPH", "gal/h", "gal/hr", "US gal/h"),
			u("m3/h", "1/3600", "m^3/h", "m3/hr", "m3/hour"),
			u("m3/s", "1", "m^3/s"),
		},
		show: []scale{{"L/min", 0}},
	},
	spec.Pressure: {
		label: "pressure", example: "1.9 mmH2O", suggest: []string{"kPa", "mmH2O"},
		units: []unit{
			u("Pa", "1", "pascal"),
			u("kPa", "1000"),
			u("mbar", "100", "hPa"),
			u("bar", "100000"),
			u("mmH2O", "9.80665", "mm H2O", "mmAq"),
			u("mH2O", "9806.65", "m H2O"),
			u("inH2O", "249.08891", "in H2O"),
			u("psi", psi, "PSI", "lbf/in2"),
		},
		show: []scale{{"Pa", 0}, {"kPa", 1e3}},
	},
	spec.Head: {
		label: "head", example: "3.6 m", suggest: []string{"m", "kPa"},
		units: []unit{
			u("m", "9806.65", "mH2O", "m H2O", "metre", "metres", "meter", "meters"),
			u("cm", "98.0665", "cmH2O", "cm H2O"),
			u("mm", "9.80665", "mmH2O", "mm H2O"),
			u("kPa", "1000"),
			u("mbar", "100", "hPa"),
			u("bar", "100000"),
			u("psi", psi, "PSI", "lbf/in2"),
		},
		show: []scale{{"m", 0}},
	},
	spec.PowerFlow: {
		label: "power", example: "210 W", suggest: []string{"W"},
		units: []unit{
			u("W", "1", "w", "watt", "watts", "Watt", "Watts"),
			u("kW", "1000", "kilowatt", "kilowatts"),
			u("mW", "1/1000", "milliwatt", "milliwatts"),
			u("MW", "1e6", "megawatt", "megawatts"),
		},
		show: []scale{{"mW", 0}, {"W", 0.1}, {"kW", 1e4}},
	},
	spec.Resistance: {
		label: "thermal resistance", example: "0.12 K/W", suggest: []string{"K/W"},
		units: []unit{
			u("K/W", "1", "degC/W", "deg C/W", "°C/W", "° C/W", "C/W", "kelvin/watt"),
			u("mK/W", "1/1000"),
			reciprocal("W/K", "1", "W/degC", "W/deg C", "W/°C", "W/C", "watt/kelvin"),
		},
		show: []scale{{"K/W", 0}},
	},
	spec.Conductance: {
		label: "thermal conductance", example: "18 W/K", suggest: []string{"W/K", "W per 10 K"},
		units: []unit{
			u("W/K", "1", "W/degC", "W/deg C", "W/°C", "W/C", "watt/kelvin"),
			u("W per 10 K", "1/10", "W/10 K", "W/10K", "W/10 degC", "W/10 °C", "W/10°C", "W/10 C", "W/10C"),
			u("kW/K", "1000"),
			reciprocal("K/W", "1", "degC/W", "deg C/W", "°C/W", "° C/W", "C/W", "kelvin/watt"),
			reciprocal("mK/W", "1/1000"),
		},
		show: []scale{{"W/K", 0}},
	},
	spec.HeatCapacity: {
		label: "heat capacity", example: "80 J/K", suggest: []string{"J/K", "kJ/K"},
		units: []unit{
			u("J/K", "1", "J/degC", "J/°C", "J/C"),
			u("kJ/K", "1000", "kJ/degC", "kJ/°C", "kJ/C"),
			u("MJ/K", "1e6"),
			u("Wh/K", "3600", "W h/K"),
		},
		show: []scale{{"J/K", 0}, {"kJ/K", 1e3}, {"MJ/K", 1e6}},
	},
	spec.Energy: {
		label: "energy", example: "150 kJ", suggest: []string{"J", "kJ"},
		units: []unit{
			u("J", "1", "joule", "joules"),
			u("kJ", "1000"),
			u("MJ", "1e6"),
			u("Wh", "3600", "W h"),
			u("kWh", "3600000", "kW h"),
		},
		show: []scale{{"J", 0}, {"kJ", 1e3}, {"MJ", 1e6}},
	},
	spec.Temperature: {
		label: "temperature", example: "22 degC", suggest: []string{"degC"},
		units: []unit{
			shifted("degC", "273.15", "1", "°C", "° C", "deg C", "C", "celsius", "Celsius"),
			shifted("degF", "459.67", "5/9", "°F", "° F", "deg F", "F", "fahrenheit", "Fahrenheit"),
			u("K", "1", "kelvin"),
		},
		show: []scale{{"degC", 0}},
	},
	spec.Difference: {
		label: "temperature difference", example: "0.5 K", suggest: []string{"K", "mK"},
		units: []unit{
			u("K", "1", "kelvin"),
			u("mK", "1/1000"),
		},
		show: []scale{{"mK", 0}, {"K", 0.1}},
	},
	spec.Time: {
		label: "time", example: "40 min", suggest: []string{"s", "min", "h"},
		units: []unit{
			u("s", "1", "sec", "secs", "second", "seconds"),
			u("min", "60", "mins", "minute", "minutes"),
			u("h", "3600", "hr", "hrs", "hour", "hours"),
			u("ms", "1/1000", "msec", "millisecond", "milliseconds"),
			u("d", "86400", "day", "days"),
		},
		show: []scale{{"ms", 0}, {"s", 1}, {"min", 120}, {"h", 7200}},
	},
	spec.RotationSpeed: {
		label: "rotation speed", example: "1200 rpm", suggest: []string{"rpm"},
		units: []unit{u("rpm", "1/60", "RPM", "Rpm", "r/min", "rev/min", "1/min", "U/min")},
		show:  []scale{{"rpm", 0}},
	},
	spec.RotationChange: {
		label: "change of rotation speed", example: "300 rpm/s", suggest: []string{"rpm/s"},
		units: []unit{u("rpm/s", "1/60", "RPM/s", "rpm/sec", "rpm/second")},
		show:  []scale{{"rpm/s", 0}},
	},
	spec.Ratio: {
		label: "share", example: "30 %", suggest: []string{"%"},
		units: []unit{u("%", "1/100", "percent", "per cent", "pct")},
		show:  []scale{{"%", 0}},
	},
	spec.PerKelvin: {
		label: "change per kelvin", example: "2 %/K", suggest: []string{"%/K"},
		units: []unit{
			u("%/K", "1/100", "%/degC", "%/°C", "%/C", "percent/K"),
			u("1/K", "1", "/K", "K-1", "K^-1"),
		},
		show: []scale{{"%/K", 0}},
	},
	spec.SoundLevel: {
		label: "sound level", example: "30 dBA", suggest: []string{"dBA"},
		units: []unit{u("dBA", "1", "dB(A)", "dB A", "dba", "DBA")},
		show:  []scale{{"dBA", 0}},
	},
	spec.Density: {
		label: "density", example: "998 kg/m3", suggest: []string{"kg/m3"},
		units: []unit{
			u("kg/m3", "1", "kg/m^3"),
			u("g/mL", "1000", "g/ml", "g/cm3", "g/cm^3", "g/cc"),
			u("kg/L", "1000", "kg/l"),
		},
		show: []scale{{"kg/m3", 0}},
	},
	spec.SpecificHeat: {
		label: "specific heat", example: "4180 J/(kg K)", suggest: []string{"J/(kg K)"},
		units: []unit{
			u("J/(kg K)", "1", "J/kg/K", "J/kgK", "J/(kgK)", "J/kg K", "J/(kg degC)", "J/(kg °C)"),
			u("kJ/(kg K)", "1000", "kJ/kg/K", "kJ/kgK", "kJ/(kgK)", "kJ/kg K", "kJ/(kg degC)", "kJ/(kg °C)", "J/(g K)"),
		},
		show: []scale{{"J/(kg K)", 0}},
	},
}
