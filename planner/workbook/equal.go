package workbook

import (
	"reflect"
	"time"

	"github.com/shopspring/decimal"
)

// equalCells compares two fields of a column by value: 68 is 68.00, an instant is the same
// in every zone.
func equalCells(c *Column, a, b reflect.Value) bool {
	if c.pointer {
		if a.IsNil() || b.IsNil() {
			return a.IsNil() && b.IsNil()
		}
		a, b = a.Elem(), b.Elem()
	}
	switch c.typ {
	case isDecimal:
		return a.Addr().Interface().(*decimal.Decimal).Equal(*b.Addr().Interface().(*decimal.Decimal))
	case isTime:
		return a.Addr().Interface().(*time.Time).Equal(*b.Addr().Interface().(*time.Time))
	case isBool:
		return a.Bool() == b.Bool()
	case isString, isUnit:
		return a.String() == b.String()
	}
	return a.Int() == b.Int()
}

// isBlank reports whether a field is a blank cell.
func isBlank(c *Column, f reflect.Value) bool {
	if c.pointer {
		return f.IsNil()
	}
	switch c.typ {
	case isString, isUnit:
		return f.String() == ""
	}
	return false
}

// equalRows compares two rows column by column and lists the columns that differ.
func (s *Sheet) equalRows(a, b reflect.Value) (differ []int) {
	for i := range s.Columns {
		c := &s.Columns[i]
		if c.field >= 0 && !equalCells(c, a.Field(c.field), b.Field(c.field)) {
			differ = append(differ, i)
		}
	}
	return differ
}
