package work

import (
	"fmt"
	"math"
)

// Session is an evening of play: rounds with a loading screen before and a
// lobby after each, and longer breaks. Lengths are those of the machine; each
// part has its own powers.
type Session struct {
	Rounds  int     // >= 1
	Loading float64 // s before each round; 0 for none
	Round   float64 // s, > 0
	Lobby   float64 // s after each round, the last included; 0 for none
	Break   float64 // s after every BreakAfter rounds, but not after the last; 0 for none
	// BreakAfter is how many rounds lie between breaks; >= 1 if there is a Break.
	BreakAfter int
}

// SessionPower is what one part asks for during a session, W or shares.
type SessionPower struct {
	Loading, Round, Lobby, Break float64
}

// Pieces returns what a part asks for, from the first loading screen to the end
// of the last lobby. It fails on a count, length or power out of its range.
func (s Session) Pieces(power SessionPower) ([]Piece, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	var pieces []Piece
	for round := 1; round <= s.Rounds; round++ {
		pieces = appendLevel(pieces, s.Loading, power.Loading)
		pieces = appendLevel(pieces, s.Round, power.Round)
		pieces = appendLevel(pieces, s.Lobby, power.Lobby)
		if s.Break > 0 && round%s.BreakAfter == 0 && round < s.Rounds {
			pieces = appendLevel(pieces, s.Break, power.Break)
		}
	}
	return pieces, nil
}

// appendLevel appends a level if it lasts.
func appendLevel(pieces []Piece, length, power float64) []Piece {
	if length == 0 {
		return pieces
	}
	return append(pieces, Piece{Length: length, From: power, To: power})
}

// check reports what of a session is out of its range; powers are left to
// FromPieces.
func (s Session) check() error {
	switch {
	case s.Rounds < 1 || s.Rounds > mostPieces:
		return fmt.Errorf("work: a session cannot have %d rounds", s.Rounds)
	case !(s.Round > 0) || math.IsInf(s.Round, 0):
		return fmt.Errorf("work: a round of a session cannot last %g s", s.Round)
	case s.Break > 0 && s.BreakAfter < 1:
		return fmt.Errorf("work: a session cannot have a break after every %d rounds", s.BreakAfter)
	}
	for _, l := range []struct {
		name   string
		length float64
	}{{"loading screen", s.Loading}, {"lobby", s.Lobby}, {"break", s.Break}} {
		if !(l.length >= 0) || math.IsInf(l.length, 0) {
			return fmt.Errorf("work: a %s of a session cannot last %g s", l.name, l.length)
		}
	}
	return nil
}

// Renders returns passes of a render (s and W or share each) with gaps between
// them, none after the last. It fails if there is no pass or one does not last;
// a gap may be 0.
func Renders(passes int, pass, gap, power, idle float64) ([]Piece, error) {
	switch {
	case passes < 1 || passes > mostPieces:
		return nil, fmt.Errorf("work: a render cannot have %d passes", passes)
	case !(pass > 0) || math.IsInf(pass, 0):
		return nil, fmt.Errorf("work: a pass of a render cannot last %g s", pass)
	case !(gap >= 0) || math.IsInf(gap, 0):
		return nil, fmt.Errorf("work: a gap between passes of a render cannot last %g s", gap)
	}
	var pieces []Piece
	for i := range passes {
		if i > 0 {
			pieces = appendLevel(pieces, gap, idle)
		}
		pieces = appendLevel(pieces, pass, power)
	}
	return pieces, nil
}
