package db

import (
	"context"
	"errors"
	"fmt"
	"math/big"
	"time"

	"github.com/jackc/pgx/v5"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/spend"
)

// MonthClose asks for a month to be closed.
type MonthClose struct {
	Season string  // code, for its time zone; empty: the one that holds today, else the latest
	Month  day.Day // any day of it
	Person string
	DryRun bool
}

// MonthClosed is what a month was closed with: the totals by budget line, of all seasons.
type MonthClosed struct {
	Month  day.Day
	Totals []spend.ClosedTotal
}

// CloseMonth keeps the totals of a month by every view and freezes them: what is recorded
// later belongs to the open month. Whoever records waits meanwhile. It refuses a month that
// is not over, is closed, or comes after one that is open and has records; and one that
// lacks an exchange rate, since that can be entered first.
func (s *Store) CloseMonth(ctx context.Context, c MonthClose) (done MonthClosed, err error) {
	k, err := s.known(ctx, c.Season, true)
	if err != nil {
		return done, err
	}
	if err := k.person(c.Person); err != nil {
		return done, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	done.Month = spend.MonthOf(c.Month)
	err = s.Transact(ctx, pgx.TxOptions{IsoLevel: pgx.ReadCommitted}, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
		defer wrap(&err, "close %s", monthName(done.Month))
		done.Totals = nil
		if err := q.CloseLock(ctx); err != nil {
			return err
		}
		clock, err := q.ClockNow(ctx)
		if err != nil {
			return err
		}
		months, err := closedMonths(ctx, q)
		if err != nil {
			return err
		}
		if err := closable(ctx, q, months, done.Month, k.zone, clock.Now); err != nil {
			return err
		}
		all, err := seasons(ctx, q)
		if err != nil {
			return err
		}
		var write []func() error
		for _, season := range all {
			then, totals, err := closeSeason(ctx, q, season, done.Month)
			if err != nil {
				return fmt.Errorf("season %s: %w", season.Code, err)
			}
			write, done.Totals = append(write, then), append(done.Totals, totals...)
		}
		if c.DryRun {
			return errDryRun
		}
		err = q.CloseMonth(ctx, done.Month.UTC(), clock.Now, c.Person)
		for _, then := range write { // the month's row comes first
			if err == nil {
				err = then()
			}
		}
		return err
	})
	if errors.Is(err, errDryRun) {
		err = nil
	}
	return done, err
}

// monthName is a month as people write it: 2027-05.
func monthName(m day.Day) string { return m.String()[:len("2027-05")] }

// closable says why a month cannot be closed.
func closable(ctx context.Context, q *sqlcgen.Queries, months []spend.ClosedMonth, month day.Day, zone *time.Location, now time.Time) error {
	open := spend.OpenMonth(months)
	if month < open {
		return fmt.Errorf("%w: found %s, expected a month after %s, the last that is closed", ErrRefused, monthName(month), monthName(months[len(months)-1].Month))
	}
	if end := month.AddMonths(1).Start(zone); end.After(now) {
		return fmt.Errorf("%w: found %s, expected a month that is over: it ends with %s", ErrRefused, monthName(month), month.AddMonths(1)-1)
	}
	r := &spendReader{zone: zone}
	first := month
	rows, err := q.FirstOpenEntry(ctx, r.closedEnd(months))
	if err != nil {
		return err
	}
	if len(rows) > 0 {
		first = min(first, spend.MonthOf(day.At(rows[0], zone)))
	}
	late, err := q.LateAnywhere(ctx, lastEntry(months), r.closedEnd(months))
	if err != nil {
		return err
	}
	if late {
		first = min(first, open)
	}
	if first < month {
		return fmt.Errorf("%w: found %s, expected %s to be closed first: it has records", ErrRefused, monthName(month), monthName(first))
	}
	return nil
}

// closeSeason reckons a season's totals of a month by every view, and returns what writes
// them with the prices of the day.
func closeSeason(ctx context.Context, q *sqlcgen.Queries, season seasonRow, month day.Day) (write func() error, lines []spend.ClosedTotal, err error) {
	zone, err := time.LoadLocation(season.TimeZone)
	if err != nil {
		return nil, nil, err
	}
	snap := &planner.Snapshot{Zone: zone, AsOf: month.AddMonths(1) - 1}
	if err := readCatalogue(ctx, q, &snap.Catalogue); err != nil {
		return nil, nil, err
	}
	if err := readPlan(ctx, q, season, &snap.Plan); err != nil {
		return nil, nil, err
	}
	into(ctx, &err, &snap.Lots, func(ctx context.Context) ([]byte, error) { return q.LotList(ctx, season.ID) })
	if err != nil {
		return nil, nil, err
	}
	totals := []totalRow{}
	var facts spend.Facts
	for _, view := range spend.Views() {
		facts = spend.Facts{}
		r := &spendReader{q: q, season: season.ID, zone: zone, view: view, before: month.AddMonths(1).Start(zone)}
		if err := r.books(ctx, &facts); err != nil {
			return nil, nil, err
		}
		prices := spend.NewPrices(snap, facts.Costs)
		if facts.Moves, err = r.open(ctx, facts.Months, prices); err != nil {
			return nil, nil, err
		}
		if len(facts.Months) > 0 {
			facts.Closed = &spend.Closed{}
			if err := r.corrections(ctx, &facts, prices); err != nil {
				return nil, nil, err
			}
		}
		all, err := spend.Closing(snap, view, facts, month)
		if errors.Is(err, spend.ErrRate) {
			return nil, nil, fmt.Errorf("%w: %w", ErrRefused, err)
		}
		if err != nil {
			return nil, nil, err
		}
		for _, t := range all {
			totals = append(totals, totalRow{View: view, Key: t.Key, Figure: t.Figure, Num: t.Amount.Num().String(), Den: t.Amount.Denom().String()})
		}
		if view == spend.ByLine {
			lines = all
		}
	}
	return func() error {
		return keepClosing(ctx, q, season.ID, month, totals, spend.NewPrices(snap, facts.Costs), snap.Lots)
	}, lines, nil
}

type totalRow struct {
	View   string `json:"view"`
	Key    string `json:"key"`
	Figure string `json:"figure"`
	Num    string `json:"num"`
	Den    string `json:"den"`
}

type priceRow struct {
	Lot     string  `json:"lot"`
	CostNum *string `json:"cost_num"`
	CostDen *string `json:"cost_den"`
	ListNum *string `json:"list_num"`
	ListDen *string `json:"list_den"`
}

func keepClosing(ctx context.Context, q *sqlcgen.Queries, season int32, month day.Day, totals []totalRow, prices *spend.Prices, lots []planner.Lot) error {
	rows := make([]priceRow, 0, len(lots))
	for _, l := range lots {
		p := prices.Of(l.Code)
		r := priceRow{Lot: l.Code}
		r.CostNum, r.CostDen = apart(p.Cost)
		r.ListNum, r.ListDen = apart(p.List)
		rows = append(rows, r)
	}
	text, err := rowsJSON(rows)
	if err != nil {
		return err
	}
	if err := q.ClosedPricePut(ctx, month.UTC(), text, season); err != nil {
		return err
	}
	if text, err = rowsJSON(totals); err != nil {
		return err
	}
	return q.ClosedTotalPut(ctx, season, month.UTC(), text)
}

// apart takes a fraction apart; none is null.
func apart(r *big.Rat) (num, den *string) {
	if r == nil {
		return nil, nil
	}
	n, d := r.Num().String(), r.Denom().String()
	return &n, &d
}
