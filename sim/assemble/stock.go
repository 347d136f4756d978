package assemble

import (
	"sync"

	"soakledger/sim/fluid"
	"soakledger/sim/part"
	"soakledger/sim/spec"
)

// Stock keeps what machines have in common, for many that are assembled one after the
// other or at once: tables of fluids, and what of a radiator follows from its core alone.
// All of it is a pure function of what it is kept by, and is never changed, so that a
// machine from a stock is the one that is made without. The zero value is empty; nil
// keeps nothing.
type Stock struct {
	coolants shelf[spec.Coolant, *fluid.Coolant]
	air      shelf[airKind, *fluid.Table]
	cores    shelf[part.CoreShape, *part.Core]
	draughts shelf[draughtKind, float64]
}

// airKind is what a table of air depends on.
type airKind struct{ pressure, ratio float64 }

// draughtKind is what the draught of a core depends on, beside figures that are the same
// for all.
type draughtKind struct {
	shape        part.CoreShape
	factor, film float64
}

// mostKept bounds each shelf: a study that varies a figure of the core evenly has as many
// cores as runs.
const mostKept = 1000

// shelf keeps values by what they depend on. It may be used by several goroutines.
type shelf[K comparable, V any] struct {
	mu   sync.RWMutex
	kept map[K]V
}

// get returns the value of a key, made if it is not there. A shelf that is nil makes it
// every time, one that is full too. Errors are not kept.
func (s *shelf[K, V]) get(key K, made func() (V, error)) (V, error) {
	if s == nil {
		return made()
	}
	s.mu.RLock()
	v, ok := s.kept[key]
	s.mu.RUnlock()
	if ok {
		return v, nil
	}
	v, err := made()
	if err != nil {
		return v, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.kept == nil {
		s.kept = map[K]V{}
	}
	if len(s.kept) < mostKept {
		s.kept[key] = v
	}
	return v, nil
}

// The shelves of a stock that may be nil.

func (s *Stock) coolantShelf() *shelf[spec.Coolant, *fluid.Coolant] {
	if s == nil {
		return nil
	}
	return &s.coolants
}

func (s *Stock) airShelf() *shelf[airKind, *fluid.Table] {
	if s == nil {
		return nil
	}
	return &s.air
}

func (s *Stock) coreShelf() *shelf[part.CoreShape, *part.Core] {
	if s == nil {
		return nil
	}
	return &s.cores
}

func (s *Stock) draughtShelf() *shelf[draughtKind, float64] {
	if s == nil {
		return nil
	}
	return &s.draughts
}
