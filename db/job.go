package db

import (
	"context"
	"errors"
	"fmt"
	"time"

	"github.com/google/uuid"

	"roundkit/planner"
	"roundkit/planner/act"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
	"roundkit/planner/near"
	"roundkit/planner/place"
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
	said := j
	at := j.At
	if at.IsZero() {
		at = time.Now().Add(k.ahead)
	}
	if j.Round == "" {
		j.Round = ledger.RoundOn(&k.book, day.At(at, k.zone))
	} else if _, err := roundOf(&k.book, j.Round); err != nil {
		return done, nil, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	parts, faults := ledger.JobParts(&k.book, j.Service, j.Assembly, j.Used, j.Not)
	swap, err := s.swap(ctx, k, j)
	if faults = errors.Join(faults, err); faults != nil {
		return done, nil, fmt.Errorf("%w: %w", ErrRefused, faults)
	}
	if len(swap) > 0 && len(parts) == 1 && parts[0].Part == "" {
		parts = nil
	}
	if !j.Sure {
		plan := &planner.Snapshot{Catalogue: k.book.Catalogue, Plan: k.book.Plan}
		if err := doubt(act.Used(plan, j.Service, j.Assembly, j.Used)...); err != nil {
			return done, nil, err
		}
	}
	done, err = s.Record(ctx, Request{ID: j.ID, Season: j.Season, Kind: "job", Said: said, Person: j.Person, At: j.At, DryRun: j.DryRun, Notes: j.Notes,
		Job: &planner.Job{Service: j.Service, Assembly: j.Assembly, Round: j.Round}, JobParts: append(parts, swap...)})
	if err != nil {
		return done, nil, err
	}
	for _, service := range k.book.Services {
		if service.Code == j.Service && service.Caution != "" {
			notes = append(notes, "caution: "+service.Caution)
		}
	}
	notes = append(notes, ledger.Allowances(&k.book, j.Service, j.Assembly, parts)...)
	return done, append(notes, k.standIns(done, done.Parts)...), nil
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

// standIns says what may be used next time of a part that the book no longer had.
func (k *known) standIns(done Recorded, parts map[string]string) []string {
	var out []string
	for _, e := range done.Entries {
		for _, m := range e.Moves {
			if m.From != ledger.CountDifference || m.To != ledger.Used {
				continue
			}
			for _, a := range k.book.Alternatives {
				if parts[m.Lot] == a.Part {
					out = append(out, fmt.Sprintf("%s is out: %s may stand in; maker's word first, your decision, recorded", a.Part, a.Alternative))
				}
			}
		}
	}
	return out
}

// swap returns the rows of a spring swap: the fitted spring to its drawer, the wanted one in.
func (s *Store) swap(ctx context.Context, k *known, j JobLog) ([]planner.JobPart, error) {
	w := act.Swap{Service: j.Service, Assembly: j.Assembly, Spring: j.Spring, Root: k.rootOf(j.Round)}
	if j.Spring == "" && !act.SwapsSpring(k.book.ServiceLines, j.Service) {
		return nil, nil // most jobs: nothing to look up
	}
	_, snap, err := s.stores(ctx, j.Season)
	if err != nil {
		return nil, err
	}
	tree, err := place.New(snap.Places, snap.Assemblies)
	if err != nil {
		return nil, err
	}
	return act.Springs(snap, tree, w)
}

// rootOf is where the jobs of a round draw on: the trip's truck, or "" for anywhere.
func (k *known) rootOf(round string) string {
	for _, r := range k.book.Rounds {
		if r.Code != round {
			continue
		}
		for _, t := range k.book.Trips {
			if t.Code == r.Trip && t.GoesBy == "truck" {
				return t.Truck
			}
		}
	}
	return ""
}
