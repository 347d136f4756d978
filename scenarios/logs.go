package scenarios

import (
	"errors"
	"fmt"
	"io/fs"
	"path"
	"strings"

	"soakledger/scenarios/log"
	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// library holds the logs that were read, so that none is read twice. Its keys
// have no series, and the dimension of what was asked for beside them.
type library map[libraryKey]shelved

type libraryKey struct {
	log spec.Log
	dim spec.Dimension
}

// shelved is a log as it was read: what it holds and what a user should know of
// it.
type shelved struct {
	series   *spec.Series
	findings []string
}

// logFault is what keeps a log from being read, with the path of the key that
// it is about.
type logFault struct{ path, text string }

// readLogs gives every log of the scenario the series that it names, read from
// files, nil where there are none. Logs that skip says something else is wrong
// with are passed over. It returns what was found in them, each with the path of
// its log.
func (lib library) readLogs(s *spec.Scenario, files fs.FS, skip func(path string) bool) (notes []string, faults []logFault) {
	for at, l := range s.Logs() {
		if l.File == "" || l.Column == "" || skip(at) {
			continue
		}
		key := libraryKey{log: *l, dim: s.LogField(l).Dimension}
		key.log.Series = nil
		known, ok := lib[key]
		if !ok {
			var fault *logFault
			if known, fault = readLog(files, key.log, s.LogField(l)); fault != nil {
				faults = append(faults, logFault{path: at + fault.path, text: fault.text})
				continue
			}
			lib[key] = known
		}
		l.Series = known.series
		for _, finding := range known.findings {
			notes = append(notes, at+": "+finding)
		}
	}
	return notes, faults
}

// readLog reads one log of values of the field. The path of a fault is that of
// a key within the log, or empty.
func readLog(files fs.FS, l spec.Log, f spec.Field) (shelved, *logFault) {
	fail := func(key, format string, args ...any) (shelved, *logFault) {
		return shelved{}, &logFault{path: key, text: fmt.Sprintf(format, args...)}
	}
	if files == nil {
		return fail(".file", "a log lies beside the file of its scenario, and this one was read as a text by itself, without any files: read it from its file")
	}
	name, err := beside(l.File)
	if err != nil {
		return fail(".file", "%v", err)
	}
	read, err := log.Read(files, name, request(l, f.Dimension))
	var missing *fs.PathError
	switch {
	case errors.As(err, &missing):
		return fail(".file", "there is no log that can be read at %s beside the scenario (%v)", name, missing.Err)
	case err != nil:
		return fail("", "%s", logText(name, err))
	}
	series := fromStart(read.Readings[0].Series)
	var findings []string
	if l.Time == "" {
		findings = append(findings, name+": time is not stated, so the first column is read as the time")
	}
	for _, finding := range read.Findings {
		findings = append(findings, name+": "+finding)
	}
	if l.Merge.Set {
		merged, finding, err := log.Merge(series, l.Merge.Value)
		if err != nil {
			return fail(".merge", "%s: %v", name, err)
		}
		series, findings = merged, append(findings, name+": "+finding)
	}
	if text := unfit(series, f); text != "" {
		return fail(".column", "%s: column %q: %s", name, shortened(l.Column), text)
	}
	return shelved{series: series, findings: findings}, nil
}

// beside returns the name of a file within the folder of the scenario.
func beside(file string) (string, error) {
	name := path.Clean(file)
	if strings.Contains(file, `\`) || path.IsAbs(file) || !fs.ValidPath(name) || name == "." {
		return "", fmt.Errorf("%s does not lie beside the scenario: put the log into its folder, or one below, and write for example file: logs/render.csv", quote(file))
	}
	return name, nil
}

// request says what a log is asked for. What is not stated is the first column
// for the time, and what lies between samples of a power, the last one, or of a
// temperature, a line.
func request(l spec.Log, dim spec.Dimension) log.Request {
	hold := dim == spec.PowerFlow
	if l.Between != "" {
		hold = l.Between == "hold"
	}
	time := log.Time{Column: l.Time, Form: l.Form}
	if l.Time == "" {
		time.Column = "#1"
	}
	if l.Form == "dd/mm/yyyy" || l.Form == "mm/dd/yyyy" {
		time.Form, time.DateForm = "", l.Form
	}
	return log.Request{Time: time, Columns: []log.Column{{Heading: l.Column, Dimension: dim, Unit: l.Unit, Hold: hold}}}
}

// logText words an error of reading, which begins with the name of the log. What
// a scenario cannot ask for is not offered.
func logText(name string, err error) string {
	text := strings.Replace(err.Error(), ", or ask for its rows to be put in order", "", 1)
	if strings.HasPrefix(text, name) {
		return text
	}
	return name + ": " + text
}

// fromStart returns a series that begins with the log: where the first cells of
// its column are empty, its first value holds from there on.
func fromStart(s *spec.Series) *spec.Series {
	if s.Times[0] == 0 {
		return s
	}
	return &spec.Series{
		Times:  append([]float64{0}, s.Times...),
		Values: append([]float64{s.Values[0]}, s.Values...),
		Hold:   s.Hold,
	}
}

// unfit says what keeps values from being those of the field, in trade units.
func unfit(s *spec.Series, f spec.Field) string {
	if len(s.Times) < 2 && f.Dimension == spec.PowerFlow {
		return "it has one value alone, which does not say how long it holds: a power is stated by steps: [{for: 40 min, power: 210 W}]"
	}
	show := func(x float64) string { return quantity.Format(x, f.Dimension) }
	for i, x := range s.Values {
		if x < f.Min || x > f.Max {
			return fmt.Sprintf("%s at %s from its start is outside the allowed range of %s to %s",
				show(x), quantity.Format(s.Times[i], spec.Time), show(f.Min), show(f.Max))
		}
	}
	return ""
}
