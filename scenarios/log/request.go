package log

import (
	"time"

	"soakledger/sim/spec"
)

// Request says what is wanted of a log.
//
// Columns are chosen by their headings: the whole heading or the heading
// without its unit, capital and small letters aside if need be. Where several
// have the same, "Temp #2" is the second of them from the left; "#4" is the
// fourth column of the file.
type Request struct {
	Time    Time
	Columns []Column // at least one
	Decimal string   // "." or ","; empty for what the log shows
	Sort    bool     // put rows with backward stamps in order; otherwise they are an error
}

// Time says how a log tells the time.
type Time struct {
	Column string // its heading
	Date   string // heading of the column with the date, where Column has only the time of day

	// Form states the meaning of stamps that the log leaves open, or one that it
	// states wrongly: a unit of time (s, ms, min, h, d), "epoch s" or "epoch ms"
	// for the time since 1970-01-01 00:00 UTC, "mm:ss", "hh:mm" or "hh:mm:ss" for
	// the time since a start, "time of day" for a clock that may pass midnight.
	// Empty for what the log says.
	Form string

	// DateForm is "dd/mm/yyyy" or "mm/dd/yyyy", with any marks between the
	// numbers, for dates that can be read either way. Dates that begin with the
	// year need none, nor do dates with points, which begin with the day.
	DateForm string
}

// Column is one quantity wanted of a log.
type Column struct {
	Heading   string
	Dimension spec.Dimension // what it measures
	Unit      string         // what its cells are in; empty for what the log says
	Hold      bool           // each value holds until the next stamp (see spec.Series)
}

// Log is what was read. Times count from the first stamp of the log.
type Log struct {
	Start    time.Time // of the first stamp; zero where the log tells no date. Without a zone in the log it is as if in UTC
	Readings []Reading // one for each column of the request, in its order
	Counts   Counts
	Findings []string // everything a user should know before using the log, one line each
}

// Reading is one column that was read.
type Reading struct {
	Heading    string // as in the file
	Unit       string // in which the cells were read
	Series     *spec.Series
	Step       float64 // s, the median step between samples of the series; 0 where there is but one
	Holes      int     // cells without a value, where the series has no sample
	NotNumbers int     // cells with something else than a value, where it has none either
}

// Gap returns the longest step between two samples that is not yet a gap, s.
func (r Reading) Gap() float64 { return gapSteps * r.Step }

// Counts says how the rows of a log went. Each is told by a finding as well.
type Counts struct {
	Rows       int // of data, everything else included
	Unplaced   int // rows left out because they have no stamp
	Backward   int // rows with a stamp before that of the row above
	Duplicates int // rows with the stamp of another one, whose later values count
	Midnights  int // passed by a clock that tells no date
	Gaps       int // steps longer than 5 times the median step
	Stamps     int // that remain
}
