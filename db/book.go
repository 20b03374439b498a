package db

import (
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"time"

	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/ledger"
)

// seasonRow is a season with its id in the database.
type seasonRow struct {
	ID int32 `json:"id"`
	planner.Season
}

// seasons lists the seasons by first day.
func seasons(ctx context.Context, q *sqlcgen.Queries) ([]seasonRow, error) {
	return list[seasonRow](ctx, q.SeasonList)
}

// pickSeason returns the season of a code; without one, the season that holds the day,
// else the latest.
func pickSeason(all []seasonRow, code string, today day.Day) (seasonRow, error) {
	if len(all) == 0 {
		return seasonRow{}, fmt.Errorf("%w: the database holds no season yet: load one with \"roundkit workbook load FILE\" or try \"roundkit demo\"", ErrNotFound)
	}
	if code != "" {
		for _, s := range all {
			if s.Code == code {
				return s, nil
			}
		}
		codes := make([]string, len(all))
		for i, s := range all {
			codes[i] = s.Code
		}
		return seasonRow{}, fmt.Errorf("%w: no season %q; there is %q", ErrNotFound, code, codes)
	}
	for _, s := range slices.Backward(all) {
		if s.FirstOn <= today && today <= s.LastOn {
			return s, nil
		}
	}
	return all[len(all)-1], nil
}

// list reads one sheet's rows, which the database hands over as one JSON text.
func list[T any](ctx context.Context, read func(context.Context) ([]byte, error)) ([]T, error) {
	text, err := read(ctx)
	if err != nil {
		return nil, err
	}
	var rows []T
	if err := json.Unmarshal(text, &rows); err != nil {
		return nil, fmt.Errorf("read rows of %T: %w", *new(T), err)
	}
	if len(rows) == 0 {
		return nil, nil
	}
	return rows, nil
}

// into reads a sheet into its place in a book; the first error stays.
func into[T any](ctx context.Context, err *error, rows *[]T, read func(context.Context) ([]byte, error)) {
	if *err == nil {
		*rows, *err = list[T](ctx, read)
	}
}

// readCatalogue and readPlan fill what the planner and the workbook both see.
func readCatalogue(ctx context.Context, q *sqlcgen.Queries, c *planner.Catalogue) (err error) {
	into(ctx, &err, &c.People, q.PersonList)
	into(ctx, &err, &c.Riders, q.RiderList)
	into(ctx, &err, &c.Models, q.ModelList)
	into(ctx, &err, &c.Suppliers, q.SupplierList)
	into(ctx, &err, &c.Places, q.PlaceList)
	into(ctx, &err, &c.Cases, q.CaseList)
	into(ctx, &err, &c.Parts, q.PartList)
	into(ctx, &err, &c.Liquids, q.LiquidList)
	into(ctx, &err, &c.Springs, q.SpringList)
	into(ctx, &err, &c.KitContents, q.KitContentList)
	into(ctx, &err, &c.Alternatives, q.AlternativeList)
	into(ctx, &err, &c.Assemblies, q.AssemblyList)
	into(ctx, &err, &c.Services, q.ServiceList)
	into(ctx, &err, &c.Rates, q.ExchangeRateList)
	return err
}

func readPlan(ctx context.Context, q *sqlcgen.Queries, season seasonRow, p *planner.Plan) (err error) {
	of := func(read func(context.Context, int32) ([]byte, error)) func(context.Context) ([]byte, error) {
		return func(ctx context.Context) ([]byte, error) { return read(ctx, season.ID) }
	}
	if season.ID != 0 {
		p.Season = []planner.Season{season.Season}
	}
	into(ctx, &err, &p.SpringChoices, q.SpringChoiceList)
	into(ctx, &err, &p.Rounds, of(q.RoundList))
	into(ctx, &err, &p.Trips, of(q.TripList))
	into(ctx, &err, &p.TopUps, of(q.TopUpList))
	into(ctx, &err, &p.ServiceLines, q.ServiceLineList)
	into(ctx, &err, &p.PlannedJobs, of(q.PlannedJobsList))
	into(ctx, &err, &p.UnplannedRates, q.UnplannedRateList)
	into(ctx, &err, &p.Offers, q.OfferList)
	into(ctx, &err, &p.PriceBreaks, q.PriceBreakList)
	into(ctx, &err, &p.Closures, q.ClosureList)
	into(ctx, &err, &p.Collections, of(q.CollectionList))
	into(ctx, &err, &p.Allocations, q.AllocationList)
	into(ctx, &err, &p.Budget, of(q.BudgetList))
	return err
}

