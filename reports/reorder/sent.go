package reorder

import (
	"cmp"
	"fmt"
	"io"
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/order"
	"roundkit/planner/purchase"
	"roundkit/reports/house"
)

// toFill stands where the workbook has nothing to say and a person has to.
const toFill = "______________________________"

// WriteSent writes orders of the book as they can be sent: a sheet and a page each, under the order's
// number, with nothing on it that the supplier has no business with. An order that cannot be sent is an
// error; what was written then is not a spreadsheet.
func WriteSent(w io.Writer, s *planner.Snapshot, orders []planner.Order) (err error) {
	f := excelize.NewFile()
	defer func() {
		if closed := f.Close(); err == nil {
			err = closed
		}
	}()
	b := &book{File: f, s: s, placed: make([]placed, len(orders)), footer: "order"}
	b.footer = strings.TrimSpace("Order from " + b.team())
	if b.styles, err = newStyles(f); err != nil {
		return fmt.Errorf("styles: %w", err)
	}
	taken := map[string]bool{}
	for i, o := range orders {
		sent, err := purchase.AsOrdered(s, o)
		if err != nil {
			return err
		}
		b.r.Orders = append(b.r.Orders, sent)
		if err := b.sentSheet(sheetName(o.Code, taken), i, o); err != nil {
			return fmt.Errorf("order %s: %w", o.Code, err)
		}
	}
	if err := f.DeleteSheet("Sheet1"); err != nil {
		return err
	}
	f.SetActiveSheet(0)
	return house.Write(w, b.File)
}

func (b *book) sentSheet(name string, i int, o planner.Order) error {
	s, err := b.newSheet(name, lineColumns, page{})
	if err != nil {
		return err
	}
	if err := s.wide(b.styles.title, 1, "Order "+o.Code); err != nil {
		return err
	}
	if err := b.order(s, i, b.sentHead(o, b.r.Orders[i])); err != nil {
		return err
	}
	return s.Flush()
}

// sentHead says who orders from whom, where it goes, by when and on what terms.
func (b *book) sentHead(o planner.Order, sent order.Order) [][2]string {
	var season planner.Season
	if len(b.s.Season) > 0 {
		season = b.s.Season[0]
	}
	lines := func(parts ...string) string {
		var out []string
		for _, p := range parts {
			for _, line := range strings.Split(p, ";") {
				if line = strings.TrimSpace(line); line != "" {
					out = append(out, line)
				}
			}
		}
		return strings.Join(out, "\n")
	}
	to := sent.Supplier
	placed := b.s.AsOf
	if o.PlacedOn != nil {
		placed = *o.PlacedOn
	}
	ship := b.placeName(sent.ShipTo)
	if sent.ShipTo == "" {
		ship = ""
	}
	rows := [][2]string{
		{"To", lines(to.Name, to.Address, to.Country, to.Contact, to.Email)},
		{"Your tax number", to.TaxNumber},
		{"Our customer number", cmp.Or(to.CustomerNo, toFill)},
		{"From", lines(b.team(), cmp.Or(season.Address, toFill), season.Country, season.Contact, season.Email)},
		{"Our tax number", season.TaxNumber},
		{"Date", weekday(placed)},
		{"Ship to", cmp.Or(lines(ship), toFill)},
		{"Wanted by", whenWanted(sent.NeedBy)},
		{"Terms", cmp.Or(to.Terms, "as agreed")},
	}
	for _, row := range b.headRows(sent) {
		if row[0] == "Riders" {
			rows = append(rows, row)
		}
	}
	var out [][2]string
	for _, row := range rows {
		if row[1] != "" {
			out = append(out, row)
		}
	}
	return out
}

func whenWanted(on day.Day) string {
	if on == 0 {
		return "as soon as it can be"
	}
	return weekday(on)
}
