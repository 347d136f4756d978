package part

import (
	"fmt"
	"math"
)

// Limits of what a core may be.
const (
	mostBlocked  = 0.95 // beyond that little is left of a law of passages
	leastCovered = 0.3
	mostRows     = 10
)

// coreError says which measure of a core cannot be, what can, and an example.
func coreError(field, given, rule, example string) error {
	return fmt.Errorf("part: core: %s: %s cannot be; %s, e.g. %s", field, given, rule, example)
}

// mm prints a length in m.
func mm(x float64) string { return fmt.Sprintf("%.4g mm", 1e3*x) }

// coreRule is a condition on one measure; it holds where ok is true.
type coreRule struct {
	ok                          bool
	field, given, rule, example string
}

func firstBroken(rules []coreRule) error {
	for _, r := range rules {
		if !r.ok {
			return coreError(r.field, r.given, r.rule, r.example)
		}
	}
	return nil
}

// check reports the first measure that cannot be.
func (s CoreShape) check() error {
	for _, step := range []func() error{s.checkLengths, s.checkFins, s.checkTubes, s.checkStyle, s.checkBody} {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// checkLengths reports a length that is none.
func (s CoreShape) checkLengths() error {
	for _, l := range []struct {
		field   string
		value   float64
		example string
	}{
		{"width", s.Width, "240 mm"}, {"height", s.Height, "120 mm"}, {"depth", s.Depth, "25 mm"},
		{"fin pitch", s.FinPitch, "1.59 mm, which is 16 fins per inch"}, {"fin thickness", s.FinThickness, "0.05 mm"},
		{"tube pitch", s.TubePitch, "10 mm"}, {"tube thickness", s.TubeThickness, "2 mm"}, {"tube wall", s.TubeWall, "0.2 mm"},
		{"port bore", s.PortBore, "9 mm"},
	} {
		if !(l.value > 0) || math.IsInf(l.value, 1) {
			return coreError(l.field, mm(l.value), "it must be above zero", l.example)
		}
	}
	for _, m := range []struct {
		field string
		of    Material
	}{{"fin material", s.Fins}, {"tube material", s.Tubes}} {
		if !(m.of.Conductivity > 0) || !(m.of.Density > 0) || !(m.of.SpecificHeat > 0) {
			return coreError(m.field, fmt.Sprintf("%q of %g W/(m K), %g kg/m3 and %g J/(kg K)", m.of.Name, m.of.Conductivity, m.of.Density, m.of.SpecificHeat),
				"all three must be above zero", "copper: 380, 8900 and 380")
		}
	}
	return nil
}

// checkFins reports fins that leave no passage.
func (s CoreShape) checkFins() error {
	gap := s.TubePitch - s.TubeThickness
	return firstBroken([]coreRule{
		{s.TubeThickness < s.TubePitch, "tube thickness", mm(s.TubeThickness), "it must be less than the tube pitch of " + mm(s.TubePitch), "2 mm every 10 mm"},
		{s.FinThickness < s.FinPitch, "fin thickness", mm(s.FinThickness), "it must be less than the fin pitch of " + mm(s.FinPitch), "0.05 mm every 1.6 mm"},
		{s.FinThickness < gap, "fin thickness", mm(s.FinThickness), "it must be less than the gap of " + mm(gap) + " between tubes", "0.05 mm"},
		{s.FinPitch < s.Width, "fin pitch", mm(s.FinPitch), "it must be less than the width of " + mm(s.Width), "1.6 mm"},
	})
}

// checkTubes reports tubes that do not fit the face or the depth, or hold no
// coolant.
func (s CoreShape) checkTubes() error {
	depth := s.rowDepth()
	inside := s.TubeThickness - 2*s.TubeWall
	across := s.Height / s.TubePitch
	return firstBroken([]coreRule{
		{across >= 1 && across < 1e4, "tube pitch", mm(s.TubePitch), "a face " + mm(s.Height) + " high takes one tube or more", "10 mm"},
		{s.Rows >= 1 && s.Rows <= mostRows, "rows", fmt.Sprint(s.Rows), fmt.Sprintf("1 to %d rows of tubes stand one behind another", mostRows), "1"},
		{inside > 0, "tube wall", mm(s.TubeWall), "two walls must leave a channel inside a tube " + mm(s.TubeThickness) + " thick", "0.2 mm"},
		{depth > 0 && depth*float64(s.Rows) <= s.Depth*(1+1e-9), "tube depth", mm(depth), fmt.Sprintf("%d of it must fit into the depth of %s", s.Rows, mm(s.Depth)), mm(s.Depth / float64(max(1, s.Rows)))},
		{depth >= s.TubeThickness, "depth", mm(depth) + " for a row of tubes", "a row must be at least as deep as its tubes are thick, " + mm(s.TubeThickness), "25 mm"},
		{s.Passes >= 1 && s.Passes <= s.tubesAcross(), "passes", fmt.Sprint(s.Passes), fmt.Sprintf("%d tubes across the face make 1 to %d passes", s.tubesAcross(), s.tubesAcross()), "2"},
	})
}

// checkStyle reports what the law of the fins cannot use.
func (s CoreShape) checkStyle() error {
	height := s.TubePitch - s.TubeThickness - s.FinThickness
	switch s.Style {
	case PlainFins:
		return nil
	case LouvredFins:
		return firstBroken([]coreRule{
			{s.LouvrePitch > 0 && s.LouvrePitch < s.Depth, "louvre pitch", mm(s.LouvrePitch), "it must be above zero and below the depth of " + mm(s.Depth), "1.2 mm"},
			{s.LouvreAngle > 0 && s.LouvreAngle < math.Pi/2, "louvre angle", fmt.Sprintf("%.3g degrees", s.LouvreAngle*180/math.Pi), "it must lie between 0 and 90 degrees", "27 degrees"},
			{s.LouvreLength > 0 && s.LouvreLength <= height*(1+1e-9), "louvre length", mm(s.LouvreLength), "it must be above zero and fit into a leg of " + mm(height), "85 % of the leg"},
		})
	case StripFins:
		return firstBroken([]coreRule{
			{s.StripLength > 0 && s.StripLength <= s.Depth, "strip length", mm(s.StripLength), "it must be above zero and at most the depth of " + mm(s.Depth), "3 mm"},
			{s.FinThickness < s.StripLength, "strip length", mm(s.StripLength), "it must be more than the fin thickness of " + mm(s.FinThickness), "3 mm"},
		})
	}
	return coreError("fin style", fmt.Sprintf("number %d", int(s.Style)), "fins are plain, louvred or strip", "plain")
}

// checkBody reports shares and frame measures that cannot be.
func (s CoreShape) checkBody() error {
	most := s.Depth / 2
	return firstBroken([]coreRule{
		{s.Thickness == 0 || s.Thickness >= s.Depth && !math.IsInf(s.Thickness, 1), "thickness", mm(s.Thickness), "the body must be at least as thick as its fins are deep, " + mm(s.Depth), mm(s.Depth + 0.004)},
		{s.TankLength >= 0 && s.TankLength <= 1, "tank length", mm(s.TankLength), "it must be zero or more, up to 1 m", "6 mm"},
		{s.FrameWall >= 0 && s.FrameWall < most, "frame wall", mm(s.FrameWall), "it must be zero or more, and less than half the depth, " + mm(most), "1 mm"},
		{s.Blocked >= 0 && s.Blocked <= mostBlocked, "blocked", fmt.Sprintf("%g %%", 100*s.Blocked), "dust closes 0 to 95 % of the passages", "10 %"},
		{s.Covered == 0 || s.Covered >= leastCovered && s.Covered <= 1, "covered", fmt.Sprintf("%g %%", 100*s.Covered), "fans blow on 30 to 100 % of the face", "90 %"},
	})
}
