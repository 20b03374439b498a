package answer

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/load"
	"roundkit/planner/units"
	"roundkit/planner/versus"
)

// PackDiff is `pack diff --json`.
type PackDiff struct {
	Was       PackSide   `json:"was"`
	Now       PackSide   `json:"now"`
	Parts     []PackPart `json:"parts"`
	Same      int        `json:"same"`
	MassKG    float64    `json:"mass_kg"`
	Money     []PackSum  `json:"money"`
	NotValued int        `json:"not_valued"`
}

// PackSide is one of the two lists.
type PackSide struct {
	Trip      string  `json:"trip"`
	AsOf      string  `json:"as_of"`
	Readiness float64 `json:"readiness"`
}

// PackPart is a part that differs; quantities in its unit, by and mass_kg are now less was.
type PackPart struct {
	Part    string  `json:"part"`
	Change  string  `json:"change"`
	Unit    string  `json:"unit"`
	Was     float64 `json:"was"`
	Now     float64 `json:"now"`
	By      float64 `json:"by"`
	MassKG  float64 `json:"mass_kg"`
	WasCase string  `json:"was_case"`
	NowCase string  `json:"now_case"`
}

// PackSum is by how much what is packed is worth more, in one currency.
type PackSum struct {
	Currency string `json:"currency"`
	By       string `json:"by"`
}

// OfPackDiff renders a difference.
func OfPackDiff(d versus.Diff) PackDiff {
	side := func(l versus.List) PackSide { return PackSide{l.Trip, l.AsOf.String(), l.Readiness} }
	out := PackDiff{Was: side(d.Was), Now: side(d.Now), Parts: []PackPart{}, Same: d.Same, MassKG: kilos(d.Grams), Money: []PackSum{}, NotValued: d.NotValued}
	for _, p := range d.Parts {
		out.Parts = append(out.Parts, PackPart{Part: p.Code, Change: string(p.Change), Unit: string(p.Unit), Was: units.ToFloat(p.Was, p.Unit), Now: units.ToFloat(p.Now, p.Unit),
			By: units.ToFloat(p.By, p.Unit), MassKG: kilos(p.Grams), WasCase: p.WasCase, NowCase: p.NowCase})
	}
	for _, m := range d.Money {
		out.Money = append(out.Money, PackSum{m.Currency, m.By.StringFixed(2)})
	}
	return out
}

// PackedList is a load as a list to compare.
func PackedList(r *load.Result) versus.List {
	out := versus.List{Trip: r.Trip.Code, AsOf: r.AsOf, Readiness: r.Readiness.Simulated}
	for _, l := range r.Lines {
		line := versus.Line{Part: l.Part.Code, Name: l.Part.Name, Unit: l.Part.Unit, Quantity: l.Quantity, Grams: l.Grams, Case: l.Case, Currency: l.ValueIn}
		if l.Value != nil {
			v := l.Value.Round(2)
			line.Value = &v
		}
		out.Lines = append(out.Lines, line)
	}
	return out
}

// mostSaved is the largest saved answer that is read: a list of 5,000 lines takes 2 MB.
const mostSaved = 32 << 20

// ReadPackedList reads what `pack --json` printed. Names come from the catalogue, if it
// still has the part. It returns an error that says what was found for anything else.
func ReadPackedList(in io.Reader, parts []planner.Part) (versus.List, error) {
	text, err := io.ReadAll(io.LimitReader(in, mostSaved+1))
	if err != nil {
		return versus.List{}, err
	}
	if len(text) > mostSaved {
		return versus.List{}, fmt.Errorf("found more than %d MB, expected what pack --json printed", mostSaved>>20)
	}
	var p Pack
	if err := json.Unmarshal(text, &p); err != nil {
		return versus.List{}, fmt.Errorf("found no JSON of pack (%w), expected what pack --json printed", err)
	}
	if p.Trip == "" || p.Lines == nil {
		return versus.List{}, errors.New("found no trip or no lines, expected what pack --json printed")
	}
	names := map[string]string{}
	for _, part := range parts {
		names[part.Code] = part.Name
	}
	out := versus.List{Trip: p.Trip, AsOf: p.AsOf, Readiness: p.Readiness.Simulated}
	var faults []error
	for i, l := range p.Lines {
		u := units.Unit(l.Unit)
		q, known := wholeBase(l.Quantity, u)
		switch {
		case l.Part == "":
			faults = append(faults, fmt.Errorf("lines[%d]: found no part", i))
		case !known:
			faults = append(faults, fmt.Errorf("lines[%d], %s: found %v %s, expected a quantity above 0 in pc, ml or g", i, l.Part, l.Quantity, l.Unit))
		case l.MassG < 0 || l.MassG > 1e12:
			faults = append(faults, fmt.Errorf("lines[%d], %s: found %v g, expected 0 to 1e12", i, l.Part, l.MassG))
		}
		line := versus.Line{Part: l.Part, Name: names[l.Part], Unit: u, Quantity: q, Grams: decimal.NewFromFloat(l.MassG), Case: l.Case, Currency: l.ValueIn}
		if l.Value != "" {
			v, err := decimal.NewFromString(l.Value)
			// 1e999999999 is a number too, and adding it would write it out.
			if err != nil || v.Exponent() > 15 || v.Exponent() < -20 || len(l.Value) > 40 {
				faults = append(faults, fmt.Errorf("lines[%d], %s: found value %q, expected a decimal number", i, l.Part, l.Value))
				v = decimal.Zero
			}
			line.Value = &v
		}
		out.Lines = append(out.Lines, line)
	}
	return out, errors.Join(faults...)
}

// wholeBase turns a quantity as printed into base units.
func wholeBase(v float64, u units.Unit) (units.Quantity, bool) {
	per := map[units.Unit]float64{units.PC: 1, units.ML: 1000, units.G: 1000}[u]
	base := math.Round(v * per)
	if per == 0 || !(base > 0 && base < 1e15) {
		return 0, false
	}
	return units.Quantity(base), true
}
