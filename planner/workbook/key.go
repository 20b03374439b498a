package workbook

import (
	"reflect"
	"strconv"
	"strings"
	"time"

	"roundkit/planner/day"
)

// keyOf returns the row's key as one comparable text.
func (s *Sheet) keyOf(row reflect.Value) string {
	if len(s.keys) == 1 && s.Columns[s.keys[0]].typ == isString {
		return row.Field(s.Columns[s.keys[0]].field).String()
	}
	var b []byte
	for i, k := range s.keys {
		if i > 0 {
			b = append(b, 0)
		}
		b = appendKey(b, s.Columns[k], row)
	}
	return string(b)
}

func appendKey(b []byte, c Column, row reflect.Value) []byte {
	f := row.Field(c.field)
	switch c.typ {
	case isDay:
		return strconv.AppendInt(b, int64(*f.Addr().Interface().(*day.Day)), 10)
	case isTime:
		return strconv.AppendInt(b, f.Addr().Interface().(*time.Time).UnixMicro(), 10)
	case isInt:
		return strconv.AppendInt(b, f.Int(), 10)
	}
	return append(b, f.String()...)
}

// keyText returns the row's key as a person reads it: "VEL, WIP-40".
func (s *Sheet) keyText(row reflect.Value, zone *time.Location) string {
	var parts []string
	for _, k := range s.keys {
		if text := s.Columns[k].format(row, zone, nil).Text; text != "" {
			parts = append(parts, text)
		}
	}
	return strings.Join(parts, ", ")
}
