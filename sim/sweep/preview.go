package sweep

import (
	"context"
	"fmt"
)

// Drops says how many designs meet the conditions of a plan.
type Drops struct {
	Looked int   // designs that were looked at
	Kept   int   // of these, how many are kept
	By     []int // of these, how many each condition drops that those before it keep
}

// All reports whether every design of the plan was looked at; otherwise the
// figures are those of a sample.
func (d Drops) All(p *Plan) bool { return d.Looked == p.count }

// Drops counts dropped designs without making any: of all, or where there are
// more than most (>= 1) of that many, drawn from the plan at random but the same
// every time.
func (p *Plan) Drops(ctx context.Context, most int) (Drops, error) {
	n := min(p.count, max(most, 1))
	d := Drops{Kept: n, By: make([]int, len(p.keep))}
	if len(p.keep) == 0 {
		d.Looked, d.Kept = p.count, p.count
		return d, nil
	}
	d.Kept = 0
	for j := range n {
		if j%4096 == 0 && ctx.Err() != nil {
			return d, fmt.Errorf("sweep: counting designs: %w", ctx.Err())
		}
		fails, err := p.fails(p.valuesAt(p.drawn(j, n)))
		switch {
		case err != nil:
			return d, fmt.Errorf("sweep: counting designs: %w", err)
		case fails >= 0:
			d.By[fails]++
		default:
			d.Kept++
		}
		d.Looked++
	}
	return d, nil
}
