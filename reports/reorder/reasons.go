package reorder

import (
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/units"
)

var reasonColumns = []column{
	{"order by", 15, false}, {"from", 9, false}, {"part", 13, false}, {"name", 28, false}, {"packs", 8, true}, {"brings", 10, true}, {"unit", 6, false}, {"trip", 11, false},
	{"rounds", 12, false}, {"by", 12, false}, {"needed until then", 11, true}, {"there until then", 11, true}, {"missing", 10, true}, {"chance it runs short", 10, true}, {"also", 28, false},
}

// reasonsSheet says for each part of each order which trips make it necessary.
func (b *book) reasonsSheet() error {
	s, err := b.newSheet(reasonsName, reasonColumns, page{landscape: true, titles: "$1:$3", freeze: 3})
	if err != nil {
		return err
	}
	about := "Needed until then is at the confidence, for all trips until that date together; there is on hand and still good, on its way, and ordered above. " +
		"The chance is that the first trip runs short without the order."
	if err := firstOf(s.top("Why: the reasons of each line", about), s.heads(reasonColumns)); err != nil {
		return err
	}
	st := b.styles
	if len(b.r.Orders) == 0 {
		return firstOf(s.wide(st.wrapped, 1, "Nothing is ordered."), s.Flush())
	}
	for _, o := range b.r.Orders {
		for i, l := range o.Lines {
			if i > 0 && o.Lines[i-1].Part.Code == l.Part.Code {
				continue // the same part at another price: the reasons are the same
			}
			packs, quantity := 0, units.Quantity(0)
			for _, same := range o.Lines {
				if same.Part.Code == l.Part.Code {
					packs, quantity = packs+same.Packs, quantity+same.Quantity
				}
			}
			for n, r := range l.Reasons {
				in := func(q units.Quantity) excelize.Cell {
					return excelize.Cell{StyleID: st.number, Value: units.ToFloat(q, l.Part.Unit)}
				}
				by, from, count, brings, chance, also := text(st.text, weekday(o.OrderBy)), text(st.text, o.Supplier.Code),
					excelize.Cell{StyleID: st.number, Value: packs}, in(quantity), excelize.Cell{StyleID: st.percent, Value: l.Chance}, l.Extra
				if l.Late {
					also = strings.Trim("late: may come too late; "+also, "; ")
				}
				if n > 0 {
					none := excelize.Cell{StyleID: st.blank}
					by, from, count, brings, chance, also = none, none, none, none, none, ""
				}
				err := s.add(max(height(l.Part.Name, reasonColumns[3].width), height(also, reasonColumns[14].width)),
					by, from, text(st.textBold, l.Part.Code), text(st.textWrapped, l.Part.Name), count, brings, text(st.text, string(l.Part.Unit)),
					text(st.text, r.Trip), text(st.textWrapped, strings.Join(r.Rounds, " ")), date(st.date, r.DueOn), in(r.Need), in(r.Have), in(r.Short), chance, text(st.textWrapped, also))
				if err != nil {
					return err
				}
			}
		}
	}
	return s.Flush()
}
