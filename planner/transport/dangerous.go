package transport

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner/day"
)

// Dangerous is one part with a UN number and what rides of it.
type Dangerous struct {
	Found
	Part       string // code
	PartName   string
	Containers int64
	Amount     decimal.Decimal // in the unit of Measure
	AtMost     bool            // Amount is an upper bound: the catalogue does not say it closer
	Points     decimal.Decimal
	// Small: every inner packaging is within the limited quantities, or small enough to be
	// free, so that it need not count if it is packed and marked that way.
	Small bool
	Free  bool // small enough to be free of the rules (special provision 375)
	Where []string
}

// Factor is how many points a kg or l of it counts.
func (d Dangerous) Factor() int64 { return factor(Good{Category: d.Category}) }

// Road is what rides in a truck under ADR 1.1.3.6.
type Road struct {
	Goods  []Dangerous     // by UN number
	Points decimal.Decimal // everything counted
	Within bool            // Points within the limit, nothing of category 0, nothing unknown
	// PointsSmall and WithinSmall leave out what is Small: true only if it is packed and
	// marked as limited quantities.
	PointsSmall decimal.Decimal
	WithinSmall bool
	Unknown     []string // what could not be counted, and why
	Warning     string   // the rules are out of date on that day
	// Confirm lists parts without a UN number that a data sheet should be read for.
	Confirm []string
}

// RoadFor counts what rides in a truck. Goods without a UN number are taken as not
// dangerous; what has a number and cannot be counted is named in Unknown, and then nothing
// is said to be within the limit. Source: ADR 1.1.3.6 and 3.4; the table is tableA.
func RoadFor(items []Item, on day.Day) (Road, error) {
	r := Road{Warning: ADR.Warning(on)}
	at := map[string]int{}
	bad := map[string]bool{}
	for _, i := range items {
		if i.Part.UNNumber == "" {
			if asksForSheet(i) && !slices.Contains(r.Confirm, i.Part.Code) {
				r.Confirm = append(r.Confirm, i.Part.Code)
			}
			continue
		}
		unknown := func(why string) {
			if text := i.Part.Code + ": " + why; !bad[text] {
				bad[text] = true
				r.Unknown = append(r.Unknown, text)
			}
		}
		found, err := FindSubstance(i.Part.UNNumber)
		if err != nil {
			unknown(reason(err))
			continue
		}
		amount, atMost, known := i.amount(found.Measure)
		if !known {
			unknown(fmt.Sprintf("its %s is not known: give its mass or packed volume", found.Measure))
			continue
		}
		k, ok := at[i.Part.Code]
		if !ok {
			k = len(r.Goods)
			at[i.Part.Code] = k
			r.Goods = append(r.Goods, Dangerous{Found: found, Part: i.Part.Code, PartName: i.Part.Name, Small: true, Free: true})
		}
		g := &r.Goods[k]
		g.Containers += i.Containers
		g.Amount, g.AtMost = g.Amount.Add(amount), g.AtMost || atMost
		inner, known := i.inner()
		g.Free = g.Free && known && inner <= found.FreeUL
		g.Small = g.Small && known && (inner <= found.InnerUL || inner <= found.FreeUL)
		if !slices.Contains(g.Where, i.Place) {
			g.Where = append(g.Where, i.Place)
		}
	}
	slices.SortStableFunc(r.Goods, func(a, b Dangerous) int { return cmp.Or(cmp.Compare(a.UN, b.UN), cmp.Compare(a.Code, b.Code)) })
	return r, r.count()
}

// count adds the points up.
func (r *Road) count() error {
	var all, rest []Good
	for i := range r.Goods {
		g := &r.Goods[i]
		good := Good{Category: g.Category, Quantity: g.Amount}
		points, _, err := RoadPoints([]Good{good})
		if err != nil {
			return fmt.Errorf("%s: %w", g.Part, err)
		}
		g.Points = points
		all = append(all, good)
		good.LimitedQuantity = g.Small
		rest = append(rest, good)
	}
	var err error
	if r.Points, r.Within, err = RoadPoints(all); err != nil {
		return err
	}
	if r.PointsSmall, r.WithinSmall, err = RoadPoints(rest); err != nil {
		return err
	}
	r.Within, r.WithinSmall = r.Within && len(r.Unknown) == 0, r.WithinSmall && len(r.Unknown) == 0
	return nil
}

// asksForSheet reports whether a part without a UN number is of a kind that often has one.
func asksForSheet(i Item) bool {
	switch i.Part.Kind {
	case "oil", "grease", "cleaner", "gas":
		return true
	}
	return false
}

// reason is an error's text without the mark that errors.Is finds.
func reason(err error) string {
	text := err.Error()
	if cut := ErrGoods.Error() + ": "; len(text) > len(cut) && text[:len(cut)] == cut {
		return text[len(cut):]
	}
	return text
}

// Duties are what stays due below the limit of ADR 1.1.3.6.
var Duties = []string{
	"good packagings, closed, marked with the UN number and labelled",
	"a transport document with quantity and value per category (5.4.1.1.1 f: from memory)",
	"whoever handles it trained (1.3)",
	"one 2 kg fire extinguisher; no smoking; air moving where gas rides (CV36)",
	"not due below the limit: orange plates, a dangerous-goods licence, written instructions",
}

// SmallDuties are what limited quantities ask for.
const SmallDuties = "As limited quantities (3.4): inner packagings within the size, outer box to 30 kg gross (tray 20), " +
	"the limited-quantities diamond of 100 mm on it (50 if small), arrows where it is liquid."
