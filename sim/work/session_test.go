package work

import (
	"math"
	"slices"
	"strings"
	"testing"
)

func TestSessionPieces(t *testing.T) {
	power := SessionPower{Loading: 90, Round: 300, Lobby: 60, Break: 15}
	s := Session{Rounds: 3, Loading: 20, Round: 1080, Lobby: 120, Break: 600, BreakAfter: 2}
	got, err := s.Pieces(power)
	want := []Piece{
		{20, 90, 90}, {1080, 300, 300}, {120, 60, 60},
		{20, 90, 90}, {1080, 300, 300}, {120, 60, 60}, {600, 15, 15},
		{20, 90, 90}, {1080, 300, 300}, {120, 60, 60},
	}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("%v (%v), want %v", got, err, want)
	}
	// A break is not due after the last round.
	s.Rounds = 2
	if got, err := s.Pieces(power); err != nil || !slices.Equal(got, want[:6]) {
		t.Errorf("%v (%v), want %v", got, err, want[:6])
	}
	bare := Session{Rounds: 2, Round: 60}
	if got, err := bare.Pieces(power); err != nil || !slices.Equal(got, []Piece{{60, 300, 300}, {60, 300, 300}}) {
		t.Errorf("bare rounds are %v (%v)", got, err)
	}
}

// Eight rounds of 18 min with a loading screen of 20 s before and a lobby of
// 2 min after each take 8 x 1220 s, and ask for 8 x (20 x 90 + 1080 x 300 +
// 120 x 60) J.
func TestAnEvening(t *testing.T) {
	pieces, err := Session{Rounds: 8, Loading: 20, Round: 1080, Lobby: 120}.Pieces(SessionPower{Loading: 90, Round: 300, Lobby: 60})
	if err != nil {
		t.Fatal(err)
	}
	p := mustPieces(t, pieces, 1, 15)
	if end, ok := p.End(); !ok || end != 9760 {
		t.Errorf("it ends at %g s", end)
	}
	if got := p.Energy(0, 9760); got != 8*(1800+324000+7200) {
		t.Errorf("it asks for %g J", got)
	}
	if got := len(breaks(NewTimeline([]Pattern{p}), math.Inf(1))); got != 24 {
		t.Errorf("it has %d breaks", got)
	}
}

func TestRenders(t *testing.T) {
	got, err := Renders(3, 300, 5, 200, 20)
	want := []Piece{{300, 200, 200}, {5, 20, 20}, {300, 200, 200}, {5, 20, 20}, {300, 200, 200}}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("%v (%v), want %v", got, err, want)
	}
	got, err = Renders(2, 300, 0, 200, 20)
	if err != nil || !slices.Equal(got, []Piece{{300, 200, 200}, {300, 200, 200}}) {
		t.Errorf("passes without gaps are %v (%v)", got, err)
	}
}

func TestSessionsAndRendersRefuse(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		s    Session
		want string
	}{
		{Session{Round: 1}, "cannot have 0 rounds"},
		{Session{Rounds: mostPieces + 1, Round: 1}, "rounds"},
		{Session{Rounds: 1}, "round of a session cannot last 0 s"},
		{Session{Rounds: 1, Round: inf}, "round of a session cannot last +Inf s"},
		{Session{Rounds: 1, Round: 1, Loading: -1}, "loading screen of a session cannot last -1 s"},
		{Session{Rounds: 1, Round: 1, Lobby: nan}, "lobby of a session cannot last NaN s"},
		{Session{Rounds: 1, Round: 1, Break: inf, BreakAfter: 1}, "break of a session cannot last +Inf s"},
		{Session{Rounds: 1, Round: 1, Break: 1}, "break after every 0 rounds"},
	} {
		if _, err := c.s.Pieces(SessionPower{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v gives %v, want %q", c.s, err, c.want)
		}
	}
	for _, c := range []struct {
		passes    int
		pass, gap float64
		want      string
	}{
		{0, 1, 1, "cannot have 0 passes"}, {mostPieces + 1, 1, 1, "passes"}, {1, 0, 1, "pass of a render cannot last 0 s"},
		{1, inf, 1, "pass of a render cannot last +Inf s"}, {1, 1, -1, "gap between passes of a render cannot last -1 s"},
		{1, 1, nan, "gap between passes of a render cannot last NaN s"},
	} {
		if _, err := Renders(c.passes, c.pass, c.gap, 1, 0); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%+v gives %v, want %q", c, err, c.want)
		}
	}
}
