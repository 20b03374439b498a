package packlist

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/papers"
	"roundkit/planner/transport"
)

var dangerousColumns = []column{
	{"UN", 7, false}, {"code", 6, false}, {"substance", 28, false}, {"label", 7, false}, {"part", 12, false}, {"name", 26, false}, {"containers", 12, true},
	{"net quantity", 10, true}, {"measured in", 15, false}, {"rides in", 16, false}, {"limited quantity", 16, false}, {"category", 9, true}, {"tunnel", 7, false},
	{"points each", 8, true}, {"points", 10, true},
}

// Columns that totals and formulas use, from 1.
const (
	netColumn    = 8
	airColumn    = 10 // the last that means something by air
	factorColumn = 14
	pointsColumn = 15
)

// dangerousSheet lists what has a UN number, by that number; in a truck with its points.
func (b *book) dangerousSheet(p *papers.Papers) error {
	columns, byRoad := dangerousColumns, p.Road != nil
	about := fmt.Sprintf("By UN number with net quantities, %s; ", closing(&p.OthersBy))
	if byRoad {
		about += "points of ADR 1.1.3.6, edition " + transport.ADR.Edition
	} else {
		about += "for the carrier"
		columns = columns[:airColumn]
	}
	s, err := b.listHead(dangerousName, "Dangerous goods: "+nameOf(p.Trip), about, columns)
	if err != nil {
		return err
	}
	st, first := b.styles, s.row+1
	for _, g := range p.Goods {
		if err := b.dangerousLine(s, g, len(columns)); err != nil {
			return err
		}
	}
	for _, u := range p.Unknown {
		if err := s.wide(st.warnWrapped, 1, len(columns), "NOT COUNTED, "+u); err != nil {
			return err
		}
	}
	last := first + len(p.Goods) - 1
	if len(p.Goods)+len(p.Unknown) == 0 {
		if err := s.wide(st.wrapped, 1, len(columns), "Nothing with a UN number rides."); err != nil {
			return err
		}
	}
	if byRoad {
		points := p.Road.Points.InexactFloat64()
		if err := s.pointsRow("counted in all", first, last, points); err != nil {
			return err
		}
		if err := b.roadFoot(s, p, points); err != nil {
			return err
		}
	}
	taken := []string{}
	for _, g := range p.Goods {
		if g.Taken != "" {
			taken = append(taken, g.Part+": "+g.Taken)
		}
	}
	err = firstOf(
		s.texts(len(columns), "Taken for granted", taken, "", st.warnWrapped),
		s.texts(len(columns), "Caution", []string{transport.Caution}, "", st.wrapped),
	)
	if err != nil {
		return err
	}
	return s.Flush()
}

func (b *book) dangerousLine(s *sheet, g transport.Dangerous, columns int) error {
	st := b.styles
	small := "no"
	switch {
	case g.Free:
		small = "free of the rules"
	case g.Small:
		small = "possible"
	}
	measure := string(g.Measure)
	if g.AtMost {
		measure += ", at most"
	}
	where := strings.Join(g.Where, ", ")
	row := s.row + 1
	cells := []any{
		excelize.Cell{StyleID: st.cellBold, Value: g.UN}, excelize.Cell{StyleID: st.cell, Value: g.Code}, excelize.Cell{StyleID: st.cellWrapped, Value: g.Name},
		excelize.Cell{StyleID: st.cell, Value: g.Label}, excelize.Cell{StyleID: st.cell, Value: g.Part}, excelize.Cell{StyleID: st.cellWrapped, Value: g.PartName},
		excelize.Cell{StyleID: st.whole, Value: g.Containers}, excelize.Cell{StyleID: st.number, Value: g.Amount.InexactFloat64()}, excelize.Cell{StyleID: st.cellWrapped, Value: measure},
		excelize.Cell{StyleID: st.cellWrapped, Value: where},
		excelize.Cell{StyleID: st.cellWrapped, Value: small}, excelize.Cell{StyleID: st.whole, Value: g.Category}, excelize.Cell{StyleID: st.cell, Value: g.Tunnel},
		excelize.Cell{StyleID: st.whole, Value: g.Factor()},
		excelize.Cell{StyleID: st.money, Formula: s.cell(netColumn, row) + "*" + s.cell(factorColumn, row), Value: g.Points.InexactFloat64()},
	}
	tall := max(17, height(g.Name, dangerousColumns[2].width), height(g.PartName, dangerousColumns[5].width), height(measure, dangerousColumns[8].width), height(where, dangerousColumns[9].width))
	return s.add(tall, cells[:columns]...)
}

