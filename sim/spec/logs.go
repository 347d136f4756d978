package spec

import "iter"

// Logs walks over the measured logs that the scenario states, each with the
// path of its section: that of the room, then those of the work in file order.
func (s *Scenario) Logs() iter.Seq2[string, *Log] {
	return func(yield func(string, *Log) bool) {
		if l := &s.Ambient.Log; *l != (Log{}) && !yield("ambient.log", l) {
			return
		}
		for i := range s.Work {
			w := &s.Work[i]
			if w.Log != (Log{}) && !yield(elementPath(w.Name, "work", i)+".log", &w.Log) {
				return
			}
		}
	}
}

// LogField describes the values of one of the scenario's own logs: the
// temperature of the room for that of the ambient, else a requested power.
func (s *Scenario) LogField(l *Log) Field {
	if l == &s.Ambient.Log {
		return roomTemperature
	}
	return requestedPower
}

// What logs hold, read only.
var (
	roomTemperature = innerField("ambient", "temperature")
	requestedPower  = innerField("lumps", "power")
)

// innerField returns a field of a section at the top.
func innerField(outer, key string) Field {
	f, _ := root.Field(outer)
	f, _ = f.Section.Field(key)
	return f
}

// forgetSeries drops what was read of every log that states something else than
// in the original, of which s is a copy with one field changed.
func (s *Scenario) forgetSeries(original *Scenario) {
	forget := func(l, was *Log) {
		if *l != *was {
			l.Series = nil
		}
	}
	forget(&s.Ambient.Log, &original.Ambient.Log)
	for i := range s.Work {
		forget(&s.Work[i].Log, &original.Work[i].Log)
	}
}
