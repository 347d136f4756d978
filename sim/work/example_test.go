package work_test

import (
	"fmt"
	"log"

	"soakledger/sim/work"
)

// Two rounds of play for a chip of 20 W idle and 320 W full power, given as
// shares, beside a pump that runs up in 2 s.
func Example() {
	session := work.Session{Rounds: 2, Loading: 20, Round: 1080, Lobby: 120}
	pieces, err := session.Pieces(work.SessionPower{Loading: 0.3, Round: 1, Lobby: 0.2})
	if err != nil {
		log.Fatal(err)
	}
	play, err := work.FromPieces(pieces, 1, 0)
	if err != nil {
		log.Fatal(err)
	}
	pump, err := work.FromPieces([]work.Piece{{Length: 2, From: 0, To: 10}}, 1, 10)
	if err != nil {
		log.Fatal(err)
	}
	line := work.NewTimeline([]work.Pattern{play.Between(20, 320), pump})

	cursor := work.NewCursor(line)
	power, slope := make([]float64, 2), make([]float64, 2)
	cursor.Load(0, power, slope)
	fmt.Println("start", power, slope)
	for b, ok := cursor.Next(0); ok; b, ok = cursor.Next(b.At) {
		cursor.Load(b.At, power, slope)
		fmt.Printf("%g s, jump %v: %.0f W\n", b.At, b.Jump, power)
	}
	// Output:
	// start [110 0] [0 5]
	// 2 s, jump false: [110 10] W
	// 20 s, jump true: [320 10] W
	// 1100 s, jump true: [80 10] W
	// 1220 s, jump true: [110 10] W
	// 1240 s, jump true: [320 10] W
	// 2320 s, jump true: [80 10] W
	// 2440 s, jump true: [20 10] W
}
