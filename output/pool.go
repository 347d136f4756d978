package output

import (
	"io"
	"sync"

	"soakledger/output/parquet"
	"soakledger/sim/record"
)

// pool keeps writers and frames of parts for the next ones: their memory is
// most of what writing takes. Its size is that of the parts written at once.
type pool struct {
	manifest *manifest

	mu   sync.Mutex
	idle map[string][]encoder // by table
}

// encoder turns rows into Parquet: a writer, and the frame of the row group in
// work, which only parts of a study use.
type encoder struct {
	writer *parquet.Writer
	frame  *record.Frame
}

// take returns an encoder of the table that writes to out.
func (p *pool) take(table string, out io.Writer) (encoder, error) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if n := len(p.idle[table]); n > 0 {
		e := p.idle[table][n-1]
		p.idle[table] = p.idle[table][:n-1]
		e.writer.Reset(out)
		e.frame.Reset()
		return e, nil
	}
	t := p.manifest.Tables[p.manifest.table(table)].Table
	w, err := parquet.NewWriter(out, t, p.manifest.parquet())
	return encoder{writer: w, frame: record.NewFrame(t)}, err
}

// give returns an encoder for later use.
func (p *pool) give(table string, e encoder) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.idle == nil {
		p.idle = make(map[string][]encoder)
	}
	p.idle[table] = append(p.idle[table], e)
}
