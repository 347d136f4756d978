// Package parquet writes the frames of package record as Parquet and reads them
// back.
//
// Choices, the same for every file: one row group a frame, pages of 1 MiB,
// zstd level 1; floats as DOUBLE in byte-stream-split encoding after rounding
// to the column's binary grid; integers delta-encoded, run_id as INT32; texts
// as dictionary-encoded strings; a column is OPTIONAL only if it is nullable.
// A missing value is a null, never NaN. Nothing of the time, the machine or the
// path is stored: equal frames and metadata give equal bytes.
//
// The format is that of the Apache Parquet specification, version 2 pages
// (https://parquet.apache.org/docs/file-format/).
package parquet
