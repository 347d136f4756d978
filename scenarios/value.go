package scenarios

import (
	"errors"
	"fmt"
	"strings"

	"go.yaml.in/yaml/v4"

	"soakledger/scenarios/quantity"
	"soakledger/sim/spec"
)

// ParseValue reads the text of one value as its field asks for it: a quantity
// with a unit, a word, a power, a speed, a repeat. Ranges are not checked here.
func ParseValue(f spec.Field, text string) (spec.Value, error) {
	switch f.Type {
	case spec.TypeNumber, spec.TypeNumbers:
		x, err := quantity.Parse(text, f.Dimension)
		return spec.NumberValue(x), err
	case spec.TypePower:
		p, err := parsePower(f, text)
		return spec.PowerValue(p), err
	case spec.TypeSpeed:
		s, err := parseSpeed(f, text)
		return spec.SpeedValue(s), err
	case spec.TypeRepeat:
		return parseRepeat(text)
	case spec.TypeText, spec.TypeStart:
		if strings.TrimSpace(text) == "" {
			return spec.Value{}, fmt.Errorf("the text is empty: write for example %s", sample(f))
		}
		return spec.TextValue(text), nil
	}
	switch f.Type {
	case spec.TypeFree, spec.TypeValues:
		return spec.Value{}, errors.New("what it is a value of is not known: mend the path of its axis first")
	case spec.TypeComparisons:
		return spec.Value{}, errors.New("conditions stand in the file and cannot be set: write them there, under keep")
	}
	return spec.Value{}, fmt.Errorf("%s has keys of its own", f.Key)
}

// FormatValue writes a value of a field as a file states it, to six digits.
func FormatValue(f spec.Field, v spec.Value) string {
	switch v.Type {
	case spec.TypeNumber:
		return quantity.Format(v.Number, f.Dimension)
	case spec.TypePower:
		return formatPower(v.Power)
	case spec.TypeSpeed:
		if v.Speed.Share.Set {
			return quantity.Format(v.Speed.Share.Value, spec.Ratio)
		}
		if v.Speed.Level.Set {
			return "at " + quantity.Format(v.Speed.Level.Value, spec.SoundLevel)
		}
		return quantity.Format(v.Speed.Rate.Value, spec.RotationSpeed)
	}
	return v.String()
}

func formatPower(p spec.Power) string {
	switch {
	case p.Watts.Set:
		return quantity.Format(p.Watts.Value, spec.PowerFlow)
	case p.Of != "":
		return quantity.Format(p.Share.Value, spec.Ratio) + " of " + p.Of
	}
	return quantity.Format(p.Share.Value, spec.Ratio)
}

// parsePower reads watts, a share of a named part, or a share of the part's
// own power where the field allows that.
func parsePower(f spec.Field, text string) (spec.Power, error) {
	share, name, of := strings.Cut(strings.Join(strings.Fields(text), " "), " of ")
	if of {
		x, err := quantity.Parse(share, spec.Ratio)
		if err != nil {
			return spec.Power{}, fmt.Errorf("%w; a share of another part is written 12 %% of cpu", err)
		}
		return spec.Power{Share: spec.Some(x), Of: name}, nil
	}
	if x, err := quantity.Parse(share, spec.Ratio); err == nil {
		if !f.OwnShare {
			return spec.Power{}, fmt.Errorf("%s of what? Write the name of a part, %s of cpu, or a power, %s", share, share, f.Example)
		}
		return spec.Power{Share: spec.Some(x)}, nil
	}
	x, err := quantity.Parse(text, spec.PowerFlow)
	if err != nil && f.OwnShare {
		err = fmt.Errorf("%w; a share of the part's own power is written 80 %%", err)
	}
	return spec.Power{Watts: spec.Some(x)}, err
}

