package workbook

import (
	"fmt"
	"reflect"
	"time"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// reach is how far a date may lie before the season's first day and after its last: what lies
// further off is a slip of the year, which would move the season clock or open a month that
// nobody can close.
type reach struct{ before, after day.Day }

const year = 366

var (
	recorded = reach{0, planner.AfterSeasonDays}
	planned  = reach{planner.AfterSeasonDays, planner.AfterSeasonDays}
	bought   = reach{2 * year, planner.AfterSeasonDays}
	reaches  = map[string]reach{
		"job-log/done at": recorded, "job-log/arrived at": recorded, "job-log/undone at": recorded, "movements/when": recorded, "counts/when": recorded,
		"weighings/when": recorded, "stock/counted on": {30, planner.AfterSeasonDays}, "charges/date": planned,
		"trips/pack by": planned, "trips/leaves": planned, "trips/back": planned, "trips/customs list by": planned, "top-ups/date": planned,
		"rounds/weather seen on": planned,
		"orders/placed":          bought, "orders/arrived": bought, "orders/due": {2 * year, 2 * year},
		"lots/received": {20 * year, planner.AfterSeasonDays}, "tags/opened on": {20 * year, planner.AfterSeasonDays},
		"lots/expires": {20 * year, 50 * year}, "movements/due back": {0, 10 * year},
	}
)

// money are the columns that are amounts.
var money = map[string]bool{
	"trips/limit spend": true, "suppliers/minimum order": true, "suppliers/carriage": true, "suppliers/free carriage from": true,
	"suppliers/import entry fee": true, "offers/price per pack": true, "price-breaks/price per pack": true, "lots/cost": true, "lots/list value": true,
	"orders/carriage": true, "orders/duty": true, "orders/entry fee": true, "order-lines/price per pack": true, "budget/amount": true, "charges/amount": true,
}

// within checks that dates lie in or about the season, and that amounts are ones that can be.
// What is in the database already, or was booked (it has its number of arrival), is not asked.
func (c *checker) within() {
	var first, last day.Day
	if len(c.book.Season) > 0 {
		first, last = c.book.Season[0].FirstOn, c.book.Season[0].LastOn
	}
	for _, s := range layout {
		rows := s.rows(c.book)
		arrival := s.columnOf("arrival")
		for i := range s.Columns {
			col := &s.Columns[i]
			name := s.Name + "/" + col.Heading
			limit, dated := reaches[name]
			dated = dated && first != 0 && last != 0
			if !dated && !money[name] && (col.typ != isQuantity || col.Heading == "book" || col.Heading == "book ml") && name != "planned-jobs/jobs" {
				continue
			}
			for j := range rows.Len() {
				row := rows.Index(j)
				if c.held != nil && c.held(s.Name, j) || arrival >= 0 && !row.Field(s.Columns[arrival].field).IsNil() {
					continue
				}
				f := row.Field(col.field)
				if col.pointer {
					if f.IsNil() {
						continue
					}
					f = f.Elem()
				}
				switch {
				case dated:
					c.dateWithin(s.Name, j, col, f, first-limit.before, last+limit.after)
				case col.typ == isDecimal:
					if !planner.MoneyCanBe(*f.Addr().Interface().(*decimal.Decimal)) {
						c.say(s.Name, j, col.Heading, "an amount below 1000000000")
					}
				case col.typ == isInt:
					if f.Int() > planner.MostJobs {
						c.say(s.Name, j, col.Heading, fmt.Sprintf("at most %d", planner.MostJobs))
					}
				default:
					if u := col.unit(row, c.units); units.Quantity(f.Int()) > planner.Most(u) {
						c.say(s.Name, j, col.Heading, fmt.Sprintf("at most %s %s", units.Format(planner.Most(u), u), u))
					}
				}
			}
		}
	}
}

func (c *checker) dateWithin(sheet string, row int, col *Column, f reflect.Value, first, last day.Day) {
	on := day.Day(0)
	if col.typ == isTime {
		at := *f.Addr().Interface().(*time.Time)
		if at.IsZero() {
			return // could not be read, and told already
		}
		on = day.At(at, c.zone)
	} else if on = day.Day(f.Int()); on == 0 {
		return
	}
	if on < first || on > last {
		c.say(sheet, row, col.Heading, fmt.Sprintf("a day of %s to %s: the season is %s to %s (sheet season)", first, last, c.book.Season[0].FirstOn, c.book.Season[0].LastOn))
	}
}
