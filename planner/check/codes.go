package check

import (
	"github.com/shopspring/decimal"

	"roundkit/planner/oil"
	"roundkit/planner/transport"
)

// rubberCalcs are the storage life of seals.
func rubberCalcs() []Calc {
	return []Calc{{
		Name: "storage-life", About: "how long a stored seal lasts from its quarter of cure",
		In: []Field{need("rubber", "NBR, FKM, EPDM, ..."), need("cured", "quarter, such as 2016-Q3"), need("rule", "ISO 2230 or ARP5316")},
		Out: []Field{
			may("group", "A, B or C (ISO 2230)"), need("years", "from cure; null: no limit"), may("extension", "years (ISO 2230)"),
			may("inspect_by", "date (ISO 2230)"), may("discard_by", "date (ISO 2230)"), may("use_by", "date (ARP5316); null: no limit"),
		},
		run: runStorageLife,
	}}
}

// codeCalcs are the codes on packages and the points of the road rules.
func codeCalcs() []Calc {
	return []Calc{
		{
			Name: "check-digit", About: "GS1 check digit",
			In:  []Field{may("digits", "7, 11, 12, 13 or 17 digits; or code"), may("code", "8, 12, 13, 14 or 18 digits")},
			Out: []Field{need("digit", "0 to 9"), may("valid", "true or false, with code")},
			run: runCheckDigit,
		},
		{
			Name: "road-points", About: "points of dangerous goods in a truck (ADR 1.1.3.6)",
			In:  []Field{need("goods", "list of {category: 0 to 4, quantity: 0 or more, note_a: true or false (category 1 only), limited_quantity: true or false}")},
			Out: []Field{need("points", "decimal, exact"), need("within", "points at most 1000 and nothing of category 0")},
			run: runRoadPoints,
		},
	}
}

func runStorageLife(in *input) (output, error) {
	rubber, cured := in.word("rubber"), in.word("cured")
	rule := in.oneOf("rule", "ISO 2230", "ARP5316")
	if err := in.ready(); err != nil {
		return nil, err
	}
	quarter, err := oil.ParseQuarter(cured)
	if err != nil {
		in.refuse("cured", quoted(cured), "a quarter such as 2016-Q3")
		return nil, in.faults.err()
	}
	if rule == "ARP5316" {
		years, useBy, limited, err := oil.SealLife(rubber, quarter)
		if err != nil {
			return nil, err
		}
		if !limited {
			return output{"years": nil, "use_by": nil}, nil
		}
		return output{"years": years, "use_by": useBy}, nil
	}
	shelf, err := oil.ShelfLife(rubber, quarter)
	if err != nil {
		return nil, err
	}
	return output{
		"group": shelf.Group, "years": shelf.Years, "extension": shelf.Extension,
		"inspect_by": shelf.InspectBy, "discard_by": shelf.DiscardBy,
	}, nil
}

func runCheckDigit(in *input) (output, error) {
	field := "digits"
	if in.has("code") {
		field = "code"
		if in.has("digits") {
			in.refuse("digits", "it and code", "one of them")
		}
	} else {
		in.has("digits")
	}
	value := in.word(field)
	if err := in.ready(); err != nil {
		return nil, err
	}
	if field == "digits" {
		digit, err := transport.CheckDigit(value)
		if err != nil {
			return nil, named(field, err)
		}
		return output{"digit": digit}, nil
	}
	digit, valid, err := transport.CheckCode(value)
	if err != nil {
		return nil, named(field, err)
	}
	return output{"digit": digit, "valid": valid}, nil
}

func runRoadPoints(in *input) (output, error) {
	var goods []transport.Good
	for _, g := range in.insides("goods") {
		goods = append(goods, transport.Good{
			Category: g.count("category", from(0, 4)), Quantity: g.decimal("quantity", amount),
			NoteA: g.flagOr("note_a", false), LimitedQuantity: g.flagOr("limited_quantity", false),
		})
		g.close()
	}
	if err := in.ready(); err != nil {
		return nil, err
	}
	points, within, err := transport.RoadPoints(goods)
	if err != nil {
		return nil, err
	}
	return output{"points": exactly(points), "within": within}, nil
}

// decimal reads a number of a range as it was written.
func (in *input) decimal(name string, b bound) decimal.Decimal {
	value, err := decimal.NewFromString(in.exact(name, b))
	if err != nil { // exact reads decimals only
		in.refuse(name, "no decimal", b.String())
	}
	return value
}
