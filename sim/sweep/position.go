package sweep

// sampler says where a group of axes stands in design i. It is a function of its
// arguments alone.
type sampler interface {
	at(i, group int) position
}

// position is where an axis stands: on one of its levels, at a share of what its
// values are drawn from, or where the scenario states it.
type position struct {
	kind  positionKind
	level int
	share float64 // 0 < share < 1: the share of draws that are less
}

type positionKind uint8

const (
	_ positionKind = iota // as stated
	level
	share
)

var asStated = position{}

func onLevel(j int) position { return position{kind: level, level: j} }

// drawn keeps a share away from the ends of its range, where a distribution may
// have none.
func drawn(u float64) position {
	return position{kind: share, share: min(max(u, 0x1p-53), 1-0x1p-53)}
}
