package db

import (
	"context"
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/google/uuid"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/record"
)

// A change of the plan or of an order is an entry that moves nothing: what it changed is kept
// beside it, before and after, so that an undo can put the one in the place of the other.
const (
	changedJobs    = "jobs"
	changedWeather = "weather"
	changedTrip    = "trip"
	changedOrder   = "order"
	changedLine    = "line" // the numbers of a service line
	changedRate    = "rate" // how often an unplanned service happens
	changedCharge  = "charge"
)

// change is what an entry changed of the plan or of an order.
type change struct {
	What, Subject     string
	Service, Assembly string // of jobs; the service of a line, whose part is the subject
	Was, Now          state
}

// state is what stands in the plan or the order: each change uses what it needs.
type state struct {
	Jobs     int      `json:"jobs,omitempty"`
	Word     string   `json:"word,omitempty"` // dry or wet; the state of an order; numbers as people read them
	On       *day.Day `json:"on,omitempty"`   // the weather was seen; a trip is back; an order was placed
	DueOn    *day.Day `json:"due_on,omitempty"`
	Expected *day.Day `json:"expected,omitempty"` // the day that was planned

	Line *planner.LineNumbers `json:"line,omitempty"`
	Rate *planner.RateNumbers `json:"rate,omitempty"`
}

func (s state) same(o state) bool {
	return s.Jobs == o.Jobs && s.Word == o.Word && sameDay(s.On, o.On) && sameDay(s.DueOn, o.DueOn)
}

func sameDay(a, b *day.Day) bool { return a == nil && b == nil || a != nil && b != nil && *a == *b }

// keep stores a change as an entry of its own; nil: nothing to keep.
func (o ChangeOptions) keep(ctx context.Context, q *sqlcgen.Queries, season seasonRow, kind string, c *change, now time.Time) (err error) {
	defer wrap(&err, "keep what was changed")
	if c == nil {
		return nil
	}
	id := o.ID
	if id == uuid.Nil {
		if id, err = uuid.NewV7(); err != nil {
			return err
		}
	}
	hash := sha256.Sum256([]byte(kind + "\x00" + id.String()))
	if err := q.ChangeEntry(ctx, sqlcgen.ChangeEntryParams{ID: id, SeasonID: season.ID, Kind: kind, Person: o.Person, HappenedAt: now, RequestHash: hash[:], Notes: o.Notes}); err != nil {
		return err
	}
	if o.Together != uuid.Nil {
		if err := q.TogetherAdd(ctx, id, o.Together); err != nil {
			return err
		}
	}
	return c.put(ctx, q, id)
}

func (c change) put(ctx context.Context, q *sqlcgen.Queries, id uuid.UUID) error {
	was, err := json.Marshal(c.Was)
	if err != nil {
		return err
	}
	now, err := json.Marshal(c.Now)
	if err != nil {
		return err
	}
	return q.ChangeAdd(ctx, sqlcgen.ChangeAddParams{EntryID: id, What: c.What, Subject: c.Subject, Service: c.Service, Assembly: c.Assembly, Was: was, Now: now})
}

// told is the change as people are told of it.
func (c change) told() *record.Change {
	t := &record.Change{What: c.What, Subject: c.Subject, Service: c.Service, Assembly: c.Assembly}
	t.Was, t.Now = c.words(c.Was), c.words(c.Now)
	return t
}

func (c change) words(s state) string {
	switch {
	case c.What == changedJobs:
		return strconv.Itoa(s.Jobs)
	case c.What == changedTrip && s.On == nil && s.Expected != nil:
		return s.Expected.String()
	case c.What == changedTrip && s.On != nil:
		return s.On.String()
	}
	return s.Word
}

// back is the change that takes this one back.
func (c change) back() *change {
	c.Was, c.Now = c.Now, c.Was
	return &c
}

