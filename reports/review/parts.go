package review

import (
	"math/big"
	"strings"
	"time"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/spend"
	"roundkit/planner/units"
)

// partSheet lists what each part cost, the dearest first.
func (b *book) partSheet() error {
	var table [][]any
	costs := spend.ByPart(b.r.Traces)
	column4 := func(of func(spend.PartCost) *big.Rat) ([]decimal.Decimal, decimal.Decimal) {
		amounts := make([]*big.Rat, len(costs))
		for i, c := range costs {
			amounts[i] = of(c)
		}
		return spend.Print(amounts, cents)
	}
	used, usedSum := column4(func(c spend.PartCost) *big.Rat { return c.Used })
	list, listSum := column4(func(c spend.PartCost) *big.Rat { return c.List })
	scrapped, scrapSum := column4(func(c spend.PartCost) *big.Rat { return c.Scrapped })
	missing, missSum := column4(func(c spend.PartCost) *big.Rat { return c.Difference })
	for i, c := range costs {
		p := b.r.Parts[c.Part]
		table = append(table, []any{c.Part, p.Name, p.Kind, units.ToFloat(c.Quantity, p.Unit), string(p.Unit), used[i].InexactFloat64(), list[i].InexactFloat64(),
			scrapped[i].InexactFloat64(), missing[i].InexactFloat64()})
	}
	total := func(d decimal.Decimal) excelize.Cell {
		return excelize.Cell{StyleID: b.look.totalMoney, Value: d.InexactFloat64()}
	}
	blank := excelize.Cell{StyleID: b.look.total}
	foot := []any{excelize.Cell{StyleID: b.look.total, Value: "in all"}, blank, blank, blank, blank, total(usedSum), total(listSum), total(scrapSum), total(missSum)}
	m := b.look.money
	return b.table("parts", "Parts, the dearest first", "By what was used, with the list value of what came free. The first ten are those that cost most.",
		[]column{{"part", 12, b.look.text, false}, {"name", 34, b.look.text, false}, {"kind", 12, b.look.text, false}, {"used", 11, b.look.quantity, true},
			{"unit", 6, b.look.text, false}, {"cost", 11, m, true}, {"free, at list", 12, m, true}, {"scrapped", 11, m, true}, {"missing", 11, m, true}}, table, foot)
}

// wasteSheet lists what was thrown away or went missing, and stock that will not be used.
func (b *book) wasteSheet() error {
	var table [][]any
	for _, t := range b.r.Traces {
		if t.Outside == spend.Used {
			continue
		}
		p := b.r.Parts[t.Part]
		what := t.Outside
		if t.Outside == spend.CountDifference {
			what = "missing"
			if t.Quantity < 0 {
				what = "found"
			}
		}
		table = append(table, []any{what, t.Part, p.Name, units.ToFloat(t.Quantity, p.Unit), string(p.Unit), money(t.Amount), t.At.Format("2006-01-02"), t.ID})
	}
	for _, d := range b.r.Dead {
		p := b.r.Parts[d.Part]
		table = append(table, []any{"dead stock: " + d.Why, d.Part, p.Name, units.ToFloat(d.Quantity, p.Unit), string(p.Unit), money(d.Amount), "at " + d.Place, "lot " + d.Lot})
	}
	return b.table("waste", "Waste and dead stock", "Scrapped, missing and found; then stock past its date, and stock that nothing used this season and nothing planned will.",
		[]column{{"what", 38, b.look.text, false}, {"part", 12, b.look.text, false}, {"name", 30, b.look.text, false}, {"quantity", 10, b.look.quantity, true},
			{"unit", 6, b.look.text, false}, {"amount", 11, b.look.money, true}, {"when or where", 13, b.look.text, false}, {"record or lot", 40, b.look.text, false}}, table, nil)
}

// money is an amount to the cent; a blank cell where it is not valued.
func money(v *big.Rat) any {
	if v == nil {
		return nil
	}
	return spend.PrintOne(v, cents).InexactFloat64()
}

// traceDigits is how finely a movement's own amount is printed.
const traceDigits = 4

// movementSheet lists every movement that cost something.
func (b *book) movementSheet() error {
	text := b.look.text
	columns := []column{{"record", 41, text, false}, {"when", 16, b.look.date, false}, {"month", 9, text, false}, {"person", 8, text, false}, {"what", 15, text, false},
		{"round", 8, text, false}, {"rider", 7, text, false}, {"service", 9, text, false}, {"assembly", 10.5, text, false}, {"part", 12, text, false}, {"kind", 10, text, false},
		{"lot", 14, text, false}, {"quantity", 10, b.look.quantity, true}, {"unit", 5, text, false}, {"cost", 11, b.look.fine, true}, {"free, at list", 12, b.look.fine, true}}
	fine := func(v *big.Rat) any {
		if v == nil {
			return nil
		}
		return spend.PrintOne(v, traceDigits).InexactFloat64()
	}
	rows := make([][]any, len(b.r.Traces))
	for i, t := range b.r.Traces {
		p := b.r.Parts[t.Part]
		what := t.Outside
		if t.Undo {
			what = strings.TrimSpace(what + ", undone")
		}
		// a spreadsheet has no zones: the season's own time stands in the cell
		at := time.Date(t.At.Year(), t.At.Month(), t.At.Day(), t.At.Hour(), t.At.Minute(), 0, 0, time.UTC)
		rows[i] = []any{t.ID, at, t.At.Format("2006-01"), t.Person, what, t.Round, t.Rider, t.Service, t.Assembly, t.Part, p.Kind, t.Lot,
			units.ToFloat(t.Quantity, p.Unit), string(p.Unit), fine(t.Amount), fine(t.List)}
	}
	return b.table("movements", "Movements", "Every movement that cost something, was thrown away, went missing or was found, at its lot's own cost, "+b.money+". Blank: not valued.", columns, rows, nil)
}
