// Package metric computes soak figures from the steps of an integration as
// they pass, without a trace: how far a phase of constant load has come
// towards its level, when, how much is still to come, and how much a shorter
// test would have read low. Temperatures are in kelvin, times in seconds.
//
// A phase's response time to x % is the first time at which the subject has
// made x % of its way from where the phase began to the level (the step
// response time of IEC 60050-351:2013, 351-45-36). Settling to within a band
// of the level is the last time it enters the band: it stays inside for the
// rest of the phase.
package metric