// apply puts what the change says into the plan or the order, and keeps it with the entry of
// the request. A number of jobs is changed by as much as it was; all else must still be what
// the change found, or somebody has decided otherwise since.
func (c change) apply(ctx context.Context, q *sqlcgen.Queries, k *known, r Request) (err error) {
	defer wrap(&err, "change %s", c.Subject)
	season := k.season.ID
	if err := q.OrderLock(ctx, season); err != nil {
		return err
	}
	otherwise := func(is state) error {
		return fmt.Errorf("%w: %s is %s now, expected %s: it was changed since", ErrRefused, c.Subject, orUnknown(c.words(is)), orUnknown(c.words(c.Was)))
	}
	switch c.What {
	case changedJobs:
		if _, err := k.book.Round(c.Subject); err != nil {
			return err
		}
		planned, err := q.PlannedJobsFor(ctx, season, c.Subject, c.Service, c.Assembly)
		if err != nil {
			return err
		}
		jobs := int(planned) + c.Now.Jobs - c.Was.Jobs
		if jobs < 0 {
			return fmt.Errorf("%w: round %s plans %d %s now, expected at least %d: it was changed since", ErrRefused, c.Subject, planned, c.Service, c.Was.Jobs-c.Now.Jobs)
		}
		c.Was.Jobs, c.Now.Jobs = int(planned), jobs
		if err := q.PlannedJobsSet(ctx, sqlcgen.PlannedJobsSetParams{SeasonID: season, Round: c.Subject, Service: c.Service, Assembly: c.Assembly, Jobs: int32(jobs)}); err != nil {
			return err
		}
	case changedWeather:
		is, err := q.RoundWeatherOf(ctx, season, c.Subject)
		if err != nil {
			return err
		}
		if s := (state{Word: is.Weather, On: dayOf(is.WeatherSeenOn)}); !s.same(c.Was) {
			return otherwise(s)
		}
		if err := q.RoundWeatherBack(ctx, c.Now.Word, utc(c.Now.On), season, c.Subject); err != nil {
			return err
		}
	case changedTrip:
		is, err := q.TripBackOf(ctx, season, c.Subject)
		if err != nil {
			return err
		}
		if s := (state{On: dayOf(is)}); !sameDay(s.On, c.Was.On) {
			return otherwise(s)
		}
		if err := q.TripBackSet(ctx, utc(c.Now.On), season, c.Subject); err != nil {
			return err
		}
	case changedLine, changedRate:
		if err := c.setNumbers(ctx, q); err != nil {
			return err
		}
	case changedCharge:
		if err := c.applyCharge(ctx, q, season, r); err != nil {
			return err
		}
	case changedOrder:
		return c.applyOrder(ctx, q, k, r)
	}
	if err := c.put(ctx, q, r.ID); err != nil {
		return err
	}
	return q.PlanChanged(ctx)
}

func (c change) applyOrder(ctx context.Context, q *sqlcgen.Queries, k *known, r Request) error {
	is, err := q.OrderOf(ctx, k.season.ID, c.Subject)
	if err != nil {
		return err
	}
	s := state{Word: is.State, On: dayOf(is.PlacedOn), DueOn: dayOf(is.DueOn)}
	if !s.same(c.Was) {
		if s.Word == c.Was.Word {
			return fmt.Errorf("%w: order %s has other days now, expected it as it was left: it was changed since", ErrRefused, c.Subject)
		}
		return fmt.Errorf("%w: order %s is %s now, expected %s: it was changed since", ErrRefused, c.Subject, orUnknown(s.Word), orUnknown(c.Was.Word))
	}
	word := "taken back"
	if r.Redo != nil {
		word = "put back"
	}
	said := fmt.Sprintf("%s %s, was %s", word, day.At(r.At, k.zone), orUnknown(c.Was.Word))
	if r.Person != "" {
		said += " by " + r.Person
	}
	n, err := q.OrderStep(ctx, sqlcgen.OrderStepParams{State: c.Now.Word, PlacedOn: utc(c.Now.On), DueOn: utc(c.Now.DueOn), Notes: strings.TrimPrefix(is.Notes+"; "+said, "; "),
		SeasonID: k.season.ID, Code: c.Subject, Was: is.State})
	if err == nil && n != 1 {
		err = fmt.Errorf("%w: order %s was changed meanwhile", ErrConflict, c.Subject)
	}
	if err != nil {
		return err
	}
	if err := q.OrderReceived(ctx, day.At(time.Now().Add(k.ahead), k.zone).UTC(), k.season.ID, c.Subject, r.ID); err != nil {
		return err
	}
	return c.put(ctx, q, r.ID)
}

func orUnknown(word string) string {
	if word == "" {
		return "not known"
	}
	return word
}

func dayOf(t *time.Time) *day.Day {
	if t == nil {
		return nil
	}
	on := day.At(*t, time.UTC)
	return &on
}
