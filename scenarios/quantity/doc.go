// Package quantity turns what people write, "450 mm" or "1.1 gpm", into SI
// values and back. A quantity always carries its unit; the dimension of the
// field decides which units are allowed, and nothing is ever guessed between
// two meanings: mW and MW differ, "10m" is refused as a time.
//
// Conversion is exact: number and unit factor are multiplied as rationals and
// rounded to float64 once, so that 0.2 m, 20 cm and 200 mm are the same value.
package quantity
