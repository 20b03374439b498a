package db

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"

	"roundkit/db/sqlcgen"
	"roundkit/planner"
)

// rowsJSON writes rows in the shape the put queries read: the row type's fields and
// "pos", the row's place in its sheet.
func rowsJSON[T any](rows []T) ([]byte, error) { return rowsJSONFrom(rows, 0) }

func rowsJSONFrom[T any](rows []T, first int) ([]byte, error) {
	out := []byte{'['}
	for i, r := range rows {
		text, err := json.Marshal(r)
		if err != nil {
			return nil, fmt.Errorf("write row %d of %T: %w", i+1, r, err)
		}
		if i > 0 {
			out = append(out, ',')
		}
		out = append(out, text[:len(text)-1]...)
		out = append(out, `,"pos":`...)
		out = strconv.AppendInt(out, int64(first+i), 10)
		out = append(out, '}')
	}
	return append(out, ']'), nil
}

// writer writes the sheets of a book; the first error stays.
type writer struct {
	ctx     context.Context
	q       *sqlcgen.Queries
	season  int32
	changed func(sheet string) bool
	err     error
}

// put writes a sheet if it changed. Every row must arrive: a row that a join lost is a
// fault of ours, and nothing is kept.
func put[T any](w *writer, sheet string, rows []T, write func(context.Context, []byte) (int64, error)) {
	if w.err != nil || len(rows) == 0 || !w.changed(sheet) {
		return
	}
	text, err := rowsJSON(rows)
	if err != nil {
		w.err = err
		return
	}
	n, err := write(w.ctx, text)
	wrap(&err, "write sheet %s", sheet)
	if err == nil && n != int64(len(rows)) {
		err = fmt.Errorf("write sheet %s: %d rows arrived, expected %d", sheet, n, len(rows))
	}
	w.err = err
}

// clear empties a sheet that is the whole truth before it is written again.
func (w *writer) clear(sheet string, clear func(context.Context) error) {
	if w.err != nil || !w.changed(sheet) {
		return
	}
	err := clear(w.ctx)
	wrap(&err, "clear sheet %s", sheet)
	w.err = err
}

type seasonal = func(context.Context, int32, []byte) (int64, error)

func (w *writer) of(f seasonal) func(context.Context, []byte) (int64, error) {
	return func(ctx context.Context, rows []byte) (int64, error) { return f(ctx, w.season, rows) }
}

func (w *writer) clearOf(f func(context.Context, int32) error) func(context.Context) error {
	return func(ctx context.Context) error { return f(ctx, w.season) }
}

// catalogue writes in the order in which rows refer to each other.
func (w *writer) catalogue(b *planner.Book) {
	put(w, "people", b.People, w.q.PersonPut)
	put(w, "riders", b.Riders, w.q.RiderPut)
	put(w, "models", b.Models, w.q.ModelPut)
	put(w, "suppliers", b.Suppliers, w.q.SupplierPut)
	put(w, "assemblies", b.Assemblies, func(ctx context.Context, rows []byte) (int64, error) {
		return int64(len(b.Assemblies)), w.q.AssemblyPlacePut(ctx, rows)
	})
	put(w, "places", b.Places, w.q.PlacePut)
	put(w, "cases", b.Cases, w.q.CasePut)
	put(w, "parts", b.Parts, w.q.PartPut)
	put(w, "liquids", b.Liquids, w.q.LiquidPut)
	put(w, "springs", b.Springs, w.q.SpringPut)
	put(w, "kit-contents", b.KitContents, w.q.KitContentPut)
	put(w, "alternatives", b.Alternatives, w.q.AlternativePut)
	put(w, "assemblies", b.Assemblies, w.q.AssemblyPut)
	put(w, "services", b.Services, w.q.ServicePut)
	put(w, "exchange-rates", b.Rates, w.q.ExchangeRatePut)
}

// plan empties what refers to rounds and trips, writes those, and then the rest: a sheet
// that is present is the whole truth.
func (w *writer) plan(b *planner.Book) {
	w.clear("spring-choices", w.q.SpringChoiceClear)
	w.clear("top-ups", w.clearOf(w.q.TopUpClear))
	w.clear("service-lines", w.q.ServiceLineClear)
	w.clear("planned-jobs", w.clearOf(w.q.PlannedJobsClear))
	w.clear("unplanned-rates", w.q.UnplannedRateClear)
	w.clear("price-breaks", w.q.PriceBreakClear)
	w.clear("closures", w.q.ClosureClear)
	w.clear("collections", w.clearOf(w.q.CollectionClear))
	w.clear("allocations", w.q.AllocationClear)
	w.clear("budget", w.clearOf(w.q.BudgetClear))
	w.clear("offers", w.q.OfferClear)

	put(w, "trips", b.Trips, w.of(w.q.TripPut))
	put(w, "rounds", b.Rounds, w.of(w.q.RoundPut))
	put(w, "spring-choices", b.SpringChoices, w.q.SpringChoicePut)
	put(w, "top-ups", b.TopUps, w.of(w.q.TopUpPut))
	put(w, "service-lines", b.ServiceLines, w.q.ServiceLinePut)
	put(w, "planned-jobs", b.PlannedJobs, w.of(w.q.PlannedJobsPut))
	put(w, "unplanned-rates", b.UnplannedRates, w.q.UnplannedRatePut)
	put(w, "offers", b.Offers, w.q.OfferPut)
	put(w, "price-breaks", b.PriceBreaks, w.q.PriceBreakPut)
	put(w, "closures", b.Closures, w.q.ClosurePut)
	put(w, "collections", b.Collections, w.of(w.q.CollectionPut))
	put(w, "allocations", b.Allocations, w.q.AllocationPut)
	put(w, "budget", b.Budget, w.of(w.q.BudgetPut))

	w.clear("rounds", func(ctx context.Context) error {
		return w.q.RoundKeep(ctx, w.season, codes(b.Rounds, func(r planner.Round) string { return r.Code }))
	})
	w.clear("trips", func(ctx context.Context) error {
		return w.q.TripKeep(ctx, w.season, codes(b.Trips, func(t planner.Trip) string { return t.Code }))
	})
}

func codes[T any](rows []T, code func(T) string) []string {
	out := make([]string, len(rows))
	for i, r := range rows {
		out[i] = code(r)
	}
	return out
}
