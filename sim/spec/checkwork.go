package spec

import (
	"fmt"
	"strings"
)

// mostBursts is how many bursts a pattern draws at most.
const mostBursts = 5_000_000

// work checks one pattern: that it is of one kind, and what that kind needs.
func (c *checker) work(i int) {
	w := &c.s.Work[i]
	path := c.path(w.Name, "work", i)
	if !w.On.Set && w.Off.Set {
		c.add(path, "off needs on beside it, for example on: 40 min, off: 20 min")
		return
	}
	c.exactlyOne(path, "steps: [{for: 40 min, power: 210 W}] or on: 40 min, off: 20 min",
		stated{"steps", len(w.Steps) > 0}, stated{"on", w.On.Set && w.MeanOf == ""}, stated{"session", w.Session != Session{}},
		stated{"bursts", isStated(w.Bursts)}, stated{"log", w.Log != Log{}}, stated{"mean_of", w.MeanOf != ""})
	for j, step := range w.Steps {
		c.step(fmt.Sprintf("%s.steps[%d]", path, j), step)
	}
	c.session(path+".session", &w.Session)
	c.bursts(path+".bursts", &w.Bursts)
	c.log(path+".log", &w.Log)
	c.companion(path, w)
}

func (c *checker) step(path string, step Step) {
	if !step.For.Set {
		c.add(path, "a step needs for, how long it lasts, for example for: 40 min")
	}
	switch {
	case !step.Power.Set() && step.To.Set():
		c.add(path, "a ramp to a power begins at one: a step needs power, for example power: 210 W, to: 250 W")
	case !step.Power.Set():
		c.add(path, "a step needs power, for example power: 210 W or power: 80 %%")
	}
	for _, of := range []struct {
		key   string
		power Power
	}{{"power", step.Power}, {"to", step.To}} {
		if _, known := c.kinds[of.power.Of]; known {
			c.add(path+"."+of.key, "it is a power, or a share of the part's own, for example 80 %%")
		}
	}
}

// session checks an evening of play.
func (c *checker) session(path string, s *Session) {
	if *s == (Session{}) {
		return
	}
	if !s.Rounds.Set || !s.Round.Set {
		c.add(path, "a session needs rounds and round, how many and how long, for example rounds: 8, round: 18 min")
	}
	if s.Break.Set != s.BreakAfter.Set {
		c.add(path, "break and break_after come together, how long and after how many rounds, for example break: 15 min, break_after: 4")
	}
	for _, of := range []struct {
		key    string
		length Number
		power  Power
	}{
		{"round", s.Round, s.RoundPower}, {"loading", s.Loading, s.LoadingPower},
		{"lobby", s.Lobby, s.LobbyPower}, {"break", s.Break, s.BreakPower},
	} {
		at := path + "." + of.key + "_power"
		if of.power.Of != "" {
			c.add(at, "it is a power, or a share of the part's own, for example 40 %%")
		}
		if of.power.Set() && !of.length.Set && of.key != "round" {
			f := innerField("work", "session")
			f, _ = f.Section.Field(of.key)
			c.add(at, "it needs %s, how long that lasts, for example %s: %s", of.key, of.key, f.Example)
		}
	}
}

// bursts checks seeded random bursts.
func (c *checker) bursts(path string, b *Bursts) {
	if !isStated(*b) {
		return
	}
	if !b.For.Set || len(b.Burst) == 0 || len(b.High) == 0 {
		c.add(path, "bursts need for, burst and high: how long in all, how long each and how much, for example for: 1 h, burst: [2 s, 30 s], high: [60 %%, 100 %%]")
	}
	if len(b.Pause) == 0 && len(b.Low) > 0 {
		c.add(path+".low", "it is the power of pauses, and there are none: add pause, for example pause: [5 s, 40 s]")
	}
	c.spread(path, "burst", b.Burst, "mean_burst", b.MeanBurst)
	c.spread(path, "pause", b.Pause, "mean_pause", b.MeanPause)
	c.spread(path, "high", b.High, "", Number{})
	c.spread(path, "low", b.Low, "", Number{})
	if len(b.Burst) == 0 || !b.For.Set {
		return
	}
	shortest := b.Burst[0].Value
	if len(b.Pause) > 0 {
		shortest += b.Pause[0].Value
	}
	if shortest > 0 && b.For.Value > mostBursts*shortest {
		c.add(path, "bursts so short are more than %d in all: make them longer, or for shorter", mostBursts)
	}
}

