package spec

import (
	"math"
	"testing"
)

func TestCheckWork(t *testing.T) {
	session := func(change func(x *Session)) func(s *Scenario) {
		return func(s *Scenario) { change(&s.Work[0].Session) }
	}
	bursts := func(change func(b *Bursts)) func(s *Scenario) {
		return func(s *Scenario) { change(&s.Work[1].Bursts) }
	}
	checkPlant(t, []spoiled{
		{"nothing", func(s *Scenario) { s.Work = append(s.Work, Work{}) }, []string{"work_7: it needs steps, on, session, bursts, log or mean_of: write steps: [{"}},
		{"three kinds", func(s *Scenario) { s.Work[1].On, s.Work[1].Session = Some(60), s.Work[0].Session }, []string{"desk: on and session and bursts exclude each other"}},
		{"log and steps", func(s *Scenario) { s.Work[3].Steps = s.Work[2].Steps }, []string{"logged: steps and log exclude each other"}},
		{"mean and steps", func(s *Scenario) { s.Work[4].Steps = s.Work[2].Steps }, []string{"steady: steps and mean_of exclude each other"}},
		{"ramp from nowhere", func(s *Scenario) { s.Work[2].Steps[0].Power = Power{} }, []string{"ramp.steps[0]: a ramp to a power begins at one"}},
		{"ramp to a stranger", func(s *Scenario) { s.Work[2].Steps[0].To = Power{Share: Some(1), Of: "vrm"} }, []string{"ramp.steps[0].to: nothing is called vrm"}},
		{"ramp to a share of another part", func(s *Scenario) {
			s.Chips[1].Work, s.Work[2].Steps[0].To = "ramp", Power{Share: Some(1), Of: "gpu"}
		}, []string{"ramp.steps[0].to: it is a power, or a share of the part's own, for example 80 %"}},

		{"no rounds", session(func(x *Session) { x.Rounds = Number{} }), []string{"evening.session: a session needs rounds and round"}},
		{"no round", session(func(x *Session) { x.Round = Number{} }), []string{"evening.session: a session needs rounds and round"}},
		{"rounds alone", session(func(x *Session) { *x = Session{Rounds: Some(8), Round: Some(60)} }), nil},
		{"break never", session(func(x *Session) { x.BreakAfter = Number{} }), []string{"evening.session: break and break_after come together"}},
		{"no break", session(func(x *Session) { x.Break, x.BreakPower = Number{}, Power{} }), []string{"evening.session: break and break_after come together"}},
		{"power of no loading", session(func(x *Session) { x.Loading = Number{} }), []string{"evening.session.loading_power: it needs loading, how long that lasts, for example loading: 20 s"}},
		{"power of no lobby", session(func(x *Session) { x.Lobby = Number{} }), []string{"evening.session.lobby_power: it needs lobby"}},
		{"share of another", session(func(x *Session) { x.RoundPower.Of = "gpu" }), []string{"evening.session.round_power: it is a power, or a share of the part's own"}},
		{"shares of no power", func(s *Scenario) { s.Chips[0].Power, s.Chips[0].Throttle = Power{}, Throttle{} }, []string{"cpu: it needs power, the full load that evening refers to"}},
		{"full power of none", func(s *Scenario) {
			s.Chips[0].Power, s.Work[0].Session = Power{}, Session{Rounds: Some(8), Round: Some(60)}
		}, []string{"cpu: it needs power, the full load that evening refers to"}},
		{"watts and idle need no power", func(s *Scenario) {
			s.Chips[0].Power, s.Work[0].Session = Power{}, Session{Rounds: Some(8), Round: Some(60), Lobby: Some(5), RoundPower: Power{Watts: Some(100)}}
		}, nil},

		{"no length", bursts(func(b *Bursts) { b.For = Number{} }), []string{"desk.bursts: bursts need for, burst and high"}},
		{"no bursts", bursts(func(b *Bursts) { b.Burst, b.MeanBurst = nil, Number{} }), []string{"desk.bursts: bursts need for, burst and high"}},
		{"no power", bursts(func(b *Bursts) { b.High = nil }), []string{"desk.bursts: bursts need for, burst and high"}},
		{"bursts alone", bursts(func(b *Bursts) { *b = Bursts{For: Some(60), Burst: []Number{Some(1)}, High: []Number{Some(1)}} }), nil},
		{"power of no pause", bursts(func(b *Bursts) { b.Pause, b.MeanPause = nil, Number{} }), []string{"desk.bursts.low: it is the power of pauses, and there are none"}},
		{"three lengths", bursts(func(b *Bursts) { b.Burst = []Number{Some(1), Some(2), Some(30)} }), []string{"desk.bursts.burst: it is one value, or the least and the largest: write for example burst: [2 s, 30 s]"}},
		{"longest first", bursts(func(b *Bursts) { b.Pause = []Number{Some(40), Some(5)} }), []string{"desk.bursts.pause: the least stands before the largest"}},
		{"largest first", bursts(func(b *Bursts) { b.High = []Number{Some(1), Some(0.6)} }), []string{"desk.bursts.high: the least stands before the largest: write for example high: [60 %, 100 %]"}},
		{"low falls", bursts(func(b *Bursts) { b.Low = []Number{Some(0.2), Some(0)} }), []string{"desk.bursts.low: the least stands before the largest"}},
		{"mean at the middle", bursts(func(b *Bursts) { b.MeanBurst = Some(16) }), []string{"desk.bursts.mean_burst: short ones are the common ones"}},
		{"mean near the middle", bursts(func(b *Bursts) { b.MeanBurst = Some(2 + 0.498*28) }), nil},
		{"mean at the shortest", bursts(func(b *Bursts) { b.MeanPause = Some(5) }), []string{"desk.bursts.mean_pause: short ones are the common ones"}},
		{"mean of one length", bursts(func(b *Bursts) { b.Burst = b.Burst[:1] }), []string{"desk.bursts.mean_burst: burst says that all are of one length"}},
		{"mean of no pause", bursts(func(b *Bursts) { b.Pause, b.Low = nil, nil }), []string{"desk.bursts.mean_pause: a mean of what?"}},
		{"too many", bursts(func(b *Bursts) {
			*b = Bursts{For: Some(1e5), Burst: []Number{Some(0.01)}, Pause: []Number{Some(0.005)}, High: []Number{Some(1)}}
		}), []string{"desk.bursts: bursts so short are more than 5000000 in all"}},
		{"just not too many", bursts(func(b *Bursts) {
			*b = Bursts{For: Some(1e5), Burst: []Number{Some(0.01)}, Pause: []Number{Some(0.02)}, High: []Number{Some(1)}}
		}), nil},
		{"bursts of no power", func(s *Scenario) { s.Chips[1].Power = Power{} }, []string{"gpu: it needs power, the full load that desk refers to"}},

		{"mean of nobody", func(s *Scenario) { s.Work[4].MeanOf = "evenin" }, []string{"steady.mean_of: nothing is called evenin; did you mean evening?"}},
		{"mean of a chip", func(s *Scenario) { s.Work[4].MeanOf = "cpu" }, []string{"steady.mean_of: cpu is a chip, not a work pattern"}},
		{"mean of itself", func(s *Scenario) { s.Work[4].MeanOf = "steady" }, []string{"steady.mean_of: means go round in a circle (steady of steady)"}},
		{"means of each other", func(s *Scenario) { s.Work[4].MeanOf = "pulsed"; s.Work[5].MeanOf = "steady" }, []string{"steady.mean_of: means go round in a circle (steady of pulsed of steady)"}},
		{"mean of a mean", func(s *Scenario) { s.Work[4].MeanOf = "pulsed" }, []string{"steady.mean_of: pulsed is a mean itself: write mean_of: evening"}},
		{"bursts without pauses", func(s *Scenario) { s.Work[5].Off = Number{} }, []string{"pulsed: bursts need pauses between them"}},
		{"ratio of a constant", func(s *Scenario) { s.Work[4].Ratio = Some(10) }, []string{"steady.ratio: it is that of bursts: add on and off"}},
		{"ratio of nothing", func(s *Scenario) { s.Work[5].MeanOf = "" }, []string{"pulsed.ratio: it is that of bursts with the mean of another pattern"}},
		{"mean again", func(s *Scenario) { s.Work[4].Repeat.Count = 2 }, []string{"steady.repeat: it lasts as long as evening and repeats as often"}},
		{"mean of shares", func(s *Scenario) { s.Chips[1] = Chip{Name: "gpu", Work: "steady"} }, []string{"gpu: it needs power, the full load that steady refers to"}},
		{"mean of watts", func(s *Scenario) { s.Chips[1] = Chip{Name: "gpu", Work: "steady"}; s.Work[4].MeanOf = "logged" }, nil},
		{"pulses of watts", func(s *Scenario) { s.Chips[1] = Chip{Name: "gpu", Work: "pulsed"}; s.Work[5].MeanOf = "ramp" }, nil},
	})
}

