package work

import (
	"math"
	"math/big"
	"testing"

	"pgregory.net/rapid"
)

func TestEnergyOfTheTrapezium(t *testing.T) {
	// By hand: 10 s x 150 W + 20 s x 200 W + 5 s x 125 W = 6125 J a cycle.
	p := mustPieces(t, trapezium, 2, 7)
	for _, c := range []struct{ from, to, want float64 }{
		{0, 35, 6125}, {0, 70, 12250}, {0, 80, 12320}, {-10, 0, 70}, {-10, 80, 12390}, {70, 71, 7},
		{5, 10, 875}, {2, 4, 260}, {5, 15, 1875}, {30, 31, 185}, {34, 36, 65 + 105}, {5, 40, 6125}, {5, 5, 0}, {15, 5, -1875},
	} {
		if got := p.Energy(c.from, c.to); math.Abs(got-c.want) > 1e-12*math.Abs(c.want) {
			t.Errorf("from %g to %g s: %.17g J, want %g J", c.from, c.to, got, c.want)
		}
	}
	if got := p.Mean(0, 70); got != 175 {
		t.Errorf("mean %g W", got)
	}
	if got := p.Mean(5, 5); got != 150 {
		t.Errorf("mean over no time at 5 s is %g W", got)
	}
	if got := Constant(8).Energy(-1, 2); got != 24 {
		t.Errorf("8 W for 3 s are %g J", got)
	}
	energy, mean := make([]float64, 2), make([]float64, 2)
	l := NewTimeline([]Pattern{p, Constant(3)})
	if l.Energy(0, 70, energy); energy[0] != 12250 || energy[1] != 210 {
		t.Errorf("energies %v", energy)
	}
	if l.Mean(0, 70, mean); mean[0] != 175 || mean[1] != 3 {
		t.Errorf("means %v", mean)
	}
}

// The energy of three pieces late in a long series is as exact as that of the
// first three: it is no difference of two rounded sums.
func TestEnergyLateInALongScript(t *testing.T) {
	const n = 900_000
	pieces := make([]Piece, n)
	for i := range pieces {
		pieces[i] = Piece{Length: 0.125, From: 100 + 0.1*float64(i%7), To: 0.3 * float64(i%11)}
	}
	p := mustPieces(t, pieces, 1, 0)
	for _, i := range []int{0, 63, 64, 4096, n - 70, n - 3} {
		want := 0.0
		for _, q := range pieces[i : i+3] {
			want += q.Length * (q.From + q.To) / 2
		}
		from := 0.125 * float64(i)
		if got := p.Energy(from, from+0.375); math.Abs(got-want) > 1e-14*want {
			t.Errorf("pieces %d to %d hold %.17g J, want %.17g J", i, i+2, got, want)
		}
	}
}

// script adds up the energy of pieces with rational numbers.
func scriptEnergy(pieces []Piece, cycles int) float64 {
	sum := new(big.Rat)
	half := big.NewRat(1, 2)
	for _, p := range pieces {
		a := new(big.Rat).SetFloat64(p.From)
		a.Add(a, new(big.Rat).SetFloat64(p.To))
		a.Mul(a, half)
		sum.Add(sum, a.Mul(a, new(big.Rat).SetFloat64(p.Length)))
	}
	sum.Mul(sum, big.NewRat(int64(cycles), 1))
	energy, _ := sum.Float64()
	return energy
}

// Property: the energy of the whole is that of the script to 1e-12.
func TestEnergyIsThatOfTheScript(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		pieces := drawPieces(t, "p")
		cycles := rapid.IntRange(1, 1000).Draw(t, "cycles")
		p, err := FromPieces(pieces, cycles, 5)
		if err != nil {
			t.Fatal(err)
		}
		end, _ := p.End()
		want := scriptEnergy(pieces, cycles)
		if got := p.Energy(0, end); math.Abs(got-want) > 1e-12*want {
			t.Fatalf("%.17g J, want %.17g J", got, want)
		}
	})
}

// Property: the energy between any two times is the numeric sum over the lines
// between breaks, and adds up at any time between.
func TestEnergyIsTheNumericSum(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p, _, _, _ := drawPattern(t, "p")
		p = p.Between(rapid.Float64Range(0, 10).Draw(t, "idle"), rapid.Float64Range(11, 12).Draw(t, "full"))
		from := rapid.Float64Range(-5, 900).Draw(t, "from")
		to := from + rapid.Float64Range(0, 900).Draw(t, "length")
		l := NewTimeline([]Pattern{p})
		sum, size := 0.0, 0.0
		add := func(a, b float64) {
			// The middle of a line is its mean.
			sum += (b - a) * p.At(a+(b-a)/2)
			size += (b - a) * math.Abs(p.At(a+(b-a)/2))
		}
		at := from
		if at < 0 {
			add(at, math.Min(0, to))
			at = math.Min(0, to)
		}
		for at < to {
			next, ok := l.NextBreak(at)
			end := to
			if ok {
				end = math.Min(to, next.At)
			}
			add(at, end)
			at = end
		}
		if got := p.Energy(from, to); math.Abs(got-sum) > 1e-10*(1+size) {
			t.Fatalf("from %v to %v s: %v J, want %v J", from, to, got, sum)
		}
		middle := from + (to-from)*rapid.Float64Range(0, 1).Draw(t, "middle")
		if got := p.Energy(from, middle) + p.Energy(middle, to); math.Abs(got-sum) > 1e-10*(1+size) {
			t.Fatalf("in two parts: %v J, want %v J", got, sum)
		}
	})
}
