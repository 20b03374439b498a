package packlist

import (
	"fmt"
	"slices"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/calendar"
	"roundkit/planner/load"
	"roundkit/planner/units"
)

// The sheets that are not a case.
const (
	frontName = "front"
	truckName = "truck"
)

var frontWidths = []float64{16, 30, 12, 13, 16, 11, 11, 14}

// frontSheet says what the trip is, how sure it is and what is not.
func (b *book) frontSheet() error {
	s, err := b.newSheet(frontName, page{widths: frontWidths})
	if err != nil {
		return err
	}
	for _, part := range []func(*sheet) error{
		b.frontHead, b.frontSure, b.frontShort, b.frontTotals, b.frontLimits, b.frontSteps, b.frontServices, b.frontCautions, b.frontNotes, b.frontSigned,
	} {
		if err := part(s); err != nil {
			return err
		}
	}
	if err := s.onOnePage(oneFrontPage); err != nil {
		return err
	}
	return s.Flush()
}

// oneFrontPage is the height, in points, that is still read well when shrunk to a page.
const oneFrontPage = 1200

func (s *sheet) section(title string) error {
	if err := s.add(6); err != nil {
		return err
	}
	return s.wide(s.book.styles.section, 1, len(frontWidths), title)
}

// labelled writes a label and a text beside it.
func (s *sheet) labelled(label, text string) error {
	return s.wide(s.book.styles.wrapped, 2, len(frontWidths), text, excelize.Cell{StyleID: s.book.styles.label, Value: label})
}

func (b *book) frontHead(s *sheet) error {
	r := b.r
	rounds := make([]string, len(r.Trip.Rounds))
	for i, x := range r.Trip.Rounds {
		rounds[i] = strings.TrimSpace(fmt.Sprintf("%s %s, %s to %s", x.Code, x.Name, x.FirstOn, x.LastOn))
	}
	goes := map[string]string{calendar.Air: "by air", calendar.Truck: "by truck", calendar.Home: "at home"}[r.Trip.GoesBy]
	err := firstOf(
		s.wide(b.styles.title, 1, len(frontWidths), "Pack list: "+b.tripName()),
		s.labelled("trip", strings.TrimSpace(goes+"; "+b.dates())),
		s.labelled("rounds", strings.Join(rounds, "\n")),
		s.labelled("as of", fmt.Sprintf("the end of %s", r.AsOf)),
	)
	if err == nil && r.Trip.CustomsListBy != nil {
		err = s.labelled("customs", fmt.Sprintf("the list of what comes home is due %s; what is used up is listed by pack day", *r.Trip.CustomsListBy))
	}
	if err == nil && r.Trip.GoesBy == calendar.Home {
		err = s.labelled("packing", "nothing: the stock is where the work is; what is short is below")
	}
	return err
}

// frontSure says which of the two chances is which, in words.
func (b *book) frontSure(s *sheet) error {
	f := b.r.Readiness
	ready := percent(f.Simulated) + " that every job of the trip can be done with what is packed, there and fitted"
	if f.SE > 0 {
		ready += fmt.Sprintf(" (drawn job by job %d times, give or take %s)", f.Draws, percent(2*f.SE))
	}
	product := "the product over the parts is " + percent(f.Product)
	if f.Bound {
		product += ", a lower bound"
	}
	without := ""
	if len(b.r.Short) > 0 {
		without = fmt.Sprintf(" Without the parts that nothing could bring to the confidence it is %s (product %s).", percent(f.SimulatedShort), percent(f.ProductWithoutShort))
	}
	return firstOf(
		s.section("How sure"),
		s.labelled("chosen for", b.chosenFor()),
		s.labelled("readiness", ready+"; "+product+"."+without+" This is of the TRIP."),
		s.labelled("confidence", percent(b.r.Confidence)+" wanted for each PART on its own, that it does not run short. Many parts at "+percent(b.r.Confidence)+" each are not a trip at "+percent(b.r.Confidence)+"."),
	)
}