// parseSpeed reads a rotation speed, a share of the rated one, or a sound level.
func parseSpeed(f spec.Field, text string) (spec.Speed, error) {
	words := strings.Join(strings.Fields(text), " ")
	plain, at := strings.CutPrefix(words, "at ")
	level, levelErr := quantity.Parse(plain, spec.SoundLevel)
	if levelErr == nil { // where a speed has no level, checks say so
		return spec.Speed{Level: spec.Some(level)}, nil
	}
	if !f.ByLevel {
		plain, at = words, false
	}
	share, shareErr := quantity.Parse(plain, spec.Ratio)
	rate, rateErr := quantity.Parse(plain, spec.RotationSpeed)
	switch {
	case at && (shareErr == nil || rateErr == nil):
		return spec.Speed{}, fmt.Errorf("at stands before a sound level, at 30 dBA: write %s alone", plain)
	case at || f.ByLevel && strings.HasSuffix(strings.ToLower(plain), "db"):
		return spec.Speed{}, fmt.Errorf("%w; a speed by its sound level is written at 30 dBA", levelErr)
	case shareErr == nil:
		return spec.Speed{Share: spec.Some(share)}, nil
	case rateErr != nil && f.ByLevel:
		rateErr = fmt.Errorf("%w; a share of the rated speed is written 60 %%, a sound level at 30 dBA", rateErr)
	case rateErr != nil:
		rateErr = fmt.Errorf("%w; a share of the rated speed is written 60 %%", rateErr)
	}
	return spec.Speed{Rate: spec.Some(rate)}, rateErr
}

func parseRepeat(text string) (spec.Value, error) {
	word := strings.TrimSpace(text)
	if word == "forever" {
		return spec.RepeatValue(spec.Repeat{Forever: true}), nil
	}
	x, err := quantity.Parse(word, spec.Count)
	const most = 1e6 // the range is checked later; this keeps the conversion exact
	if err != nil || x < 1 || x > most {
		return spec.Value{}, errors.New(quote(word) + " is not a number of repeats: write 8, or forever")
	}
	return spec.RepeatValue(spec.Repeat{Count: int(x)}), nil
}

func quote(text string) string { return fmt.Sprintf("%q", shortened(text)) }

// sample writes a field as it could stand in a file.
func sample(f spec.Field) string {
	switch {
	case f.Type == spec.TypeSection:
		text := f.Key + ": " + f.Example
		if f.Example == "" {
			text += sampleSection(f.Section)
		}
		if f.Short != "" {
			short, _ := f.Section.Field(f.Short)
			text += ", or shortly " + f.Key + ": " + short.Example
		}
		return text
	case f.Type == spec.TypeSections && f.Example == "":
		return f.Key + ": [" + sampleElement(f) + "]"
	case f.Type == spec.TypeNumbers || f.Type == spec.TypeValues || f.Type == spec.TypeTexts || f.Type == spec.TypeComparisons:
		return f.Key + ": [" + f.Example + "]"
	}
	return f.Key + ": " + f.Example
}

// sampleElement writes an element of a list of sections.
func sampleElement(f spec.Field) string {
	if f.Key == "loops" {
		return "{name: main, parts: [{part: tube, bore: 10 mm, length: 450 mm}]}"
	}
	if one, ok := strings.CutPrefix(f.Example, "[{"); ok {
		return "{" + strings.TrimSuffix(one, "]")
	}
	if len(f.Section.Kinds) > 0 {
		return "{part: tube, bore: 10 mm, length: 450 mm}"
	}
	return sampleSection(f.Section)
}

// sampleSection shows the first two keys of a section that say most: no
// sections, and no class, which only stands in for figures.
func sampleSection(s *spec.Section) string {
	var words []string
	for _, f := range s.Fields {
		if f.Example != "" && f.Type != spec.TypeSection && f.Key != "class" && len(words) < 2 {
			words = append(words, f.Key+": "+f.Example)
		}
	}
	return "{" + strings.Join(words, ", ") + "}"
}

// shape names what a node is, in the words of the messages.
func shape(node *yaml.Node) string {
	switch node.Kind {
	case yaml.MappingNode:
		return "section"
	case yaml.SequenceNode:
		return "list"
	}
	return "single value"
}
