// Package output keeps datasets: folders with one sub-folder of Parquet parts
// for each table and a manifest.
//
//	DIR/manifest.json                what the dataset is, each part with rows, bytes and SHA-256
//	DIR/runs/part-00000.parquet      one table a folder, parts numbered from zero
//	DIR/traces/part-00000.parquet
//	DIR/.tmp/                        while it is written: parts in work, begun.json
//
// A part that has its name is complete: it is written to a temporary name,
// flushed to the disk and renamed. The manifest comes last, so its presence
// says that the dataset is complete. Nothing of the time, the machine or the
// path is stored: equal input gives equal bytes.
package output
