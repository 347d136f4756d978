// Package log reads measured logs, as text with separated columns (csv) or as
// Parquet, into series in SI units. The caller says which column is the time,
// which others it wants and what they measure; the unit comes from the heading
// or a row of units unless the caller states it.
//
// Logs are taken as they come: text may be separated by commas, semicolons or
// tabs, decimals written with a point or a comma, stamps irregular, cells
// empty. What had to be left out or looks doubtful is counted and told as a
// finding with its place; what has two meanings is an error that shows both.
// Nothing is changed in silence, and nothing is guessed between two meanings.
package log
