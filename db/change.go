package db

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/near"
	"roundkit/planner/workbook"
)

// ChangeOptions say of which season a plan is changed, by whom, and whether only to look.
type ChangeOptions struct {
	ID       uuid.UUID // of the change, by which it is taken back; none: one is made
	Together uuid.UUID // the first record of the command it belongs to; none: it is alone
	Season   string    // code; empty: the one that holds today, else the latest
	Person   string    // blank: nobody is named
	Notes    string
	DryRun   bool
}

// PlanChange is one number of the plan before and after.
type PlanChange struct {
	Round, Service, Assembly string
	Was, Now                 int
}

// plan runs f on the season's plan in one transaction; whoever else changes it waits. What f
// returns is kept as an entry, so that it can be taken back.
func (s *Store) plan(ctx context.Context, o ChangeOptions, f func(q *sqlcgen.Queries, season seasonRow, b *planner.Book, today day.Day) (*change, error)) error {
	now, _, err := s.Now(ctx)
	if err != nil {
		return err
	}
	err = s.Transact(ctx, pgx.TxOptions{}, func(q *sqlcgen.Queries, _ pgx.Tx) error {
		all, err := seasons(ctx, q)
		if err != nil {
			return err
		}
		season, err := pickSeason(all, o.Season, day.At(now, time.UTC))
		if err != nil {
			return err
		}
		zone, err := time.LoadLocation(season.TimeZone)
		if err != nil {
			return fmt.Errorf("time zone of season %s: %w", season.Code, err)
		}
		if err := q.OrderLock(ctx, season.ID); err != nil {
			wrap(&err, "wait for the plan")
			return err
		}
		b := &planner.Book{}
		if err := readCatalogue(ctx, q, &b.Catalogue); err != nil {
			return err
		}
		if err := readPlan(ctx, q, season, &b.Plan); err != nil {
			return err
		}
		if o.Person != "" && !slices.ContainsFunc(b.People, func(who planner.Person) bool { return who.Code == o.Person }) {
			return near.Miss("person", o.Person, codes(b.People, func(who planner.Person) string { return who.Code }))
		}
		changed, err := f(q, season, b, day.At(now, zone))
		if err != nil {
			return err
		}
		if err := stillSound(ctx, q, season, zone, b); err != nil {
			return err
		}
		if err := o.keep(ctx, q, season, "plan", changed, now); err != nil {
			return err
		}
		if err := q.PlanChanged(ctx); err != nil {
			wrap(&err, "say that the plan changed")
			return err
		}
		if o.DryRun {
			return errDryRun
		}
		return nil
	})
	if errors.Is(err, errDryRun) {
		return nil
	}
	return err
}

// errUnsound marks a change that a load of the same plan would refuse.
var errUnsound = errors.New("unsound")

// stillSound holds a changed plan against the checks of a workbook, so that what is saved of it
// can be loaded. What was wrong before the change is not the change's fault, and stops nobody.
func stillSound(ctx context.Context, q *sqlcgen.Queries, season seasonRow, zone *time.Location, before *planner.Book) error {
	after := &planner.Book{Catalogue: before.Catalogue}
	if err := readPlan(ctx, q, season, &after.Plan); err != nil {
		return err
	}
	faults := workbook.Check(after, zone, time.LoadLocation)
	if len(faults) == 0 {
		return nil
	}
	known := map[string]bool{}
	for _, f := range workbook.Check(before, zone, time.LoadLocation) {
		known[f.String()] = true
	}
	faults = slices.DeleteFunc(faults, func(f workbook.Fault) bool { return known[f.String()] })
	if len(faults) == 0 {
		return nil
	}
	return unsound{faults}
}

// unsound is the faults that a change would make.
type unsound struct{ workbook.Faults }

func (u unsound) Is(target error) bool { return target == errUnsound || target == ErrRefused }

