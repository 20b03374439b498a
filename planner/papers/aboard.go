package papers

import (
	"cmp"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/forecast"
	"roundkit/planner/load"
	"roundkit/planner/mass"
	"roundkit/planner/transport"
	"roundkit/planner/units"
)

// aboard turns stock and packed lines into what rides.
type aboard struct {
	o       *forecast.Outlook
	mass    *mass.Facts
	lots    map[string]planner.Lot
	tags    map[string]planner.Tag
	density map[string]*decimal.Decimal
	rank    map[string]int // of a part in the catalogue
	home    string         // currency
}

func newAboard(o *forecast.Outlook) *aboard {
	s := o.Snapshot
	a := &aboard{o: o, mass: mass.New(s.Catalogue, s.Tags), lots: map[string]planner.Lot{}, tags: map[string]planner.Tag{},
		density: map[string]*decimal.Decimal{}, rank: map[string]int{}}
	for _, l := range s.Lots {
		a.lots[l.Code] = l
	}
	for _, t := range s.Tags {
		a.tags[t.Code] = t
	}
	for _, l := range s.Liquids {
		a.density[l.Part] = l.DensityGML
	}
	for i, p := range s.Parts {
		a.rank[p.Code] = i
	}
	if len(s.Season) > 0 {
		a.home = s.Season[0].Currency
	}
	return a
}

// there is the stock at the roots and below. What is past its date rides too.
func (a *aboard) there(roots []string) []transport.Item {
	var out []transport.Item
	for _, h := range a.o.Snapshot.Stock {
		if !slices.ContainsFunc(roots, func(root string) bool { return a.o.Places.Within(h.Place, root) }) {
			continue
		}
		part, err := a.o.Part(h.Part)
		if err != nil {
			continue // no part of the catalogue: the store does not hold such stock
		}
		i := a.item(part, h.Tag, h.Quantity, h.Lot)
		i.Place, i.Stays = h.Place, true
		out = append(out, i)
	}
	return out
}

// packed is what a load adds.
func (a *aboard) packed(r *load.Result) []transport.Item {
	var out []transport.Item
	for _, l := range r.Lines {
		i := a.item(l.Part, l.Tag, l.Quantity, l.Lot)
		i.Containers, i.Place = int64(l.Containers), l.Case
		if i.Value == nil && l.Order != "" && l.Spend.IsPositive() {
			spend := l.Spend
			i.Value, i.Currency = &spend, a.home // on its way: what it is bought for
		}
		out = append(out, i)
	}
	return out
}

func (a *aboard) item(part planner.Part, tag string, q units.Quantity, lot string) transport.Item {
	i := transport.Item{Part: part, Quantity: q, Tag: tag, Containers: a.mass.Containers(part.Code, tag, q), DensityGML: a.density[part.Code]}
	if grams, known := a.mass.Grams(part.Code, tag, q); known {
		i.Grams = &grams
	}
	if room, known := a.mass.PackedUL(part.Code, tag, q); known {
		i.RoomUL = &room
	}
	if part.Unit != units.PC {
		i.LargestUL = q
		if part.Contents != nil {
			// An opened bottle is as large as a full one.
			i.LargestUL = *part.Contents
		}
		if t, ok := a.tags[tag]; ok && tag != "" {
			i.LargestUL = q
			if full := cmp.Or(t.Contents, part.Contents); full != nil {
				i.LargestUL = max(q, *full)
			}
		}
	}
	i.Serial = a.tags[tag].SerialNumber
	if part.Unit != units.PC {
		i.Tag = "" // bottles are not numbered goods
	}
	if l, ok := a.lots[lot]; ok && l.Quantity != nil && *l.Quantity > 0 {
		whole := l.Cost
		if (whole == nil || whole.IsZero()) && l.ListValue != nil {
			whole = l.ListValue // it came free: customs wants what it is worth
		}
		if whole != nil {
			v := whole.Mul(decimal.NewFromInt(int64(q))).Div(decimal.NewFromInt(int64(*l.Quantity)))
			i.Value, i.Currency = &v, l.Currency
		}
	}
	return i
}

// inOrder sorts what rides as the catalogue does, tags by number.
func (a *aboard) inOrder(items []transport.Item) {
	slices.SortStableFunc(items, func(x, y transport.Item) int {
		return cmp.Or(cmp.Compare(a.rank[x.Part.Code], a.rank[y.Part.Code]), cmp.Compare(len(x.Tag), len(y.Tag)), cmp.Compare(x.Tag, y.Tag), cmp.Compare(x.Place, y.Place))
	})
}
