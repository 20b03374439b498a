package reorder

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"
	"unicode"

	"roundkit/planner"
	"roundkit/planner/order"
	"roundkit/planner/purchase"
	"roundkit/planner/units"
)

// csvColumns are those of a supplier's CSV; a web shop takes the first and the packs.
var csvColumns = []string{"supplier number", "packs", "part", "name", "pack", "quantity", "unit", "price per pack", "amount", "currency", "order by", "need by", "ship to"}

// WriteCSV writes the orders of one supplier for its web shop, a row a line. A text that
// a spreadsheet would take for a formula gets an apostrophe before it. It writes the
// heading alone where nothing is ordered there.
func WriteCSV(w io.Writer, r order.Result, supplier string) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true // RFC 4180, section 2
	if err := c.Write(csvColumns); err != nil {
		return err
	}
	for _, o := range r.Orders {
		if o.Supplier.Code != supplier {
			continue
		}
		to := o.ShipTo
		if o.How == order.Collect {
			to = "collected at " + o.Round
		}
		for _, l := range o.Lines {
			if err := c.Write(append(csvLine(l, o.Currency), o.OrderBy.String(), o.NeedBy.String(), guarded(to))); err != nil {
				return err
			}
		}
	}
	c.Flush()
	return c.Error()
}

// csvLine is a line up to its currency.
func csvLine(l order.Line, currency string) []string {
	return []string{guarded(l.SupplierRef), strconv.Itoa(l.Packs), guarded(l.Part.Code), guarded(l.Part.Name),
		units.Format(l.Pack, l.Part.Unit), units.Format(l.Quantity, l.Part.Unit), string(l.Part.Unit), l.UnitPrice.String(), l.Amount.String(), guarded(currency)}
}

// sentColumns are those of an order's own CSV.
var sentColumns = append(csvColumns[:10:10], "wanted by", "ship to")

// WriteSentCSV writes an order of the book for the supplier's web shop, a row a line.
func WriteSentCSV(w io.Writer, s *planner.Snapshot, o planner.Order) error {
	sent, err := purchase.AsOrdered(s, o)
	if err != nil {
		return err
	}
	c := csv.NewWriter(w)
	c.UseCRLF = true // RFC 4180, section 2
	wanted := ""
	if sent.NeedBy != 0 {
		wanted = sent.NeedBy.String()
	}
	rows := [][]string{sentColumns}
	for _, l := range sent.Lines {
		rows = append(rows, append(csvLine(l, sent.Currency), wanted, guarded(sent.ShipTo)))
	}
	return c.WriteAll(rows)
}

// guarded keeps a text from being taken for a formula, also behind blanks and signs that
// nobody sees.
func guarded(text string) string {
	rest := strings.TrimLeftFunc(text, func(r rune) bool { return unicode.IsSpace(r) || unicode.IsControl(r) || unicode.Is(unicode.Cf, r) })
	if rest != "" && strings.ContainsRune("=+-@", rune(rest[0])) || text != "" && strings.ContainsRune("\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}
