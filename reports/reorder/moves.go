package reorder

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/order"
	"roundkit/planner/units"
)

var moveColumns = []column{
	{"in the van", 8, false}, {"part", 13, false}, {"name", 28, false}, {"quantity", 10, true}, {"unit", 6, false}, {"lies in", 11, false},
	{"lot, tag", 18, false}, {"goes to", 11, false}, {"by", 12, false}, {"trip", 11, false}, {"why", 32, false},
}

// movesSheet is for whoever drives: what to bring, where it lies, where it goes.
func (b *book) movesSheet() error {
	s, err := b.newSheet(movesName, moveColumns, page{landscape: true, titles: "$1:$3", freeze: 3})
	if err != nil {
		return err
	}
	about := "Moves come before buys. The drawer is where the book says it lies; what expires first is taken first."
	if err := firstOf(s.top("What the van must bring", about), s.heads(moveColumns)); err != nil {
		return err
	}
	if len(b.r.Moves) == 0 {
		return firstOf(s.wide(b.styles.wrapped, 1, "Nothing."), s.Flush())
	}
	st := b.styles
	for _, m := range b.r.Moves {
		to := m.To
		if m.Part.HomeInTruck != "" && m.To != m.Part.HomeInTruck {
			to = m.To + "\n" + m.Part.HomeInTruck
		}
		why := fmt.Sprintf("%s: %.4g %% is %s, there is %s", strings.Join(m.Reason.Rounds, "+"), b.r.Confidence*100, units.Say(m.Reason.Need, m.Part.Unit), units.Say(m.Reason.Have, m.Part.Unit))
		for _, p := range m.Picks {
			tall := max(30, height(m.Part.Name, moveColumns[2].width), height(why, moveColumns[10].width))
			err := s.add(tall, excelize.Cell{StyleID: st.tick}, text(st.textBold, m.Part.Code), text(st.textWrapped, m.Part.Name),
				excelize.Cell{StyleID: st.number, Value: units.ToFloat(p.Quantity, m.Part.Unit)}, text(st.text, string(m.Part.Unit)), text(st.text, p.Place),
				text(st.textWrapped, pickText(p)), text(st.textWrapped, to), date(st.date, m.By), text(st.text, m.Trip), text(st.textWrapped, why))
			if err != nil {
				return err
			}
		}
	}
	return s.Flush()
}

// pickText names the lot and the tag, or the order that will have brought it.
func pickText(p order.Pick) string {
	if p.Order != "" {
		return "from order " + p.Order
	}
	return strings.Trim(p.Lot+", "+p.Tag, ", ")
}
