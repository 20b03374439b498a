package db_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgxpool"
)

// turns decides who goes next, by chance from a seed: everybody stops before each request to
// the server and before all that others can see, and only one goes on, until it stops again,
// is gone, or waits in the server for a lock that somebody who stands still holds. While one
// waits so, only those go on who hold locks: two who are let go by one commit would race each
// other. So the same seed is the same run, request by request. A nil turns lets all go at once.
type turns struct {
	chance *rand.Rand
	look   *pgxpool.Pool // whom the server lets wait

	mu      sync.Mutex
	actors  []*actor
	trace   []string
	fault   error
	moved   chan struct{} // somebody stopped, asked or is gone
	stopped chan struct{} // closed at a fault: all run on
}

type actor struct {
	name  string
	state actorState
	what  string      // stopped before
	ready func() bool // nil: at any time
	conn  *pgx.Conn   // stopped before a request on it
	next  chan struct{}
}

type actorState int

const (
	running actorState = iota
	stopped            // before its next step
	asking             // the server
	waiting            // in the server, for a lock
	gone
)

type actorKey struct{}

func newTurns(seed uint64, look *pgxpool.Pool) *turns {
	return &turns{chance: rand.New(rand.NewPCG(seed, 1<<32)), look: look, moved: make(chan struct{}, 1), stopped: make(chan struct{})}
}

// beside runs f as an actor of that name and returns what waits for its end.
func (s *turns) beside(ctx context.Context, name string, f func(ctx context.Context)) (wait func()) {
	done := make(chan struct{})
	if s == nil {
		go func() { defer close(done); f(ctx) }()
		return func() { <-done }
	}
	a := &actor{name: name, next: make(chan struct{})}
	s.mu.Lock()
	s.actors = append(s.actors, a)
	s.mu.Unlock()
	go func() {
		defer close(done)
		defer s.now(a, gone)
		f(context.WithValue(ctx, actorKey{}, a))
	}()
	return func() {
		s.stop(ctx, "waits for "+name, nil, func() bool { return a.state == gone })
		<-done
	}
}

// now changes what an actor does.
func (s *turns) now(a *actor, state actorState) {
	s.mu.Lock()
	a.state = state
	s.mu.Unlock()
	select {
	case s.moved <- struct{}{}:
	default:
	}
}

// stop waits for the turn of whoever the context is of.
func (s *turns) stop(ctx context.Context, what string, conn *pgx.Conn, ready func() bool) {
	if s == nil {
		return
	}
	a, ok := ctx.Value(actorKey{}).(*actor)
	if !ok {
		return // before the run
	}
	s.mu.Lock()
	a.what, a.conn, a.ready = what, conn, ready
	s.mu.Unlock()
	s.now(a, stopped)
	select {
	case <-a.next:
	case <-s.stopped:
	}
}

// answered ends a request.
func (s *turns) answered(ctx context.Context) {
	if s == nil {
		return
	}
	if a, ok := ctx.Value(actorKey{}).(*actor); ok {
		s.now(a, running)
	}
}

// note adds a line to the trace, of whoever has the turn.
func (s *turns) note(ctx context.Context, what string) {
	if s == nil {
		return
	}
	if a, ok := ctx.Value(actorKey{}).(*actor); ok {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.trace = append(s.trace, a.name+" "+what)
	}
}

// run gives turns until everybody is gone.
func (s *turns) run(t *testing.T) error {
	for {
		if err := s.settle(t); err != nil {
			s.fault = err
			close(s.stopped)
			return err
		}
		s.mu.Lock()
		var may []*actor
		left, waits := false, slices.ContainsFunc(s.actors, func(a *actor) bool { return a.state == waiting })
		for _, a := range s.actors {
			left = left || a.state != gone
			if a.state != stopped || a.ready != nil && !a.ready() {
				continue
			}
			holds := a.conn != nil && !a.conn.IsClosed() && a.conn.PgConn().TxStatus() != 'I'
			if !waits || holds {
				may = append(may, a)
			}
		}
		if len(may) == 0 {
			if left {
				s.fault = fmt.Errorf("nobody can go on: %s", s.where())
				close(s.stopped)
			}
			s.mu.Unlock()
			return s.fault
		}
		a := may[s.chance.IntN(len(may))]
		s.trace = append(s.trace, a.name+" "+a.what)
		for _, w := range s.actors {
			if w.state == waiting {
				w.state = asking // perhaps no more, after this turn
			}
		}
		a.state = running
		if a.conn != nil {
			a.state = asking
		}
		s.mu.Unlock()
		a.next <- struct{}{}
	}
}

// settle waits until everybody stands still.
func (s *turns) settle(t *testing.T) error {
	const (
		patience = 2 * time.Minute
		pause    = 2 * time.Millisecond
	)
	for start := time.Now(); time.Since(start) < patience; {
		busy, asked := s.busy()
		switch {
		case !busy && len(asked) == 0:
			return nil
		case !busy:
			all, err := s.allWait(t, asked)
			if err != nil {
				return err
			}
			if all {
				return nil
			}
		}
		select {
		case <-s.moved:
		case <-time.After(pause):
		}
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return fmt.Errorf("somebody does not come to an end: %s", s.where())
}

const waitsMark = " (waits)"

// busy reports whether somebody runs, and who asks the server.
func (s *turns) busy() (busy bool, asked []*actor) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, a := range s.actors {
		busy = busy || a.state == running
		if a.state == asking {
			asked = append(asked, a)
		}
	}
	return busy, asked
}

// allWait asks the server whether all of them wait for somebody's lock: then nothing happens
// until somebody who stands still goes on.
func (s *turns) allWait(t *testing.T, asked []*actor) (bool, error) {
	pids := make([]int32, len(asked))
	s.mu.Lock()
	for i, a := range asked {
		if a.conn == nil { // answered meanwhile, and stopped before something else
			s.mu.Unlock()
			return false, nil
		}
		pids[i] = int32(a.conn.PgConn().PID())
	}
	s.mu.Unlock()
	var n int
	err := s.look.QueryRow(t.Context(), "SELECT count(*) FROM unnest($1::int[]) AS a (pid) WHERE pg_blocking_pids(pid) <> '{}'", pids).Scan(&n)
	if err != nil || n < len(asked) {
		return false, err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	for _, a := range asked {
		if a.state != asking { // answered meanwhile
			return false, nil
		}
	}
	for _, a := range asked {
		a.state = waiting
		if !strings.HasSuffix(a.what, waitsMark) {
			a.what += waitsMark
			s.trace = append(s.trace, a.name+" "+a.what)
		}
	}
	return true, nil
}

func (s *turns) where() string {
	var b strings.Builder
	for _, a := range s.actors {
		if a.state != gone {
			fmt.Fprintf(&b, "; %s %s (%d)", a.name, a.what, a.state)
		}
	}
	return b.String()
}
