package transport

import (
	"errors"
	"fmt"

	"github.com/shopspring/decimal"
)

// ErrGoods is what errors.Is finds when goods are described against the rules.
var ErrGoods = errors.New("goods")

// RoadLimit is the most points a transport unit may carry under ADR 1.1.3.6.
const RoadLimit = 1000

// Good is one entry of the dangerous goods in a transport unit.
type Good struct {
	Category        int             // transport category 0 to 4 (ADR table A)
	Quantity        decimal.Decimal // litres or kg, by ADR 1.1.3.6.3
	NoteA           bool            // category 1 goods of note a: factor 20 in place of 50
	LimitedQuantity bool            // packed in limited quantities: not counted (1.1.3.6.5)
}

// RoadPoints returns the points of the goods and whether they stay within the limit with
// nothing of category 0 among them. Limited quantities and quantities of 0 are not
// counted. It returns ErrGoods, all faults at once, for a category outside 0 to 4, a
// quantity below 0, or note a outside category 1. Source: ADR 1.1.3.6.3 and 1.1.3.6.4.
// A packing aid, not advice on the law.
func RoadPoints(goods []Good) (points decimal.Decimal, within bool, err error) {
	var faults []error
	within = true
	for i, g := range goods {
		fault := func(field, found, expected string) {
			faults = append(faults, fmt.Errorf("%w: goods[%d].%s: found %s, expected %s", ErrGoods, i, field, found, expected))
		}
		if g.Category < 0 || g.Category > 4 {
			fault("category", fmt.Sprint(g.Category), "0 to 4")
			continue
		}
		if g.Quantity.IsNegative() {
			fault("quantity", g.Quantity.String(), "0 or more")
		}
		if g.NoteA && g.Category != 1 {
			fault("note_a", fmt.Sprintf("true in category %d", g.Category), "it only in category 1")
		}
		if g.LimitedQuantity || g.Quantity.IsZero() {
			continue
		}
		if g.Category == 0 {
			within = false // never exempt, whatever the quantity
		}
		points = points.Add(g.Quantity.Mul(decimal.NewFromInt(factor(g))))
	}
	if len(faults) > 0 {
		return decimal.Zero, false, errors.Join(faults...)
	}
	return points, within && points.LessThanOrEqual(decimal.NewFromInt(RoadLimit)), nil
}

// factor returns the points of a litre or kilogram.
func factor(g Good) int64 {
	switch {
	case g.Category == 1 && g.NoteA:
		return 20
	case g.Category == 1:
		return 50
	case g.Category == 2:
		return 3
	case g.Category == 3:
		return 1
	}
	return 0 // category 4 is free; category 0 is refused, not counted
}
