package load

import (
	"cmp"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// container is one thing that is packed whole or left: a piece, a bag, a bottle.
type container struct {
	place, lot, tag, order string
	quantity               units.Quantity
	opened                 *day.Day
	begun                  bool // not full, though not known as opened
	dregs                  bool // a bottle with so little in it that it is mostly glass
	expires                *day.Day
	received               *day.Day
	due                    *day.Day
	kind                   int // of the part's kinds, once these are known
	near                   int // 0: at home in the workshop; 1: elsewhere; 2: on the truck
	grams                  decimal.Decimal
	guess                  decimal.Decimal // grams of them, of a liquid without a density
	ul                     units.Quantity
	spend                  decimal.Decimal
}

// split takes a holding apart into its containers: the one that is not full first.
func (p *packing) split(part planner.Part, h planner.Holding) []container {
	base := container{place: h.Place, lot: h.Lot, tag: h.Tag, near: p.nearness(part, h.Place)}
	if lot, ok := p.lots[h.Lot]; ok {
		base.received, base.expires = lot.ReceivedOn, lot.ExpiresOn
	}
	size := units.Quantity(1)
	if part.Contents != nil && *part.Contents > 0 {
		size = *part.Contents
	} else if part.Unit != units.PC {
		size = h.Quantity // a container of no known size is one
	}
	if tag, ok := p.tags[h.Tag]; ok && h.Tag != "" {
		size = h.Quantity
		full := part.Contents
		if tag.Contents != nil {
			full = tag.Contents
		}
		base.begun = full != nil && h.Quantity < *full
		if tag.OpenedOn != nil && *tag.OpenedOn <= p.o.Snapshot.AsOf {
			base.opened = tag.OpenedOn
			if part.MonthsAfterOpening != nil {
				if last := tag.OpenedOn.AddMonths(*part.MonthsAfterOpening); base.expires == nil || last < *base.expires {
					base.expires = &last
				}
			}
		}
	}
	return p.cut(part, base, h.Quantity, size)
}

// cut returns a quantity in containers of a size.
func (p *packing) cut(part planner.Part, base container, q, size units.Quantity) []container {
	var out []container
	one := func(n units.Quantity, begun bool) {
		c := base
		c.quantity, c.begun = n, c.begun || begun
		c.dregs = part.Unit != units.PC && part.Contents != nil && n*dregsOf < *part.Contents
		var known bool
		if c.grams, c.guess, known = p.about(part.Code, c.tag, n); !known {
			p.unknown["mass"][part.Code] = true
		}
		if c.ul, known = p.mass.PackedUL(part.Code, c.tag, n); !known {
			p.unknown["room"][part.Code] = true
		}
		out = append(out, c)
	}
	if rest := q % size; rest > 0 {
		one(rest, true)
	}
	if q >= size {
		one(size, false)
		for n := q / size; n > 1; n-- {
			out = append(out, out[len(out)-1])
		}
	}
	return out
}

// dregsOf: what holds less than a tenth of a full one is packed last.
const dregsOf = 10

// order sorts containers as they would be used: what is here before what is on its way,
// opened ones first (but for the dregs), then the earliest expiry, the oldest receipt,
// lot, tag; of the same lot what is nearest.
func order(can []container) {
	slices.SortStableFunc(can, func(a, b container) int {
		return cmp.Or(
			cmp.Compare(a.order, b.order), // "" first
			compareBool(a.dregs, b.dregs),
			-compareBool(a.opened != nil || a.begun, b.opened != nil || b.begun),
			compareDay(a.expires, b.expires), compareDay(a.received, b.received),
			cmp.Compare(a.lot, b.lot), compareTag(a.tag, b.tag), cmp.Compare(a.near, b.near), cmp.Compare(a.place, b.place),
			cmp.Compare(a.quantity, b.quantity),
		)
	})
}

func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// compareDay puts a day that is not known last.
func compareDay(a, b *day.Day) int {
	switch {
	case a == nil && b == nil:
		return 0
	case a == nil:
		return 1
	case b == nil:
		return -1
	}
	return cmp.Compare(*a, *b)
}

// compareTag orders X#2 before X#10.
func compareTag(a, b string) int {
	if len(a) != len(b) && strings.TrimRight(a, "0123456789") == strings.TrimRight(b, "0123456789") {
		return cmp.Compare(len(a), len(b))
	}
	return cmp.Compare(a, b)
}
