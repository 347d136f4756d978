package parquet

import (
	"fmt"
	"math"

	pq "github.com/parquet-go/parquet-go"

	"soakledger/sim/record"
)

// chunk is how many values are converted at a time: enough to make the calls
// cheap, few enough to stay in the first-level cache.
const chunk = 1024

// encoder copies frame columns into column buffers. Its arrays are scratch.
type encoder struct {
	floats [chunk]float64
	ints   [chunk]int32
	values [chunk]pq.Value
}

// column appends column col of f to the buffer, rounded to the column's grid.
func (e *encoder) column(buffer pq.ColumnBuffer, f *record.Frame, col int) error {
	described := f.Table().Columns[col]
	if described.Name == runColumn && described.Kind == record.Int {
		if err := checkInt32(f.Ints(col)); err != nil {
			return err
		}
	}
	if !described.Nullable {
		switch typed := buffer.(type) {
		case pq.DoubleWriter:
			return e.doubles(typed, f.Floats(col), described.Grid)
		case pq.Int64Writer:
			_, err := typed.WriteInt64s(f.Ints(col))
			return err
		case pq.Int32Writer:
			return e.int32s(typed, f.Ints(col))
		}
	}
	return e.generic(buffer, f, col)
}

func (e *encoder) doubles(buffer pq.DoubleWriter, values []float64, grid float64) error {
	if grid == 0 {
		_, err := buffer.WriteDoubles(values)
		return err
	}
	for len(values) > 0 {
		n := min(chunk, len(values))
		roundTo(e.floats[:n], values[:n], grid)
		if _, err := buffer.WriteDoubles(e.floats[:n]); err != nil {
			return err
		}
		values = values[n:]
	}
	return nil
}

func (e *encoder) int32s(buffer pq.Int32Writer, values []int64) error {
	for len(values) > 0 {
		n := min(chunk, len(values))
		for i, v := range values[:n] {
			e.ints[i] = int32(v)
		}
		if _, err := buffer.WriteInt32s(e.ints[:n]); err != nil {
			return err
		}
		values = values[n:]
	}
	return nil
}

// generic serves optional columns, texts and flags, which have no typed writer.
// A present value of an optional column needs definition level 1: without it
// the value would silently become a null.
func (e *encoder) generic(buffer pq.ColumnBuffer, f *record.Frame, col int) error {
	described := f.Table().Columns[col]
	present := 0
	if described.Nullable {
		present = 1
	}
	for start := 0; start < f.Rows(); start += chunk {
		n := min(chunk, f.Rows()-start)
		for i := range n {
			if f.IsNull(col, start+i) {
				e.values[i] = pq.NullValue().Level(0, 0, col)
				continue
			}
			e.values[i] = valueAt(f, col, start+i).Level(0, present, col)
		}
		if _, err := buffer.WriteValues(e.values[:n]); err != nil {
			return err
		}
	}
	return nil
}

func valueAt(f *record.Frame, col, row int) pq.Value {
	described := &f.Table().Columns[col]
	switch described.Kind {
	case record.Float:
		v := f.Floats(col)[row]
		if described.Grid != 0 {
			v = round(v, described.Grid, 1/described.Grid)
		}
		return pq.DoubleValue(v)
	case record.Int:
		if described.Name == runColumn {
			return pq.Int32Value(int32(f.Ints(col)[row]))
		}
		return pq.Int64Value(f.Ints(col)[row])
	case record.Text:
		return pq.ByteArrayValue([]byte(f.Texts(col)[row]))
	default:
		return pq.BooleanValue(f.Flags(col)[row])
	}
}

func checkInt32(values []int64) error {
	for row, v := range values {
		if v != int64(int32(v)) {
			return fmt.Errorf("row %d: %d does not fit 32 bits", row, v)
		}
	}
	return nil
}

// roundTo sets dst to src rounded to multiples of grid, a power of two. Both
// have the same length.
func roundTo(dst, src []float64, grid float64) {
	inverse := 1 / grid
	for i, v := range src {
		dst[i] = round(v, grid, inverse)
	}
}

// round returns v rounded to the nearest multiple of grid, halves to even.
// Scaling by a power of two is exact, so the result is the nearest grid point
// itself. A value so large that all floats near it are on the grid would
// overflow when scaled and is returned as it is. Adding zero turns -0 into 0.
func round(v, grid, inverse float64) float64 {
	scaled := v * inverse
	if math.Abs(scaled) >= 1<<53 {
		return v
	}
	return math.RoundToEven(scaled)*grid + 0
}