// chosenFor says what the load was chosen for and how far it is proven.
func (b *book) chosenFor() string {
	a := b.r.Asked
	text := "each part at the confidence, the lightest way"
	switch a.For {
	case load.ForReadiness:
		text = fmt.Sprintf("the least %s that reaches a readiness of %s: %s", a.Least.What, percent(a.Readiness), percent(a.Reached))
		if len(a.Without) > 0 {
			text += ", not counting " + strings.Join(a.Without, ", ")
		}
		text += fmt.Sprintf("; proven to %.3g", max(0, a.Least.Amount-a.Least.Bound))
	case load.ForMost:
		text = fmt.Sprintf("the greatest readiness within the limits: product %s, proven that none is above %s", percent(a.Product), percent(a.Bound))
	}
	if a.Fallback != "" {
		text += "; " + a.Fallback
	}
	if a.Stopped {
		text += "; the time was up before the proof was done"
	}
	return text + "."
}

func (b *book) frontShort(s *sheet) error {
	if err := s.section("Short"); err != nil {
		return err
	}
	if len(b.r.Short) == 0 {
		text := "Nothing: every part reaches the confidence."
		if b.r.Asked.For == load.ForReadiness {
			text = "Nothing: what is below the confidence is so by choice, and the readiness is reached."
		}
		return s.wide(b.styles.wrapped, 1, len(frontWidths), text)
	}
	if err := s.heads([]string{"part", "name", "wanted", "have", "unit", "enough", "why", "what helps"}, 2, 3, 5); err != nil {
		return err
	}
	st := b.styles
	for _, x := range b.r.Short {
		why := x.Why
		if x.OnSite {
			why += ", on site"
		}
		tall := max(17, height(x.Part.Name, frontWidths[1]), height(why, frontWidths[6]), height(x.Remedy, frontWidths[7]))
		err := s.add(tall, excelize.Cell{StyleID: st.warn, Value: x.Part.Code}, excelize.Cell{StyleID: st.warnWrapped, Value: x.Part.Name},
			excelize.Cell{StyleID: st.warnNumber, Value: units.ToFloat(x.Need, x.Part.Unit)}, excelize.Cell{StyleID: st.warnNumber, Value: units.ToFloat(x.Have, x.Part.Unit)},
			excelize.Cell{StyleID: st.warnWrapped, Value: string(x.Part.Unit)}, excelize.Cell{StyleID: st.warnPercent, Value: x.Chance},
			excelize.Cell{StyleID: st.warnWrapped, Value: why}, excelize.Cell{StyleID: st.warnWrapped, Value: x.Remedy})
		if err != nil {
			return err
		}
	}
	return nil
}

// heads writes a heading row; right are the columns, from 0, over numbers.
func (s *sheet) heads(texts []string, right ...int) error { return s.headsOf(20, texts, right...) }

// headsOf writes a heading row of a height.
func (s *sheet) headsOf(tall float64, texts []string, right ...int) error {
	cells := make([]any, len(texts))
	for i, text := range texts {
		style := s.book.styles.head
		for _, k := range right {
			if k == i {
				style = s.book.styles.headRight
			}
		}
		cells[i] = excelize.Cell{StyleID: style, Value: text}
	}
	return s.add(tall, cells...)
}

// frontTotals lists the cases or drawers, their masses by reference to their sheets.
func (b *book) frontTotals(s *sheet) error {
	if len(b.totals) == 0 {
		return nil
	}
	st := b.styles
	if !b.byAir() {
		if err := firstOf(s.section("Drawers"), s.heads([]string{"drawer", "name", "lines", "packed kg"}, 2, 3)); err != nil {
			return err
		}
		first, grams := s.row+1, 0.0
		for _, t := range b.totals {
			grams += t.grams
			err := s.add(height(t.name, frontWidths[1]-3), excelize.Cell{StyleID: st.cellBold, Value: t.code}, excelize.Cell{StyleID: st.cellWrapped, Value: t.name},
				excelize.Cell{StyleID: st.whole, Value: t.lines}, excelize.Cell{StyleID: st.kilos, Formula: t.gramsAt + "/1000", Value: t.grams / 1000})
			if err != nil {
				return err
			}
		}
		return s.add(0, excelize.Cell{StyleID: st.totalLabel, Value: "in all"}, excelize.Cell{StyleID: st.totalLabel}, excelize.Cell{StyleID: st.totalLabel},
			s.sum(4, first, s.row, grams/1000, st.totalKilos))
	}
	err := firstOf(s.section("Cases"), s.heads([]string{"case", "name", "lines", "packed kg", "gross kg", "limit kg", "free kg", "on the scale"}, 2, 3, 4, 5, 6))
	if err != nil {
		return err
	}
	first, packed, gross := s.row+1, 0.0, 0.0
	for _, t := range b.totals {
		if err := b.caseTotal(s, t); err != nil {
			return err
		}
		packed += t.grams / 1000
		if t.boxed != nil {
			gross += t.boxed.Gross.Shift(-3).InexactFloat64()
		}
	}
	return s.add(0, excelize.Cell{StyleID: st.totalLabel, Value: "in all"}, excelize.Cell{StyleID: st.totalLabel}, excelize.Cell{StyleID: st.totalLabel},
		s.sum(4, first, s.row, packed, st.totalKilos), s.sum(5, first, s.row, gross, st.totalKilos))
}