func readHistory(ctx context.Context, q *sqlcgen.Queries, season int32, h *planner.History) (err error) {
	of := func(read func(context.Context, int32) ([]byte, error)) func(context.Context) ([]byte, error) {
		return func(ctx context.Context) ([]byte, error) { return read(ctx, season) }
	}
	into(ctx, &err, &h.Orders, of(q.OrderList))
	into(ctx, &err, &h.OrderLines, of(q.OrderLineList))
	into(ctx, &err, &h.Lots, of(q.LotList))
	into(ctx, &err, &h.Tags, of(q.TagList))
	into(ctx, &err, &h.Stock, of(q.StockRowList))
	into(ctx, &err, &h.Jobs, of(q.JobList))
	into(ctx, &err, &h.JobParts, of(q.JobPartList))
	into(ctx, &err, &h.Movements, of(q.MovementList))
	into(ctx, &err, &h.Counts, of(q.CountList))
	into(ctx, &err, &h.Weighings, of(q.WeighingList))
	into(ctx, &err, &h.Charges, of(q.ChargeList))
	h.Stock = latestStock(h.Stock)
	return err
}

// latestStock keeps of each stock row what it was last corrected to, at its first place and
// with the number of its first arrival.
func latestStock(rows []planner.StockRow) []planner.StockRow {
	type key struct {
		place, part, lot, tag string
		at                    time.Time
	}
	at, latest := make(map[key]int, len(rows)), make([]int, 0, len(rows))
	kept := rows[:0]
	for _, r := range rows {
		k := key{r.Place, r.Part, r.Lot, r.Tag, r.CountedAt.UTC()}
		i, ok := at[k]
		if !ok {
			at[k] = len(kept)
			kept, latest = append(kept, r), append(latest, *r.Arrival)
			continue
		}
		if *r.Arrival > latest[i] {
			kept[i].Quantity, latest[i] = r.Quantity, *r.Arrival
		}
		if *r.Arrival < *kept[i].Arrival {
			kept[i].Arrival = r.Arrival
		}
	}
	return kept
}

// readBook reads everything a workbook of the season says, inside one transaction. Of a
// season that is not known yet that is what holds for every season.
func readBook(ctx context.Context, q *sqlcgen.Queries, season seasonRow) (*planner.Book, error) {
	b := &planner.Book{}
	if err := readCatalogue(ctx, q, &b.Catalogue); err != nil {
		return nil, err
	}
	if err := readPlan(ctx, q, season, &b.Plan); err != nil {
		return nil, err
	}
	if err := readHistory(ctx, q, season.ID, &b.History); err != nil {
		return nil, err
	}
	return b, nil
}

// Book reads the whole season of a code (or the one that holds today, else the latest).
func (s *Store) Book(ctx context.Context, code string) (b *planner.Book, err error) {
	now, _, err := s.Now(ctx)
	if err != nil {
		return nil, err
	}
	err = s.Transact(ctx, readOnly, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
		defer wrap(&err, "read the season")
		all, err := seasons(ctx, q)
		if err != nil {
			return err
		}
		picked, err := pickSeason(all, code, day.At(now, time.UTC))
		if err != nil {
			return err
		}
		if b, err = readBook(ctx, q, picked); err != nil {
			return err
		}
		zone, err := time.LoadLocation(picked.TimeZone)
		if err != nil {
			return fmt.Errorf("time zone of season %s: %w", picked.Code, err)
		}
		if bare, ok := ledger.Unnumbered(b, zone); ok {
			b = bare
		}
		return nil
	})
	return b, err
}
