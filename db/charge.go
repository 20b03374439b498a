package db

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
	"github.com/shopspring/decimal"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/near"
	"roundkit/planner/spend"
)

// ChargeAdd is a charge to be recorded: left standing, or spread over the lots of an order.
type ChargeAdd struct {
	ID       uuid.UUID
	Season   string
	Person   string // blank: nobody is named
	Line     string
	Amount   decimal.Decimal // below 0: a credit
	Currency string          // blank: the season's
	On       *day.Day        // blank: today
	Round    string
	Supplier string
	Notes    string
	Order    string // its lots bear it; blank: it stands as a charge
	ByMass   bool   // spread by mass, else by value
	DryRun   bool
}

// ChargeDone is what was recorded.
type ChargeDone struct {
	Code   string
	Repeat bool          // it was recorded before, under the same id
	Shares []spend.Share // of a charge that was spread
	// Doubles are the codes of charges that say the same, and are likely this one.
	Doubles []string
}

// AddCharge records a charge, once. Spread over lots it becomes part of their cost, so of
// what they are used for, and no charge is left standing.
func (s *Store) AddCharge(ctx context.Context, c ChargeAdd) (done ChargeDone, err error) {
	k, err := s.known(ctx, c.Season, true)
	if err != nil {
		return done, err
	}
	now, _, err := s.Now(ctx)
	if err != nil {
		return done, err
	}
	on := day.At(now, k.zone)
	if c.On != nil {
		on = *c.On
	}
	if c.Currency == "" {
		c.Currency = k.season.Currency
	}
	if err := c.faults(k, on, day.At(now, k.zone)); err != nil {
		return done, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	done.Code = c.ID.String()
	err = s.Transact(ctx, pgx.TxOptions{}, func(q *sqlcgen.Queries, _ pgx.Tx) (err error) {
		defer wrap(&err, "record the charge")
		if c.Order != "" {
			done.Shares, done.Repeat, err = spreadCharge(ctx, q, k, c, on)
			if err == nil && !done.Repeat {
				var sources []string
				sources, err = q.LotCostTwins(ctx, spreadSource+c.ID.String(), k.season.ID)
				for _, source := range sources {
					done.Doubles = append(done.Doubles, strings.TrimPrefix(source, spreadSource))
				}
			}
		} else {
			var rows int64
			rows, err = q.ChargeAdd(ctx, sqlcgen.ChargeAddParams{SeasonID: k.season.ID, Code: done.Code, OnDay: on.UTC(), Line: c.Line, Round: c.Round,
				Supplier: c.Supplier, Amount: c.Amount, Currency: c.Currency, Notes: c.Notes})
			done.Repeat = rows == 0
			if err == nil && !done.Repeat {
				done.Doubles, err = q.ChargeTwins(ctx, k.season.ID, done.Code)
			}
		}
		if err == nil && !done.Repeat {
			o := ChangeOptions{ID: c.ID, Person: c.Person, Notes: c.Notes}
			err = o.keep(ctx, q, k.season, "plan", &change{What: changedCharge, Subject: done.Code, Now: state{Word: c.words()}}, now)
		}
		if err == nil && c.DryRun {
			return errDryRun
		}
		return err
	})
	if errors.Is(err, errDryRun) {
		err = nil
	}
	return done, err
}

// words say a charge in a line.
func (c ChargeAdd) words() string {
	said := fmt.Sprintf("%s, %s %s", c.Line, c.Amount, c.Currency)
	for _, x := range []struct{ before, what string }{{"", c.Round}, {"", c.Supplier}, {"over ", c.Order}} {
		if x.what != "" {
			said += ", " + x.before + x.what
		}
	}
	return said
}

// applyCharge adds a charge, or what it put on lots, once more: with the other sign where it is taken
// back. Nothing that was recorded goes.
func (c change) applyCharge(ctx context.Context, q *sqlcgen.Queries, season int32, r Request) error {
	sign, notes := int32(1), "puts charge "+c.Subject+" back"
	if c.Now.Word == "" {
		sign, notes = -1, "takes charge "+c.Subject+" back"
	}
	n, err := q.ChargeAgain(ctx, sqlcgen.ChargeAgainParams{Code: r.ID.String(), Sign: sign, Notes: notes, SeasonID: season, AsCode: c.Subject})
	if err == nil && n == 0 {
		n, err = q.LotCostAgain(ctx, sign, spreadSource+r.ID.String(), season, spreadSource+c.Subject)
	}
	if err == nil && n == 0 {
		err = fmt.Errorf("%w: charge %s is not there any more", ErrRefused, c.Subject)
	}
	return err
}

// faults lists all that is wrong with a charge at once.
func (c ChargeAdd) faults(k *known, on, today day.Day) error {
	var faults []error
	if !slices.Contains(spend.Lines(), c.Line) {
		faults = append(faults, near.Miss("budget line", c.Line, spend.Lines()))
	}
	if c.Round != "" {
		_, err := k.book.Round(c.Round)
		faults = append(faults, err)
	}
	if c.Supplier != "" {
		var suppliers []string
		for _, s := range k.book.Suppliers {
			suppliers = append(suppliers, s.Code)
		}
		if !slices.Contains(suppliers, c.Supplier) {
			faults = append(faults, near.Miss("supplier", c.Supplier, suppliers))
		}
	}
	faults = append(faults, moneyCanBe(&c.Amount, c.Currency))
	if !planner.Printable(c.Notes, true) {
		faults = append(faults, fmt.Errorf("found the note %q, expected text without control characters and marks that turn its direction", c.Notes))
	}
	switch {
	case c.Amount.IsZero():
		faults = append(faults, errors.New("found an amount of 0, expected another"))
	case on > today:
		faults = append(faults, fmt.Errorf("found the date %s, expected at most today, %s", on, today))
	case on < k.season.FirstOn || on > k.season.LastOn:
		faults = append(faults, fmt.Errorf("found the date %s, expected one of the season, %s to %s", on, k.season.FirstOn, k.season.LastOn))
	}
	return errors.Join(faults...)
}

// spreadSource is what a cost of a lot says before the code of the charge that it is of.
const spreadSource = "charge "

// spreadCharge adds the charge to the cost of the order's lots.
func spreadCharge(ctx context.Context, q *sqlcgen.Queries, k *known, c ChargeAdd, on day.Day) ([]spend.Share, bool, error) {
	season, source := k.season.ID, spreadSource+c.ID.String()
	before, err := q.LotCostSource(ctx, season, source)
	if err != nil || before {
		return nil, before, err
	}
	snap := &planner.Snapshot{}
	snap.Season = k.book.Season
	if err := readCatalogue(ctx, q, &snap.Catalogue); err != nil {
		return nil, false, err
	}
	into(ctx, &err, &snap.Lots, func(ctx context.Context) ([]byte, error) { return q.LotList(ctx, season) })
	if err != nil {
		return nil, false, err
	}
	shares, err := spend.Spread(snap, c.Order, c.Amount, c.ByMass)
	if err != nil {
		return nil, false, fmt.Errorf("%w: %w", ErrRefused, err)
	}
	type row struct {
		Lot      string  `json:"lot"`
		Kind     string  `json:"kind"`
		Amount   string  `json:"amount"`
		Currency string  `json:"currency"`
		Source   string  `json:"source"`
		KnownOn  day.Day `json:"known_on"`
	}
	rows := make([]row, len(shares))
	for i, s := range shares {
		rows[i] = row{s.Lot, "carriage", s.Amount.String(), c.Currency, source, on}
	}
	text, err := rowsJSON(rows)
	if err != nil {
		return nil, false, err
	}
	n, err := q.LotCostAdd(ctx, text, season)
	if err == nil && n != int64(len(rows)) {
		err = fmt.Errorf("%d cost rows arrived, expected %d", n, len(rows))
	}
	return shares, false, err
}