func (b *book) caseTotal(s *sheet, t total) error {
	st := b.styles
	packed := excelize.Cell{StyleID: st.kilos, Value: 0}
	if t.gramsAt != "" {
		packed = excelize.Cell{StyleID: st.kilos, Formula: t.gramsAt + "/1000", Value: t.grams / 1000}
	}
	cells := []any{excelize.Cell{StyleID: st.cellBold, Value: t.code}, excelize.Cell{StyleID: st.cellWrapped, Value: t.name}, excelize.Cell{StyleID: st.whole, Value: t.lines}, packed}
	if c := t.boxed; c != nil {
		row := s.row + 1
		empty := kilosOf(c.TareKG) + kilosOf(c.FixedKG) + c.Held.Shift(-3).InexactFloat64()
		gross := c.Gross.Shift(-3).InexactFloat64()
		cells = append(cells, excelize.Cell{StyleID: st.kilos, Formula: fmt.Sprintf("%s+%s", s.cell(4, row), decimalText(empty)), Value: gross})
		if c.LimitKG != nil {
			free := c.Limit.Sub(c.Gross).Shift(-3).InexactFloat64()
			cells = append(cells, excelize.Cell{StyleID: st.kilos, Value: kilosOf(c.LimitKG)},
				excelize.Cell{StyleID: st.kilos, Formula: s.cell(6, row) + "-" + s.cell(5, row), Value: free})
		} else {
			cells = append(cells, excelize.Cell{StyleID: st.blank}, excelize.Cell{StyleID: st.blank})
		}
		cells = append(cells, excelize.Cell{StyleID: st.blank})
	}
	return s.add(0, cells...)
}

// decimalText writes a number for a formula, without an exponent.
func decimalText(v float64) string { return decimal.NewFromFloat(v).String() }

func kilosOf(d *decimal.Decimal) float64 {
	if d == nil {
		return 0
	}
	return d.InexactFloat64()
}

func (b *book) frontLimits(s *sheet) error {
	r := b.r
	err := firstOf(s.section("Kilos, litres, money"),
		s.labelled("packed", fmt.Sprintf("%s kg, %s l of room", r.Grams.Shift(-3).StringFixed(3), decimal.New(int64(r.UL), -6).StringFixed(1))),
		s.labelled("gross", r.Gross.Shift(-3).StringFixed(3)+" kg"+grossWords(r)))
	if err == nil && r.Spend.Amount.IsPositive() {
		err = s.labelled("on order", r.Spend.Amount.StringFixed(2)+" "+r.Spend.Currency+" of it is still on its way")
	}
	for _, l := range r.Limits {
		if err == nil {
			text := fmt.Sprintf("%s: %s of %s %s", l.What, l.Used.StringFixed(2), l.Most, l.Per)
			if l.Worth > 0 {
				text += fmt.Sprintf("; it binds: with one %s more the product without the short parts could be %s", l.Per, percent(l.OneMore))
			}
			err = s.labelled("limit", text)
		}
	}
	return err
}

func grossWords(r *load.Result) string {
	if r.Trip.GoesBy == calendar.Air {
		return ", with the cases used and what is always in them"
	}
	return ", with what stays in the truck"
}

func (b *book) frontSteps(s *sheet) error {
	r := b.r
	other := r.OfferWords()
	if r.FirstToLeave == nil && r.NextToAdd == nil && other == "" {
		return nil
	}
	err := s.section("If it must be lighter, or may be more")
	if err == nil && other != "" {
		err = s.labelled("other loads", other)
	}
	if x := r.FirstToLeave; err == nil && x != nil {
		err = s.labelled("first to leave", fmt.Sprintf("%s, %s: %s (%s g); the product without the short parts is then %s", x.Part.Code, x.Part.Name, counted(x.Containers, x.Container), x.Grams, percent(x.Readiness)))
	}
	if x := r.NextToAdd; err == nil && x != nil {
		err = s.labelled("next to add", fmt.Sprintf("%s, %s: %s (%s g); the product without the short parts is then %s", x.Part.Code, x.Part.Name, counted(x.Containers, x.Container), x.Grams, percent(x.Readiness)))
	}
	return err
}

