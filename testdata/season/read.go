// Package season reads a folder of season sheets for tests and sums it up as a
// planner.Snapshot, by the plainest way there is: it adds the stock rows, the parts
// of the jobs and the movements up to the end of a day. It shares no code with the
// program's own reader and ledger, so that each is a check on the other.
//
// Limits: sheets without faults, their history written out (a job-parts row for
// whatever a job moved); all stock rows of one day; no unknown columns looked for.
package season

import (
	"encoding/csv"
	"fmt"
	"io/fs"
	"reflect"
	"strconv"
	"strings"
	"time"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

// reader holds what cells need to be read: the units of parts and the time zone.
type reader struct {
	unitOf map[string]units.Unit
	zone   *time.Location
}

// Read reads every sheet of a folder.
func Read(folder fs.FS) (*planner.Book, *time.Location, error) {
	r := &reader{unitOf: map[string]units.Unit{}, zone: time.UTC}
	first := &planner.Book{}
	// parts and season first: the units and the zone of all other cells are in them
	if err := r.sheets(folder, first, "parts", "season"); err != nil {
		return nil, nil, err
	}
	for _, p := range first.Parts {
		r.unitOf[p.Code] = p.Unit
	}
	if len(first.Season) != 1 {
		return nil, nil, fmt.Errorf("season.csv: found %d rows, expected 1", len(first.Season))
	}
	var err error
	if r.zone, err = time.LoadLocation(first.Season[0].TimeZone); err != nil {
		return nil, nil, err
	}
	book := &planner.Book{}
	return book, r.zone, r.sheets(folder, book)
}

// sheets fills the slices of the book from the sheets named (none: all).
func (r *reader) sheets(folder fs.FS, book *planner.Book, only ...string) error {
	groups := reflect.ValueOf(book).Elem()
	for g := range groups.NumField() {
		group := groups.Field(g)
		for i := range group.NumField() {
			sheet := group.Type().Field(i).Tag.Get("sheet")
			if len(only) > 0 && !strings.Contains(" "+strings.Join(only, " ")+" ", " "+sheet+" ") {
				continue
			}
			if err := r.sheet(folder, sheet, group.Field(i)); err != nil {
				return err
			}
		}
	}
	return nil
}

func (r *reader) sheet(folder fs.FS, sheet string, rows reflect.Value) error {
	f, err := folder.Open(sheet + ".csv")
	if err != nil {
		return err
	}
	defer f.Close()
	c := csv.NewReader(f)
	lines, err := c.ReadAll()
	if err != nil {
		return fmt.Errorf("%s.csv: %w", sheet, err)
	}
	for n, cells := range lines[1:] {
		row := map[string]string{}
		for i, column := range lines[0] {
			row[column] = cells[i]
		}
		v := reflect.New(rows.Type().Elem()).Elem()
		if err := r.row(v, row); err != nil {
			return fmt.Errorf("%s.csv, line %d: %w", sheet, n+2, err)
		}
		rows.Set(reflect.Append(rows, v))
	}
	return nil
}

func (r *reader) row(v reflect.Value, row map[string]string) error {
	for i := range v.NumField() {
		field := v.Type().Field(i)
		column := field.Tag.Get("sheet")
		text := row[column]
		if text == "" {
			continue
		}
		unit := r.unit(v, field.Tag.Get("in"), units.Unit(row["unit"]))
		to := v.Field(i)
		if to.Kind() == reflect.Pointer {
			to.Set(reflect.New(to.Type().Elem()))
			to = to.Elem()
		}
		if err := r.cell(to, text, unit); err != nil {
			return fmt.Errorf("%s: %w", column, err)
		}
	}
	return nil
}

// unit returns the unit of a quantity by its in tag: a unit, or the field that names
// the part, unless the row says its own. A service line without a part is of damper oil.
func (r *reader) unit(v reflect.Value, in string, ofRow units.Unit) units.Unit {
	switch u := units.Unit(in); {
	case u.Valid():
		return u
	case in == "" || ofRow != "":
		return ofRow
	}
	if part := v.FieldByName(in).String(); part != "" {
		return r.unitOf[part]
	}
	if own := v.FieldByName("OwnPart"); own.IsValid() && own.String() == "damper oil" {
		return units.ML
	}
	return units.PC
}

func (r *reader) cell(to reflect.Value, text string, unit units.Unit) (err error) {
	switch to.Interface().(type) {
	case units.Quantity:
		var q units.Quantity
		q, err = units.ParseChange(text, unit)
		to.SetInt(int64(q))
	case units.Milligrams:
		var q units.Milligrams
		q, err = units.ParseMass(text)
		to.SetInt(int64(q))
	case day.Day:
		var d day.Day
		d, err = day.Parse(text)
		to.SetInt(int64(d))
	case time.Time:
		var t time.Time
		if t, err = time.ParseInLocation("2006-01-02 15:04", text, r.zone); err != nil {
			t, err = time.ParseInLocation(time.DateOnly, text, r.zone)
		}
		to.Set(reflect.ValueOf(t))
	case decimal.Decimal:
		var d decimal.Decimal
		d, err = decimal.NewFromString(text)
		to.Set(reflect.ValueOf(d))
	default:
		switch to.Kind() {
		case reflect.String:
			to.SetString(text)
		case reflect.Int:
			var n int
			n, err = strconv.Atoi(text)
			to.SetInt(int64(n))
		case reflect.Bool:
			to.SetBool(text == "yes")
			if text != "yes" && text != "no" {
				err = fmt.Errorf("found %q, expected yes or no", text)
			}
		default:
			err = fmt.Errorf("found a field of type %s", to.Type())
		}
	}
	return err
}