// RoundWeather records that a round was dry or wet, seen today. It returns what the round
// said before.
func (s *Store) RoundWeather(ctx context.Context, round, weather string, o ChangeOptions) (before planner.Round, seenOn day.Day, err error) {
	if weather != "dry" && weather != "wet" {
		return before, 0, fmt.Errorf("%w: found weather %q, expected dry or wet", ErrRefused, weather)
	}
	err = s.plan(ctx, o, func(q *sqlcgen.Queries, season seasonRow, b *planner.Book, today day.Day) (_ *change, err error) {
		if before, err = b.Round(round); err != nil {
			return nil, err
		}
		seenOn = min(today, before.LastOn)
		if today < before.FirstOn {
			return nil, fmt.Errorf("%w: round %s begins on %s, expected one that has begun: its weather is not known yet", ErrRefused, round, before.FirstOn)
		}
		_, err = q.RoundWeather(ctx, weather, seenOn.UTC(), season.ID, round)
		wrap(&err, "record the weather of %s", round)
		return &change{What: changedWeather, Subject: round, Was: state{Word: before.Weather, On: before.WeatherSeenOn}, Now: state{Word: weather, On: &seenOn}}, err
	})
	return before, seenOn, err
}

// PlanAdd changes how many jobs a round plans of a service (on one assembly, or any) by a
// number, below 0 to drop some. It refuses to go below 0.
func (s *Store) PlanAdd(ctx context.Context, c PlanChange, by int, o ChangeOptions) (PlanChange, error) {
	err := s.plan(ctx, o, func(q *sqlcgen.Queries, season seasonRow, b *planner.Book, _ day.Day) (*change, error) {
		if _, err := b.Round(c.Round); err != nil {
			return nil, err
		}
		if err := plannable(b, c); err != nil {
			return nil, err
		}
		was, err := q.PlannedJobsFor(ctx, season.ID, c.Round, c.Service, c.Assembly)
		if err != nil {
			wrap(&err, "read the plan of %s", c.Round)
			return nil, err
		}
		c.Was, c.Now = int(was), int(was)+by
		if c.Now < 0 {
			return nil, fmt.Errorf("%w: round %s plans %d %s, expected at least the %d to drop", ErrRefused, c.Round, c.Was, c.Service, -by)
		}
		if c.Now > planner.MostJobs {
			return nil, fmt.Errorf("%w: round %s would plan %d %s, expected at most %d", ErrRefused, c.Round, c.Now, c.Service, planner.MostJobs)
		}
		err = q.PlannedJobsSet(ctx, sqlcgen.PlannedJobsSetParams{SeasonID: season.ID, Round: c.Round, Service: c.Service, Assembly: c.Assembly, Jobs: int32(c.Now)})
		wrap(&err, "change the plan of %s", c.Round)
		return &change{What: changedJobs, Subject: c.Round, Service: c.Service, Assembly: c.Assembly, Was: state{Jobs: c.Was}, Now: state{Jobs: c.Now}}, err
	})
	return c, err
}

// plannable checks that the service can be planned on the assembly: a service that uses the
// fork's own oil must say which fork.
func plannable(b *planner.Book, c PlanChange) error {
	var service *planner.Service
	var services, assemblies []string
	for i, s := range b.Services {
		services = append(services, s.Code)
		if s.Code == c.Service {
			service = &b.Services[i]
		}
	}
	if service == nil {
		return near.Miss("service", c.Service, services)
	}
	if service.Planned != nil && !*service.Planned {
		return fmt.Errorf("%w: service %s only happens unplanned, expected one that can be planned", ErrRefused, c.Service)
	}
	kinds := map[string]string{}
	for _, m := range b.Models {
		kinds[m.Code] = m.Kind
	}
	found := false
	for _, a := range b.Assemblies {
		if kinds[a.Model] == service.ModelKind {
			assemblies = append(assemblies, a.Code)
		}
		if a.Code != c.Assembly {
			continue
		}
		found = true
		if service.ModelKind != "" && kinds[a.Model] != service.ModelKind {
			return fmt.Errorf("%w: %s is a %s, expected a %s for %s", ErrRefused, a.Code, kinds[a.Model], service.ModelKind, c.Service)
		}
	}
	if c.Assembly != "" && !found {
		return near.Miss(service.ModelKind, c.Assembly, assemblies)
	}
	for _, l := range b.ServiceLines {
		if l.Service == c.Service && l.OwnPart == "damper oil" && c.Assembly == "" {
			return fmt.Errorf("%w: %s uses the %s's own oil, expected --on with one of %v", ErrRefused, c.Service, service.ModelKind, assemblies)
		}
	}
	return nil
}
