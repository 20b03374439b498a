package packlist

import (
	"fmt"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/papers"
	"roundkit/planner/transport"
)

// homeColumns are the seven of an ATA carnet general list; the last is left to customs.
var homeColumns = []column{
	{"1 item no.", 8, true}, {"2 trade description of goods, marks and numbers", 62, false}, {"3 number of pieces", 11, true},
	{"4 weight kg", 11, true}, {"5 value", 13, true}, {"6 country of origin", 11, false}, {"7 for customs use", 24, false},
}

// homeSheet is the general list: what leaves and comes home again.
func (b *book) homeSheet(p *papers.Papers) error {
	list, st := p.Returnable, b.styles
	about := fmt.Sprintf("General list, %s; holder %s; values in %s; %s. Every thing on it must come back in the same state; what is used up is never on it.",
		closing(p.ListBy), p.Team, list.Currency, leaves(p))
	s, err := b.listHead(homeName, "Comes home: "+nameOf(p.Trip), about, homeColumns)
	if err != nil {
		return err
	}
	first := s.row + 1
	for _, l := range list.Lines {
		err := s.add(max(17, height(l.Description, homeColumns[1].width)),
			excelize.Cell{StyleID: st.whole, Value: l.Number}, excelize.Cell{StyleID: st.cellWrapped, Value: l.Description},
			excelize.Cell{StyleID: st.whole, Value: l.Pieces}, b.known(l.Grams, -3, st.kilos), b.known(l.Value, 0, st.money), b.named(l.Origin), excelize.Cell{StyleID: st.blank})
		if err != nil {
			return err
		}
	}
	label := excelize.Cell{StyleID: st.totalLabel}
	err = s.add(17, label, excelize.Cell{StyleID: st.totalLabel, Value: "in all"}, s.sum(3, first, s.row, float64(list.Pieces), st.totalWhole),
		s.sum(4, first, s.row, list.Grams.Shift(-3).InexactFloat64(), st.totalKilos), s.sum(5, first, s.row, list.Value.InexactFloat64(), st.totalMoney), label, label)
	if err != nil {
		return err
	}
	return b.listFoot(s, len(homeColumns), list.Faults, p.Missing)
}

var usedColumns = []column{
	{"no.", 6, true}, {"HS code", 12, false}, {"description", 42, false}, {"origin", 8, false}, {"quantity", 11, true}, {"unit", 6, false},
	{"unit value", 12, true}, {"amount", 12, true}, {"mass kg", 10, true}, {"reason", 46, false},
}

// usedSheet is the list of what is used up on the trip.
func (b *book) usedSheet(p *papers.Papers) error {
	list, st := p.UsedUp, b.styles
	about := fmt.Sprintf("Invoice for customs, %s; from %s; values in %s, for customs only: nothing is sold.", closing(&p.OthersBy), p.Team, list.Currency)
	s, err := b.listHead(usedName, "Used up: "+nameOf(p.Trip), about, usedColumns)
	if err != nil {
		return err
	}
	first := s.row + 1
	for i, l := range list.Lines {
		amount := b.known(l.Amount, 0, st.money)
		if l.UnitValue != nil && l.Amount != nil {
			amount.Formula = fmt.Sprintf("ROUND(%s*%s,2)", s.cell(5, s.row+1), s.cell(7, s.row+1))
		}
		err := s.add(max(17, height(l.Description, usedColumns[2].width), height(l.Reason, usedColumns[9].width)),
			excelize.Cell{StyleID: st.whole, Value: i + 1}, b.named(l.Heading), excelize.Cell{StyleID: st.cellWrapped, Value: l.Description}, b.named(l.Origin),
			excelize.Cell{StyleID: st.number, Value: l.Quantity.InexactFloat64()}, excelize.Cell{StyleID: st.cell, Value: l.Unit},
			b.known(l.UnitValue, 0, st.fine), amount, b.known(l.Grams, -3, st.kilos), excelize.Cell{StyleID: st.cellWrapped, Value: l.Reason})
		if err != nil {
			return err
		}
	}
	row := make([]any, len(usedColumns))
	for i := range row {
		row[i] = excelize.Cell{StyleID: st.totalLabel}
	}
	row[2] = excelize.Cell{StyleID: st.totalLabel, Value: "in all"}
	row[7] = s.sum(8, first, s.row, list.Value.InexactFloat64(), st.totalMoney)
	row[8] = s.sum(9, first, s.row, list.Grams.Shift(-3).InexactFloat64(), st.totalKilos)
	if err := s.add(17, row...); err != nil {
		return err
	}
	return b.listFoot(s, len(usedColumns), list.Faults, nil)
}

// listFoot writes, below a list and not part of it, what must be settled first.
func (b *book) listFoot(s *sheet, columns int, faults, byHand []string) error {
	signed := []any{nil, excelize.Cell{StyleID: b.styles.label, Value: "signed, place, date"}}
	err := firstOf(
		s.add(10), s.add(24, signed...),
		s.texts(columns, "To settle before this list goes out (below here is ours, not part of the list)", faults, "No blank on the list.", b.styles.warnWrapped),
		s.texts(columns, "To add by hand: it travels and is in no stock list", byHand, "", b.styles.wrapped),
		s.texts(columns, "Caution", []string{transport.CustomsCaution}, "", b.styles.wrapped),
	)
	if err != nil {
		return err
	}
	return s.Flush()
}

// known is a number, or a marked blank where it is not known: a list may have none.
func (b *book) known(v *decimal.Decimal, shift int32, style int) excelize.Cell {
	if v == nil {
		return excelize.Cell{StyleID: b.styles.warnWrapped}
	}
	return excelize.Cell{StyleID: style, Value: v.Shift(shift).InexactFloat64()}
}

// named is a text, or a marked blank.
func (b *book) named(text string) excelize.Cell {
	if text == "" {
		return excelize.Cell{StyleID: b.styles.warnWrapped}
	}
	return excelize.Cell{StyleID: b.styles.cell, Value: text}
}

var personalColumns = []column{
	{"no.", 6, true}, {"what it is, maker, model", 52, false}, {"serial number", 24, false}, {"pieces", 9, true}, {"value, currency", 18, false}, {"out", 9, false}, {"home", 9, false},
}

// personalRows is how many lines the empty form has: what fills one page.
const personalRows = 20

// personalSheet is an empty form for what people carry for themselves.
func (b *book) personalSheet(p *papers.Papers) error {
	about := fmt.Sprintf("One sheet a person, %s: own tools, cameras, computers, bicycles. Never the team's stock, and none of the team's things in own baggage.", closing(&p.OthersBy))
	s, err := b.listHead(personalName, "Personal things: "+nameOf(p.Trip), about, personalColumns)
	if err != nil {
		return err
	}
	st := b.styles
	for i := range personalRows {
		row := []any{excelize.Cell{StyleID: st.whole, Value: i + 1}}
		for range personalColumns[1:] {
			row = append(row, excelize.Cell{StyleID: st.blank})
		}
		if err := s.add(18, row...); err != nil {
			return err
		}
	}
	signed := []any{nil, excelize.Cell{StyleID: st.label, Value: "name, signature, date"}}
	if err := firstOf(s.add(10), s.add(24, signed...), s.texts(len(personalColumns), "Caution", []string{transport.CustomsCaution}, "", st.wrapped)); err != nil {
		return err
	}
	return s.Flush()
}
