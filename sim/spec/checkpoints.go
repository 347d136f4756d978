package spec

import "fmt"

// direction says how the second value of a curve goes with the first.
type direction uint8

const (
	rising direction = iota
	notFalling
	falling
	free // the second may do as it likes
)

// curve describes a list of points: the keys of both values, how the second
// goes with the first, and how a point is written.
type curve struct {
	x, y      string
	direction direction
	example   string
}

// points checks that both values of every point are stated, that the first
// rises from point to point and the second goes as the curve says.
func (c *checker) points(path string, list [][2]Number, k curve) {
	for i, p := range list {
		at := fmt.Sprintf("%s[%d]", path, i)
		if !p[0].Set || !p[1].Set {
			c.add(at, "a point needs %s and %s, for example %s", k.x, k.y, k.example)
			continue
		}
		if i == 0 || !bothStated(list[i-1], p) {
			continue
		}
		if before := list[i-1][0].Value; p[0].Value <= before {
			c.add(at+"."+k.x, "points are listed by rising %s, and this one is not above the one before it", k.x)
			continue
		}
		if text := k.against(list[i-1][1].Value, p[1].Value); text != "" {
			c.add(at+"."+k.y, "%s", text)
		}
	}
}

// bothStated reports whether both points are stated in full; what is missing or
// not finite is a problem of its own.
func bothStated(a, b [2]Number) bool {
	for _, n := range []Number{a[0], a[1], b[0], b[1]} {
		if !n.Set || !finite(n.Value) {
			return false
		}
	}
	return true
}

// against says what is wrong with a second value behind another one.
func (k curve) against(before, y float64) string {
	switch {
	case k.direction == rising && y <= before:
		return fmt.Sprintf("the %s rises with the %s, and this one is not above the one before it", k.y, k.x)
	case k.direction == notFalling && y < before:
		return fmt.Sprintf("the %s does not fall with the %s, and this one is below the one before it", k.y, k.x)
	case k.direction == falling && y >= before:
		return fmt.Sprintf("the %s falls with the %s, and this one is not below the one before it", k.y, k.x)
	}
	return ""
}
