package packlist

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/load"
	"roundkit/planner/units"
)

var customsColumns = []column{
	{"part", 13, false}, {"name", 33, false}, {"quantity", 10, true}, {"unit", 6, false}, {"tag", 12, false}, {"serial number", 12, false},
	{"heading", 11, false}, {"origin", 7, false}, {"mass g", 11, true}, {"value", 11, true}, {"currency", 9, false}, {"in", 9, false},
}

// Columns of the customs sheet that are summed, from 1.
const (
	customsMass  = 9
	customsValue = 10
)

// goods is one line of the customs split.
type goods struct {
	load.Line
}

// comesHome reports whether a part is returnable: as the catalogue says, else as it is
// reusable.
func comesHome(l load.Line) bool {
	if l.Part.ComesHome != nil {
		return *l.Part.ComesHome
	}
	return l.Part.Reusable != nil && *l.Part.Reusable
}

// split gathers the lines of one side; tagged things stay apart, the rest is summed by
// part, case and currency.
func (b *book) split(home bool) []goods {
	type key struct{ part, tag, into, currency string }
	var out []goods
	at := map[key]int{}
	for _, l := range b.r.Lines {
		if comesHome(l) != home {
			continue
		}
		tag := l.Tag
		if l.Part.Unit != units.PC {
			tag = "" // bottles are not numbered goods
		}
		k := key{l.Part.Code, tag, l.Case, l.ValueIn}
		i, ok := at[k]
		if !ok {
			l.Tag = tag
			at[k] = len(out)
			out = append(out, goods{l})
			continue
		}
		sum := &out[i].Line
		sum.Quantity, sum.Grams = sum.Quantity+l.Quantity, sum.Grams.Add(l.Grams)
		if sum.Value != nil && l.Value != nil {
			v := sum.Value.Add(*l.Value)
			sum.Value = &v
		} else {
			sum.Value = nil
		}
	}
	slices.SortStableFunc(out, func(x, y goods) int {
		return cmp.Or(cmp.Compare(x.Part.CustomsHeading, y.Part.CustomsHeading), cmp.Compare(x.Part.Code, y.Part.Code), cmp.Compare(x.Case, y.Case))
	})
	return out
}

// customsSheet lists what comes home apart from what is used up.
func (b *book) customsSheet() error {
	w := make([]float64, len(customsColumns))
	for i, c := range customsColumns {
		w[i] = c.width
	}
	s, err := b.newSheet(customsName, page{landscape: true, titles: "$1:$2", widths: w, freeze: 2})
	if err != nil {
		return err
	}
	about := "Of what is packed here, not of what stays in the truck or of what is always in a case. Value: the share of what the lot cost, or of its list value where it came free. An aid, never a clearance: the agent decides."
	err = firstOf(s.wide(b.styles.title, 1, len(w), "Customs split: "+b.tripName()), s.wide(b.styles.subtitle, 1, len(w), about))
	if err != nil {
		return err
	}
	for _, side := range []struct {
		title string
		home  bool
	}{{"Comes home: all of it, in the same state" + b.listBy(), true}, {"Used up", false}} {
		if err := b.customsSide(s, side.title, b.split(side.home)); err != nil {
			return err
		}
	}
	return s.Flush()
}

// listBy says when the list of what comes home closes.
func (b *book) listBy() string {
	if b.r.Trip.CustomsListBy == nil {
		return ""
	}
	return fmt.Sprintf(" (list due %s)", *b.r.Trip.CustomsListBy)
}

func (b *book) customsSide(s *sheet, title string, list []goods) error {
	st := b.styles
	if err := firstOf(s.add(8), s.wide(st.section, 1, len(customsColumns), title)); err != nil {
		return err
	}
	if len(list) == 0 {
		return s.wide(st.wrapped, 1, len(customsColumns), "Nothing.")
	}
	cells := make([]any, len(customsColumns))
	for i, c := range customsColumns {
		style := st.head
		if c.right {
			style = st.headRight
		}
		cells[i] = excelize.Cell{StyleID: style, Value: c.head}
	}
	if err := s.add(18, cells...); err != nil {
		return err
	}
	first := s.row + 1
	grams := decimal.Zero
	values := map[string]decimal.Decimal{}
	var currencies []string
	for _, g := range list {
		grams = grams.Add(g.Grams)
		value := excelize.Cell{StyleID: st.blank}
		currency := ""
		if g.Value != nil {
			v := g.Value.Round(2)
			value, currency = excelize.Cell{StyleID: st.money, Value: v.InexactFloat64()}, g.ValueIn
			if _, ok := values[currency]; !ok {
				currencies = append(currencies, currency)
			}
			values[currency] = values[currency].Add(v)
		}
		err := s.add(max(16, height(g.Part.Name, customsColumns[1].width)),
			excelize.Cell{StyleID: st.cellBold, Value: g.Part.Code}, excelize.Cell{StyleID: st.cellWrapped, Value: g.Part.Name},
			excelize.Cell{StyleID: st.number, Value: units.ToFloat(g.Quantity, g.Part.Unit)}, excelize.Cell{StyleID: st.cell, Value: string(g.Part.Unit)},
			excelize.Cell{StyleID: st.cell, Value: g.Tag}, excelize.Cell{StyleID: st.cell, Value: g.Serial},
			excelize.Cell{StyleID: st.cell, Value: g.Part.CustomsHeading}, excelize.Cell{StyleID: st.cell, Value: g.Part.Origin},
			excelize.Cell{StyleID: st.grams, Value: g.Grams.InexactFloat64()}, value, excelize.Cell{StyleID: st.cell, Value: currency},
			excelize.Cell{StyleID: st.cell, Value: g.Case})
		if err != nil {
			return err
		}
	}
	last := s.row
	slices.Sort(currencies)
	if len(currencies) == 0 {
		currencies = []string{""}
	}
	for i, c := range currencies {
		row := make([]any, len(customsColumns))
		for k := range row {
			row[k] = excelize.Cell{StyleID: st.totalLabel}
		}
		row[0] = excelize.Cell{StyleID: st.totalLabel, Value: "in all"}
		if i == 0 {
			row[customsMass-1] = s.sum(customsMass, first, last, grams.InexactFloat64(), st.total)
		}
		if c != "" {
			row[customsValue-1] = excelize.Cell{StyleID: st.totalMoney, Value: values[c].InexactFloat64(), Formula: fmt.Sprintf("SUMIF(%s:%s,%q,%s:%s)",
				s.cell(customsValue+1, first), s.cell(customsValue+1, last), c, s.cell(customsValue, first), s.cell(customsValue, last))}
			row[customsValue] = excelize.Cell{StyleID: st.totalLabel, Value: c}
		}
		if err := s.add(17, row...); err != nil {
			return err
		}
	}
	return nil
}
