// Package spec holds a scenario as its author stated it: plain data in SI
// units (kelvin, watt, cubic metre), where a figure that was not stated stays
// unset. Nothing here knows a file format, a default or a formula.
//
// A Scenario is treated as immutable: Get reads one value by its path, With
// returns a changed copy. Every field carries, in its struct tags, all that
// readers, checkers and the schema need to know:
//
//	spec:"key"     the key in a scenario file
//	dim:"length"   the dimension of a Number (see Dimension)
//	min, max       the allowed range in SI units, both ends included
//	one:"a|b"      the allowed words of a text
//	short:"key"    a section may be written as this one value
//	share:"own"    a power may be a share of the part's own stated power
//	eg:"10 mm"     an example for messages
//	doc:"..."      one line of meaning, without the unit
package spec
