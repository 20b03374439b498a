package db

import (
	"context"
	"fmt"
	"time"

	"github.com/google/uuid"

	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/near"
)

// JobLog is a job just done.
type JobLog struct {
	ID                uuid.UUID
	Season            string
	Service, Assembly string
	Round             string // blank: the one on then
	Person            string
	At                time.Time // zero: now
	Used              []ledger.Amount
	Not               []string
	Spring            string // of a swap: the part, the tag or the rate that goes in
	Notes             string
	DryRun            bool `json:"-"` // say what it would do, write nothing
	Sure              bool `json:"-"` // it is so, however unlikely
}

// LogJob records a job with what it usually uses, changed by what was said. The notes are
// for the person: the caution of the service, what stands in for what is out.
func (s *Store) LogJob(ctx context.Context, j JobLog) (done Recorded, notes []string, err error) {
	log := func() (Recorded, error) {
		err := s.withPlan(ctx, j.Season, func(k *known) (err error) {
			done, notes, err = s.logJob(ctx, k, j)
			return err
		})
		return done, err
	}
	if j.Spring == "" {
		done, err = log()
		return done, notes, err
	}
	// which spring it was depends on where they are
	done, err = s.again(ctx, Request{ID: j.ID, Kind: "job", Said: j}, log)
	return done, notes, err
}

func (s *Store) logJob(ctx context.Context, k *known, j JobLog) (done Recorded, notes []string, err error) {
	if err := k.person(j.Person); err != nil {
		return done, nil, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	at := j.At
	if at.IsZero() {
		at = time.Now().Add(k.ahead)
	}
	said := act.Job{Service: j.Service, Assembly: j.Assembly, Round: j.Round, Used: j.Used, Not: j.Not, Spring: j.Spring, Sure: j.Sure}
	var state *act.State
	if said.LooksUp(&k.book) {
		_, snap, err := s.stores(ctx, j.Season)
		if err != nil {
			return done, nil, err
		}
		if state, err = act.NewState(snap, act.When{}); err != nil {
			return done, nil, err
		}
	}
	job, parts, err := said.Rows(&k.book, day.At(at, k.zone), state)
	if err != nil {
		return done, nil, refused(err)
	}
	done, err = s.Record(ctx, Request{ID: j.ID, Season: j.Season, Kind: "job", Said: j, Person: j.Person, At: j.At, DryRun: j.DryRun, Notes: j.Notes,
		Job: &job, JobParts: parts})
	if err != nil {
		return done, nil, err
	}
	return done, append(act.Cautions(&k.book, job, parts), act.StandIns(&k.book, done.Entries, done.Parts)...), nil
}

// person checks a name; blank is allowed, nobody is told no with oil on their hands.
func (k *known) person(code string) error {
	if code == "" {
		return nil
	}
	var codes []string
	for _, p := range k.book.People {
		if p.Code == code {
			return nil
		}
		codes = append(codes, p.Code)
	}
	return near.Miss("person", code, codes)
}
