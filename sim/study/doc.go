// Package study tells how sure a result is. A scenario states a few figures and
// leaves the rest to defaults, each with the range in which the true figure
// usually lies. BandOf carries these ranges through the model: it builds the
// machine anew with every assumed figure at both ends of its range, finds the
// level that follows, and combines the changes to a band around the level.
//
//	band, err := study.BandOf(ctx, scenario, study.Settings{})
//
// The terms of a band, largest first, are at the same time the list of figures
// that are worth measuring.
//
// # What the band means
//
// A range stands for about two standard deviations to either side of the usual
// figure, and the errors of different figures for independent ones. Changes of
// the level then combine by the root of the sum of their squares, the law of
// propagation of uncertainty (JCGM 100:2008, Guide to the expression of
// uncertainty in measurement, 5.1.2, equation 10, with differences over the
// whole range in place of derivatives), and the band covers what the ranges
// cover: two standard deviations, about 95 % (Taylor & Kuyatt 1994, NIST
// Technical Note 1297, 6.2). That a range is two standard deviations is common
// practice of this model, no source. Upward and downward changes are combined
// apart, so that a range which is not even makes a band that is not.
//
// Not in the band are: the temperature of the room, assumed or not, since the
// band is as much that of the rise over it; figures that were stated, as if they
// were exact; assumed words, such as the class of a pump; what the model itself
// leaves out; and that two parts of one kind may both differ from the default in
// the same direction, which makes the true band wider.
//
// # Comparing designs
//
// Compare runs several designs and tells how far each lies from the reference, the
// first of them that can be compared. The band of a difference is not that of two
// levels: a figure that both designs leave open is off the same way in both, and what
// it does to both alike cancels. So a difference is mostly surer than either level,
// and where its band still covers zero the two designs tie: what is known cannot tell
// them apart.
//
// That one path means one thing in both designs is taken for granted, which holds
// for variants of one file. In designs that were written apart, and use one name
// for unlike parts, it makes a band too narrow.
package study