// spread checks what random lengths or powers lie between, and the mean of
// lengths that thin out towards the longest. Those can have no mean beyond the
// middle, where they would be spread evenly; the share below it is that which
// sim/work asks for.
func (c *checker) spread(path, key string, list []Number, meanKey string, mean Number) {
	const below = 0.499
	at := path + "." + key
	f := innerField("work", "bursts")
	f, _ = f.Section.Field(key)
	example := key + ": [" + f.Example + "]"
	switch {
	case len(list) > 2:
		c.add(at, "it is one value, or the least and the largest: write for example %s", example)
		return
	case len(list) == 2 && list[1].Value < list[0].Value:
		c.add(at, "the least stands before the largest: write for example %s", example)
		return
	case !mean.Set:
		return
	}
	m, _ := innerField("work", "bursts").Section.Field(meanKey)
	example += fmt.Sprintf(", %s: %s", meanKey, m.Example)
	switch {
	case len(list) == 0:
		c.add(path+"."+meanKey, "a mean of what? Add %s, the shortest and the longest, for example %s", key, example)
	case len(list) == 1:
		c.add(path+"."+meanKey, "%s says that all are of one length: give the shortest and the longest, for example %s", key, example)
	case !(mean.Value > list[0].Value && mean.Value-list[0].Value < below*(list[1].Value-list[0].Value)):
		c.add(path+"."+meanKey, "short ones are the common ones, so the mean lies above the shortest and below the middle of shortest and longest: for example %s", example)
	}
}

// log checks what a measured log states, and what was read of it.
func (c *checker) log(path string, l *Log) {
	if *l == (Log{}) {
		return
	}
	if l.File == "" || l.Column == "" {
		c.add(path, "a log needs file and column, for example {file: render.csv, column: CPU power}")
	}
	if l.Series == nil {
		return
	}
	if err := l.Series.Check(); err != nil {
		c.add(path, "what was read is no log: %s", strings.TrimPrefix(err.Error(), "series: "))
		return
	}
	f := c.s.LogField(l)
	for i, x := range l.Series.Values {
		if x < f.Min || x > f.Max {
			c.add(path, "%v at %v s is outside the allowed range of %v to %v (SI units)", x, l.Series.Times[i], f.Min, f.Max)
			return
		}
	}
}

// companion checks a pattern that has the mean of another.
func (c *checker) companion(path string, w *Work) {
	if w.MeanOf == "" {
		if w.Ratio.Set {
			c.add(path+".ratio", "it is that of bursts with the mean of another pattern: add mean_of, the name of that, or leave it out")
		}
		return
	}
	switch {
	case w.On.Set && !w.Off.Set:
		c.add(path, "bursts need pauses between them: on needs off beside it, for example on: 10 s, off: 20 s")
	case w.Ratio.Set && !w.On.Set:
		c.add(path+".ratio", "it is that of bursts: add on and off, for example on: 10 s, off: 20 s, or leave it out")
	}
	if w.Repeat != (Repeat{}) {
		c.add(path+".repeat", "it lasts as long as %s and repeats as often: leave repeat out", shortened(w.MeanOf))
	}
}

// means checks that what a mean is of has a shape of its own.
func (c *checker) means() {
	refers := map[string][]string{}
	for i := range c.s.Work {
		if w := &c.s.Work[i]; w.MeanOf != "" {
			refers[w.Name] = []string{w.MeanOf}
		}
	}
	circular := map[string]bool{}
	done := map[string]bool{}
	for i := range c.s.Work {
		circles(refers, c.s.Work[i].Name, nil, done, func(circle []string) {
			for _, name := range circle {
				circular[name] = true
			}
			c.add(circle[0]+".mean_of", "means go round in a circle (%s): state one of them by itself, for example by steps", strings.Join(circle, " of "))
		})
	}
	for i := range c.s.Work {
		w := &c.s.Work[i]
		if next := refers[w.MeanOf]; next != nil && !circular[w.MeanOf] {
			c.add(c.path(w.Name, "work", i)+".mean_of", "%s is a mean itself: write mean_of: %s", w.MeanOf, next[0])
		}
	}
}

// relative reports whether the pattern of that name, or one whose mean it has,
// refers to the own power of what follows it.
func (c *checker) relative(name string) bool {
	for range c.s.Work { // as long as a chain of means can be
		w := c.pattern(name)
		switch {
		case w == nil:
			return false
		case w.MeanOf == "":
			return w.relative()
		}
		name = w.MeanOf
	}
	return false
}

func (c *checker) pattern(name string) *Work {
	for i := range c.s.Work {
		if c.s.Work[i].Name == name {
			return &c.s.Work[i]
		}
	}
	return nil
}

func (w *Work) relative() bool {
	own := func(p Power) bool { return p.Share.Set && p.Of == "" }
	s := w.Session
	if s != (Session{}) && (!s.RoundPower.Set() || own(s.RoundPower) || own(s.LoadingPower) || own(s.LobbyPower) || own(s.BreakPower)) {
		return true
	}
	for _, step := range w.Steps {
		if own(step.Power) || own(step.To) {
			return true
		}
	}
	return w.On.Set || isStated(w.Bursts)
}
