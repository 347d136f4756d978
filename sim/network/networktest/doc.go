// Package networktest makes networks for tests: random ones of every kind of
// part, and a cooling loop of 16 lumps for benchmarks. A Case is plain data, so
// that a test can work out by itself what the network should answer.
package networktest
