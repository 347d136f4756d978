package part_test

import (
	"math"
	"strings"
	"testing"

	"soakledger/sim/part"
)

// Time constants of die with its first interface 0.05 to 0.3 s, of a spreader 1
// to 3 s; resistances, idle and sustained power and limits of each kind of chip
// (all common practice, no source).
func TestChipClasses(t *testing.T) {
	const zero = celsius
	for word, c := range map[string]struct{ resistance, throttle, shutdown, power [2]float64 }{
		"desktop with spreader": {[2]float64{0.08, 0.30}, [2]float64{90, 100}, [2]float64{105, 125}, [2]float64{65, 250}},
		"compact desktop":       {[2]float64{0.14, 0.30}, [2]float64{90, 100}, [2]float64{105, 125}, [2]float64{65, 250}},
		"workstation":           {[2]float64{0.04, 0.07}, [2]float64{90, 100}, [2]float64{105, 125}, [2]float64{280, 500}},
		"bare die graphics":     {[2]float64{0.03, 0.06}, [2]float64{83, 95}, [2]float64{105, 125}, [2]float64{200, 450}},
	} {
		class := must[part.ChipClass](t)(part.ChipClassNamed(word))
		for name, d := range map[string]struct {
			part.Default
			want [2]float64
			zero float64
		}{
			"die_to_plate": {class.DieToPlate, c.resistance, 0}, "throttle": {class.Throttle, c.throttle, zero},
			"shutdown": {class.Shutdown, c.shutdown, zero}, "sustained": {class.Sustained, c.power, 0},
		} {
			inside(t, word+" "+name+" low", d.Low-d.zero, d.want[0]-1e-9, d.want[1])
			inside(t, word+" "+name+" high", d.High-d.zero, d.want[0], d.want[1]+1e-9)
		}
		dieSpreader, spreaderPlate := part.DieToSpreader(class.DieToPlate.Value, class.DieShare.Value)
		inside(t, word+" die, s", class.DieCapacity.Value/dieSpreader, 0.05, 0.3)
		inside(t, word+" spreader, s", class.SpreaderCapacity.Value/spreaderPlate, 1, 3)
		if !(class.Idle.Value < class.Sustained.Low && class.Throttle.High < class.Shutdown.Low) {
			t.Errorf("%s: idle, sustained, throttle and shutdown are out of order", word)
		}
	}
	if d := part.DesktopChip().DieToPlate; !(d.Low < 0.28 && 0.28 < d.High) {
		t.Errorf("a desktop's %g to %g K/W leave out 0.28", d.Low, d.High)
	}
	if _, err := part.ChipClassNamed("workstaton"); err == nil || !strings.Contains(err.Error(), `"workstation" may be meant`) {
		t.Errorf("an unknown chip gives %v", err)
	}
}

// A card of 320 W puts 32 to 48 W of regulators into its block.
func TestRegulatorShare(t *testing.T) {
	d := part.RegulatorShare()
	if math.Abs(320*d.Low-32) > 1e-9 || math.Abs(320*d.High-48) > 1e-9 {
		t.Errorf("regulators %g to %g W", 320*d.Low, 320*d.High)
	}
}
