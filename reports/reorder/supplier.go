package reorder

import (
	"fmt"
	"strings"

	"github.com/shopspring/decimal"
	"github.com/xuri/excelize/v2"

	"roundkit/planner/order"
	"roundkit/planner/units"
)

var lineColumns = []column{
	{"your number", 15, false}, {"our part", 14, false}, {"what", 31, false}, {"pack of", 10, false}, {"packs", 8, true}, {"quantity", 11, true},
	{"price a pack", 12, true}, {"amount", 13, true}, {"price", 19, false},
}

// supplierSheets writes one sheet a supplier, its orders by date, each on a page of its
// own.
func (b *book) supplierSheets() error {
	var codes []string
	of := map[string][]int{}
	for i, o := range b.r.Orders {
		if of[o.Supplier.Code] == nil {
			codes = append(codes, o.Supplier.Code)
		}
		of[o.Supplier.Code] = append(of[o.Supplier.Code], i)
	}
	taken := map[string]bool{frontName: true, movesName: true, reasonsName: true}
	for _, code := range codes {
		if err := b.supplierSheet(sheetName(code, taken), of[code]); err != nil {
			return fmt.Errorf("supplier %s: %w", code, err)
		}
	}
	return nil
}

// sheetName makes a supplier's code the name of a sheet: no sign that a spreadsheet
// refuses, at most 31 letters, not taken.
func sheetName(code string, taken map[string]bool) string {
	clean := strings.Trim(strings.Map(func(r rune) rune {
		if strings.ContainsRune(`:\/?*[]`, r) {
			return ' '
		}
		return r
	}, code), "' ")
	letters := []rune(clean)
	if len(letters) > 26 {
		letters = letters[:26]
	}
	name := string(letters)
	if name == "" {
		name = "supplier"
	}
	base := name
	for n := 2; taken[strings.ToLower(name)]; n++ {
		name = fmt.Sprintf("%s %d", base, n)
	}
	taken[strings.ToLower(name)] = true
	return name
}

func (b *book) supplierSheet(name string, orders []int) error {
	s, err := b.newSheet(name, lineColumns, page{titles: "$1:$1"})
	if err != nil {
		return err
	}
	supplier := b.r.Orders[orders[0]].Supplier
	from := strings.TrimSpace("Order from " + b.team())
	if err := s.wide(b.styles.title, 1, from+" to "+supplier.Name); err != nil {
		return err
	}
	for n, i := range orders {
		if n > 0 {
			if err := s.InsertPageBreak(cellName(1, s.row+1)); err != nil {
				return err
			}
		}
		b.placed[i].sheet = name
		if err := s.section("Order of " + weekday(b.r.Orders[i].LeavesOn)); err != nil {
			return err
		}
		if err := b.order(s, i, b.headRows(b.r.Orders[i])); err != nil {
			return err
		}
	}
	return s.Flush()
}

// order writes one order as it can be sent, under its head. Its reasons are not in it.
func (b *book) order(s *sheet, i int, head [][2]string) error {
	o, st := b.r.Orders[i], b.styles
	if err := s.add(5); err != nil {
		return err
	}
	for _, row := range head {
		if err := s.wide(st.wrapped, 3, row[1], text(st.label, row[0])); err != nil {
			return err
		}
	}
	if err := firstOf(s.add(6), s.heads(lineColumns)); err != nil {
		return err
	}
	first := s.row + 1
	for _, l := range o.Lines {
		row := s.row + 1
		pack := units.ToFloat(l.Pack, l.Part.Unit)
		price := l.Price
		if l.Price == order.List {
			price = ""
		}
		err := s.add(height(l.Part.Name, lineColumns[2].width),
			text(st.textBold, l.SupplierRef), text(st.text, l.Part.Code), text(st.textWrapped, l.Part.Name),
			text(st.text, units.Say(l.Pack, l.Part.Unit)+pieces(l)), excelize.Cell{StyleID: st.number, Value: l.Packs},
			formula(st.quantity[l.Part.Unit], decimal.NewFromFloat(pack).Mul(decimal.NewFromInt(int64(l.Packs))), "E%d*%s", row, decimal.NewFromFloat(pack)),
			money(st.money, l.UnitPrice), formula(st.money, l.Amount, "E%d*G%d", row, row), text(st.text, price))
		if err != nil {
			return err
		}
	}
	return b.totals(s, i, first)
}

// pieces says pc after a number of pieces: other units say themselves.
func pieces(l order.Line) string {
	if l.Part.Unit == units.PC {
		return " pc"
	}
	return ""
}

// totals writes what the supplier is owed; goods and total are formulas. Duty and an entry fee are
// paid to others, and what we have to mind is ours: both stand on the front.
func (b *book) totals(s *sheet, i, first int) error {
	o, st := b.r.Orders[i], b.styles
	row := func(label string, value excelize.Cell, note string) error {
		cells := []any{nil, nil, nil, nil, nil, nil, text(st.totalLabel, label), value, text(st.totalLabel, note)}
		return s.add(16, cells...)
	}
	last := s.row
	if err := row("goods", formula(st.total, o.Goods, "SUM(H%d:H%d)", first, last), o.Currency); err != nil {
		return err
	}
	total, from := o.Goods, s.row
	if !o.Shipping.IsZero() || o.Supplier.Carriage != nil {
		note := ""
		if o.Shipping.IsZero() && o.How == order.Sent {
			note = "free"
		}
		total = total.Add(o.Shipping)
		if err := row("carriage", money(st.total, o.Shipping), note); err != nil {
			return err
		}
	}
	if err := row("total", formula(st.total, total, "SUM(H%d:H%d)", from, s.row), o.Currency); err != nil {
		return err
	}
	b.placed[i].total = s.at(8, s.row)
	return nil
}

// headRows say who, where and when, and what the supplier wants to know.
func (b *book) headRows(o order.Order) [][2]string {
	var out [][2]string
	add := func(label, value string) {
		if value != "" {
			out = append(out, [2]string{label, value})
		}
	}
	if o.How == order.Collect {
		r := b.round(o.Round)
		add("We collect at", strings.TrimSpace(fmt.Sprintf("%s %s, %s to %s", r.Code, r.Name, r.FirstOn, r.LastOn)))
	} else {
		add("Ship to", strings.Trim(b.placeName(o.ShipTo)+", "+b.country(), ", "))
	}
	add("Needed by", weekday(o.NeedBy))
	add("Team", b.team())
	if strings.Contains(strings.ToLower(o.Supplier.Notes), "rider") {
		var riders []string
		for _, r := range b.s.Riders {
			riders = append(riders, strings.TrimSpace(r.Name+" ("+r.Code+")"))
		}
		add("Riders", strings.Join(riders, ", "))
	}
	return out
}

func (b *book) country() string {
	if len(b.s.Season) == 0 {
		return ""
	}
	return b.s.Season[0].Country
}