// counted is "1 piece", "2 x 1 l bottle".
func counted(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	if what == "piece" {
		return fmt.Sprintf("%d pieces", n)
	}
	return fmt.Sprintf("%d x %s", n, what)
}

func (b *book) frontServices(s *sheet) error {
	if len(b.r.Services) == 0 {
		return nil
	}
	err := firstOf(s.section("By service"), s.heads([]string{"service", "name", "jobs left", "nothing stops", "least sure"}, 2, 3))
	if err != nil {
		return err
	}
	st := b.styles
	for _, x := range b.r.Services {
		jobs := excelize.Cell{StyleID: st.number, Value: decimal.NewFromFloat(x.Jobs).Round(2).InexactFloat64()}
		least := x.Least
		err := s.add(0, excelize.Cell{StyleID: st.cellBold, Value: x.Code}, excelize.Cell{StyleID: st.cellWrapped, Value: x.Name}, jobs,
			excelize.Cell{StyleID: st.percent, Value: x.Ready}, excelize.Cell{StyleID: st.cell, Value: least})
		if err != nil {
			return err
		}
	}
	return nil
}

// frontCautions are the lines that bite on this trip, each once.
func (b *book) frontCautions(s *sheet) error {
	var lines []string
	add := func(text string) {
		for _, have := range lines {
			if have == text {
				return
			}
		}
		lines = append(lines, text)
	}
	for _, c := range b.r.Cases {
		if c.Heavy {
			add(c.Code + " is over 25 kg: two people.")
		}
	}
	kinds := map[string][]string{}
	var said []string
	for _, l := range b.r.Lines {
		for _, c := range l.Cautions(b.byAir()) {
			if !strings.HasPrefix(c, "opened ") {
				kinds[c] = append(kinds[c], l.Part.Kind)
				if len(kinds[c]) == 1 {
					said = append(said, c)
				}
			}
		}
	}
	for _, c := range said {
		slices.Sort(kinds[c])
		add(strings.Join(slices.Compact(kinds[c]), ", ") + ": " + c + ".")
	}
	of := map[string][]string{} // services by their caution
	var cares []string
	for _, x := range b.r.Services {
		if x.Care == "" {
			continue
		}
		if of[x.Care] == nil {
			cares = append(cares, x.Care)
		}
		of[x.Care] = append(of[x.Care], x.Code)
	}
	for _, care := range cares {
		add(strings.Join(of[care], ", ") + ": " + care + ".")
	}
	if err := s.section("Cautions"); err != nil {
		return err
	}
	lines = append(lines, "Aids, never a clearance: the maker's manual, the data sheet, the carrier and the customs agent decide.")
	for _, text := range lines {
		if err := s.wide(b.styles.wrapped, 1, len(frontWidths), text); err != nil {
			return err
		}
	}
	return nil
}

func (b *book) frontNotes(s *sheet) error {
	if len(b.r.Notes) == 0 {
		return nil
	}
	if err := s.section("Notes"); err != nil {
		return err
	}
	for _, n := range b.r.Notes {
		if err := s.wide(b.styles.wrapped, 1, len(frontWidths), n); err != nil {
			return err
		}
	}
	return nil
}

// frontSigned leaves room for a hand.
func (b *book) frontSigned(s *sheet) error {
	if len(b.r.Lines) == 0 {
		return nil
	}
	if err := s.add(10); err != nil {
		return err
	}
	st := b.styles
	return s.add(24, excelize.Cell{StyleID: st.label, Value: "packed by"}, excelize.Cell{StyleID: st.blank}, excelize.Cell{StyleID: st.label, Value: "checked by"},
		excelize.Cell{StyleID: st.blank}, excelize.Cell{StyleID: st.blank}, excelize.Cell{StyleID: st.label, Value: "on"}, excelize.Cell{StyleID: st.blank})
}

// percent writes a chance with one decimal, and never says 100 % of what is not sure.
func percent(p float64) string {
	switch {
	case p < 1 && p > 0.9995:
		return "over 99.9 %"
	case p > 0 && p < 0.0005:
		return "under 0.1 %"
	}
	text := decimal.NewFromFloat(p * 100).Round(1).String()
	return text + " %"
}
