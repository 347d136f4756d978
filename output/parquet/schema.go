package parquet

import (
	"fmt"
	"reflect"

	pq "github.com/parquet-go/parquet-go"

	"soakledger/sim/record"
)

// runColumn is stored as INT32: run numbers are dense and start at zero.
const runColumn = "run_id"

// schemaOf returns the Parquet schema of a table, columns in the table's order.
func schemaOf(t record.Table) *pq.Schema {
	group := orderedGroup{Group: pq.Group{}}
	for _, c := range t.Columns {
		node := nodeOf(c)
		group.Group[c.Name] = node
		group.fields = append(group.fields, field{Node: node, name: c.Name})
	}
	return pq.NewSchema(t.Name, group)
}

func nodeOf(c record.Column) pq.Node {
	var node pq.Node
	switch {
	case c.Kind == record.Float:
		node = pq.Encoded(pq.Leaf(pq.DoubleType), &pq.ByteStreamSplit)
	case c.Kind == record.Text:
		node = pq.Encoded(pq.String(), &pq.RLEDictionary)
	case c.Kind == record.Flag:
		node = pq.Leaf(pq.BooleanType)
	case c.Name == runColumn:
		node = pq.Encoded(pq.Leaf(pq.Int32Type), &pq.DeltaBinaryPacked)
	default:
		node = pq.Encoded(pq.Leaf(pq.Int64Type), &pq.DeltaBinaryPacked)
	}
	if c.Nullable {
		return pq.Optional(node)
	}
	return pq.Required(node)
}

// columnOf is the inverse of nodeOf, without unit, meaning and grid.
func columnOf(f pq.Field) (record.Column, error) {
	c := record.Column{Name: f.Name(), Nullable: f.Optional()}
	if !f.Leaf() || f.Repeated() {
		return c, fmt.Errorf("column %q is nested or repeated", c.Name)
	}
	switch kind := f.Type().Kind(); kind {
	case pq.Double:
		c.Kind = record.Float
	case pq.Int32, pq.Int64:
		c.Kind = record.Int
	case pq.ByteArray:
		c.Kind = record.Text
	case pq.Boolean:
		c.Kind = record.Flag
	default:
		return c, fmt.Errorf("column %q has type %s", c.Name, kind)
	}
	return c, nil
}

// orderedGroup keeps the columns in the order given. A plain Group is a map and
// lists them by the alphabet.
type orderedGroup struct {
	pq.Group
	fields []pq.Field
}

func (g orderedGroup) Fields() []pq.Field { return g.fields }

type field struct {
	pq.Node
	name string
}

func (f field) Name() string { return f.name }

// Value is asked for only when rows are written as Go maps.
func (f field) Value(base reflect.Value) reflect.Value {
	return base.MapIndex(reflect.ValueOf(f.name))
}