func TestCheckLogs(t *testing.T) {
	series := func(times, values []float64) func(s *Scenario) {
		return func(s *Scenario) { s.Work[3].Log.Series = &Series{Times: times, Values: values} }
	}
	checkPlant(t, []spoiled{
		{"no file", func(s *Scenario) { s.Work[3].Log.File = "" }, []string{"logged.log: a log needs file and column"}},
		{"no column", func(s *Scenario) { s.Ambient.Log.Column = "" }, []string{"ambient.log: a log needs file and column"}},
		{"not read", func(s *Scenario) { s.Work[3].Log.Series = nil }, nil},
		{"no time", series(nil, nil), []string{"logged.log: what was read is no log: it has no samples"}},
		{"no numbers", series([]float64{0, 1}, []float64{1, math.NaN()}), []string{"logged.log: what was read is no log: the value of sample 2"}},
		{"below nothing", series([]float64{0, 1}, []float64{1, -1}), []string{"logged.log: -1 at 1 s is outside the allowed range of 0 to 100000"}},
		{"a hot room", func(s *Scenario) { s.Ambient.Log.Series = s.Work[3].Log.Series }, []string{"ambient.log: 100 at 0 s is outside the allowed range of 233.15 to 343.15"}},
		{"log and temperature", func(s *Scenario) { s.Ambient.Temperature = Some(295) }, []string{"ambient.log: temperature and log state the same thing: keep one of the two"}},
		{"log and schedule", func(s *Scenario) { s.Ambient.Schedule = []TimeTemperature{{Some(0), Some(295)}} }, []string{"ambient.log: schedule and log state the same thing: keep one of the two"}},
		{"all three", func(s *Scenario) {
			s.Ambient.Schedule, s.Ambient.Temperature = []TimeTemperature{{Some(0), Some(295)}}, Some(295)
		}, []string{"ambient.log: temperature, schedule and log state the same thing: keep one of them"}},
		{"merge for ever", func(s *Scenario) { s.Work[3].Log.Merge = Some(1e5) }, []string{"logged.log.merge: 100000 is outside"}},
		{"between", func(s *Scenario) { s.Work[3].Log.Between = "lines" }, []string{`logged.log.between: "lines" is not known; did you mean line?`}},
	})
}
