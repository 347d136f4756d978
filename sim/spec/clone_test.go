package spec

import (
	"reflect"
	"testing"
)

// TestSeparate follows pointers and slices within each other, deeper than a
// Scenario has them today.
func TestSeparate(t *testing.T) {
	type inner struct{ List [][]int }
	type outer struct {
		P *inner
		Q *inner
	}
	a := outer{P: &inner{List: [][]int{{1}, nil}}}
	b := a
	separate(reflect.ValueOf(&b).Elem())
	b.P.List[0][0] = 2
	if a.P.List[0][0] != 1 || b.P == a.P || b.Q != nil || b.P.List[1] != nil {
		t.Errorf("got %+v from %+v", b.P, a.P)
	}
}