// pointsRow sums the points.
func (s *sheet) pointsRow(label string, first, last int, points float64) error {
	row := make([]any, len(dangerousColumns))
	for i := range row {
		row[i] = excelize.Cell{StyleID: s.book.styles.totalLabel}
	}
	row[2] = excelize.Cell{StyleID: s.book.styles.totalLabel, Value: label}
	row[pointsColumn-1] = s.sum(pointsColumn, first, last, points, s.book.styles.totalMoney)
	return s.add(17, row...)
}

// roadFoot holds the points against the limit and says what stays due below it.
func (b *book) roadFoot(s *sheet, p *papers.Papers, points float64) error {
	st, r, all := b.styles, p.Road, len(dangerousColumns)
	row := func(label string, cell excelize.Cell) error {
		cells := []any{nil, nil, excelize.Cell{StyleID: st.totalLabel, Value: label}}
		for len(cells) < pointsColumn-1 {
			cells = append(cells, excelize.Cell{StyleID: st.totalLabel})
		}
		return s.add(17, append(cells, cell)...)
	}
	totalAt, limitAt := s.cell(pointsColumn, s.row), s.cell(pointsColumn, s.row+1)
	err := firstOf(
		row("the limit", excelize.Cell{StyleID: st.totalWhole, Value: transport.RoadLimit}),
		row("left below the limit", excelize.Cell{StyleID: st.totalMoney, Formula: limitAt + "-" + totalAt, Value: transport.RoadLimit - points}),
		row("counted, if what is possible is packed and marked as limited quantities", excelize.Cell{StyleID: st.totalMoney, Value: r.PointsSmall.InexactFloat64()}),
	)
	if err != nil {
		return err
	}
	verdict, style := "Within the limit: the easier rules of 1.1.3.6 may apply.", st.wrapped
	switch {
	case len(p.Unknown) > 0:
		verdict, style = "Not said to be within the limit: something could not be counted.", st.warnWrapped
	case !r.Within && r.WithinSmall:
		verdict, style = "Over the limit as it rides; within it only if packed and marked as limited quantities.", st.warnWrapped
	case !r.Within:
		verdict, style = "OVER the limit: the full rules apply. Leave some at home, or ask the adviser.", st.warnWrapped
	}
	if r.Warning != "" {
		verdict, style = verdict+" "+r.Warning+".", st.warnWrapped
	}
	var confirm []string
	if len(r.Confirm) > 0 {
		confirm = []string{"Counted as not dangerous, since no UN number is given; section 14 of the data sheet says whether that is right: " + strings.Join(r.Confirm, ", ") + "."}
	}
	duties := append([]string{}, transport.Duties...)
	return firstOf(
		s.texts(all, "Against the limit", []string{verdict}, "", style),
		s.texts(all, "Read the data sheet", confirm, "", st.wrapped),
		s.texts(all, "Stays due below the limit", append(duties, transport.SmallDuties), "", st.wrapped),
	)
}

var airColumns = []column{
	{"flies", 15, false}, {"part", 13, false}, {"name", 34, false}, {"UN", 9, false}, {"packed in", 16, false}, {"why", 60, false},
}

// airSheet lists what must stay at home and what the carrier must be asked about.
func (b *book) airSheet(p *papers.Papers) error {
	about := "What never flies first; the carrier's own rules decide. Edition: " + transport.AirRules.Edition
	s, err := b.listHead(airName, "By air: "+nameOf(p.Trip), about, airColumns)
	if err != nil {
		return err
	}
	st, a := b.styles, p.Air
	for _, f := range a.Flagged {
		plain, wrapped := st.cellBold, st.cellWrapped
		where := "stays at home"
		if f.Aboard {
			where = strings.Join(f.Where, ", ")
			if f.Verdict == transport.NeverFlies {
				plain, wrapped, where = st.warn, st.warnWrapped, "TAKE OUT: "+where
			}
		}
		err := s.add(max(17, height(f.Why, airColumns[5].width), height(f.Name, airColumns[2].width), height(where, airColumns[4].width)),
			excelize.Cell{StyleID: plain, Value: string(f.Verdict)}, excelize.Cell{StyleID: plain, Value: f.Part}, excelize.Cell{StyleID: wrapped, Value: f.Name},
			excelize.Cell{StyleID: wrapped, Value: f.UN}, excelize.Cell{StyleID: wrapped, Value: where}, excelize.Cell{StyleID: wrapped, Value: f.Why})
		if err != nil {
			return err
		}
	}
	if len(a.Flagged) == 0 {
		if err := s.wide(st.wrapped, 1, len(airColumns), "Nothing is flagged."); err != nil {
			return err
		}
	}
	mind := append([]string{}, a.Notes...)
	if a.Warning != "" {
		mind = append(mind, a.Warning)
	}
	if err := firstOf(s.texts(len(airColumns), "Mind", mind, "", st.wrapped), s.texts(len(airColumns), "Caution", []string{transport.Caution}, "", st.wrapped)); err != nil {
		return err
	}
	return s.Flush()
}
