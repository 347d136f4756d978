package log_test

import (
	"fmt"
	"testing/fstest"

	"soakledger/scenarios/log"
	"soakledger/sim/spec"
)

func ExampleRead() {
	fsys := fstest.MapFS{"evening.csv": {Data: []byte(`# first warm-up
Time (mm:ss);Coolant [°C];Board / W
00:00;24,5;15
00:30;24,5;210
01:00;25,75;
01:30;26,5;212
`)}}
	l, err := log.Read(fsys, "evening.csv", log.Request{
		Time: log.Time{Column: "Time"},
		Columns: []log.Column{
			{Heading: "Coolant", Dimension: spec.Temperature},
			{Heading: "Board", Dimension: spec.PowerFlow, Hold: true},
		},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	coolant, board := l.Readings[0].Series, l.Readings[1].Series
	fmt.Printf("%.1f K after 45 s\n", coolant.At(45))
	fmt.Printf("%.0f J in %.0f s\n", board.Integral(0, board.Duration()), board.Duration())
	for _, finding := range l.Findings {
		fmt.Println(finding)
	}
	// Output:
	// 298.3 K after 45 s
	// 13050 J in 90 s
	// column 3 "Board / W": 1 empty cell, the first in line 5: the series has no samples there
}
