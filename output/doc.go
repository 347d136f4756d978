// Package output keeps datasets: folders with one sub-folder of Parquet parts
// for each table and a manifest.
//
//	DIR/manifest.json                what the dataset is, each part with rows, bytes and SHA-256
//	DIR/runs/part-00000.parquet      one table a folder, parts numbered from zero
//	DIR/traces/part-00000.parquet
//	DIR/.tmp/                        while it is written: parts in work, and begun.json: the manifest without parts
//
// A part that has its name is complete: it is written to a temporary name,
// flushed to the disk and renamed. The manifest comes last, so its presence
// says that the dataset is complete. Nothing of the time, the machine or the
// path is stored: equal input gives equal bytes.
//
// A single run is written by a Writer. A Study writes the dataset of many runs:
// part k of every table holds the same slice of run numbers, which the plan
// decides, so that any number of workers, processes and machines that share the
// folder can each write parts without knowing of the others. Part k is there
// when runs/part-k is: it is named last and holds size and SHA-256 of the part's
// other files. Whatever a process that died has left is recognised by its name
// (host, process) and removed, and its part is written again. Each part carries
// the hash of the study: a manifest that is damaged or gone is written anew from
// them.
package output
