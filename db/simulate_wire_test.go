package db_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// wire is how a simulated program speaks to the server: each request waits for its turn, and
// now and then the connection is cut as a commit goes out.
type wire struct {
	*turns
	look *pgxpool.Pool

	mu             sync.Mutex
	commits        int
	reached, never int // commits cut: done, but the client does not hear; or lost on their way
}

// cutEvery is how many commits go out for each that is cut.
const cutEvery = 24

// config makes a pool's connections of this wire.
func (w *wire) config(c *pgxpool.Config) {
	dial := c.ConnConfig.DialFunc
	c.ConnConfig.DialFunc = func(ctx context.Context, network, address string) (net.Conn, error) {
		conn, err := dial(ctx, network, address)
		if err != nil {
			return nil, err
		}
		return &cutConn{Conn: conn}, nil
	}
	c.ConnConfig.TLSConfig, c.ConnConfig.Fallbacks = nil, nil // to be cut at the right message
	c.ConnConfig.Tracer = w
	c.ShouldPing = func(context.Context, pgxpool.ShouldPingParams) bool { return false } // it depends on the time
}

// TraceQueryStart waits for the turn.
func (w *wire) TraceQueryStart(ctx context.Context, conn *pgx.Conn, q pgx.TraceQueryStartData) context.Context {
	w.stop(ctx, asks(q.SQL), conn, nil)
	return ctx
}

// TraceQueryEnd ends it.
func (w *wire) TraceQueryEnd(ctx context.Context, _ *pgx.Conn, _ pgx.TraceQueryEndData) {
	w.answered(ctx)
}

// TraceBatchStart waits for the turn, and arms the cut.
func (w *wire) TraceBatchStart(ctx context.Context, conn *pgx.Conn, b pgx.TraceBatchStartData) context.Context {
	var all []string
	for _, q := range b.Batch.QueuedQueries {
		all = append(all, asks(q.SQL))
	}
	w.stop(ctx, strings.Join(all, " + "), conn, nil)
	if all[len(all)-1] == "commit" {
		w.perhapsCut(ctx, conn)
	}
	return ctx
}

// TraceBatchQuery is one answer of many.
func (w *wire) TraceBatchQuery(context.Context, *pgx.Conn, pgx.TraceBatchQueryData) {}

// TraceBatchEnd ends the turn.
func (w *wire) TraceBatchEnd(ctx context.Context, _ *pgx.Conn, _ pgx.TraceBatchEndData) {
	w.answered(ctx)
}

// asks is what a statement is called.
func asks(sql string) string {
	name, ok := strings.CutPrefix(sql, "-- name: ")
	if !ok {
		return strings.TrimSpace(sql)
	}
	name, _, _ = strings.Cut(name, " ")
	return name
}

func (w *wire) perhapsCut(ctx context.Context, conn *pgx.Conn) {
	c, ok := conn.PgConn().Conn().(*cutConn)
	if !ok {
		return
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	w.commits++
	switch w.commits % cutEvery {
	case cutEvery / 2:
		w.reached++
		c.cut.Store(&cut{reached: true, goes: func() { w.note(ctx, "does not hear of its commit") }})
	case 0:
		w.never++
		pid := conn.PgConn().PID()
		c.cut.Store(&cut{goes: func() {
			w.note(ctx, "loses its commit on the way")
			w.untilGone(context.WithoutCancel(ctx), pid)
		}})
	}
}

// untilGone waits until the server has noticed that a client is gone, and lets its locks go.
func (w *wire) untilGone(ctx context.Context, pid uint32) {
	for range 1000 {
		var here bool
		err := w.look.QueryRow(ctx, "SELECT EXISTS (SELECT FROM pg_stat_activity WHERE pid = $1)", int32(pid)).Scan(&here)
		if err != nil || !here {
			return // killed, or gone
		}
		time.Sleep(time.Millisecond)
	}
}

// cutConn is a connection that may be cut.
type cutConn struct {
	net.Conn
	cut atomic.Pointer[cut]
	due bool // to be cut once the server is ready again
}

type cut struct {
	reached bool // the server has it
	goes    func()
}

var errCut = errors.New("the wire is cut")

// Write sends, or at the message that runs a statement cuts the wire.
func (c *cutConn) Write(p []byte) (int, error) {
	const bind = 'B' // PostgreSQL manual, message formats; what only prepares the statements goes before
	x := c.cut.Load()
	if x == nil || len(p) == 0 || p[0] != bind {
		return c.Conn.Write(p)
	}
	if x.reached {
		c.due = true
		return c.Conn.Write(p)
	}
	err := c.Close()
	x.goes()
	return 0, fmt.Errorf("%w: %w", errCut, errors.Join(net.ErrClosed, err))
}

// Read reads; once the commit went out it waits for the server's answer and loses it.
func (c *cutConn) Read(p []byte) (int, error) {
	if !c.due {
		return c.Conn.Read(p)
	}
	// ReadyForQuery and its state: also T, in a transaction, where the commit was never sent (its client
	// gave up) and this is the next request of a connection that went back to its pool.
	ready := []byte{'Z', 0, 0, 0, 5}
	var all []byte
	for len(all) == 0 || !bytes.HasSuffix(all[:len(all)-1], ready) {
		n, err := c.Conn.Read(p)
		all = append(all, p[:n]...)
		if err != nil {
			return 0, err
		}
	}
	c.cut.Load().goes()
	return 0, errors.Join(errCut, net.ErrClosed, c.Close())
}
