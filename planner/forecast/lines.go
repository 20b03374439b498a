package forecast

import (
	"errors"
	"fmt"
	"strings"

	"roundkit/planner"
	"roundkit/planner/demand"
	"roundkit/planner/near"
	"roundkit/planner/units"
)

// The parts of its own that an assembly brings to a line.
const (
	damperOil = "damper oil"
)

// line is one row of what a service uses, ready for planner/demand.
type line struct {
	planner.ServiceLine
	stops  bool
	onSite bool
	use    demand.Line // amounts in the part's unit
	text   string      // as a mechanic reads it: "2 @25/70 %"
}

// spring reports whether the line is a spring swap, which uses nothing.
func (l line) spring() bool { return l.OwnPart != "" && l.OwnPart != damperOil }

func (o *Outlook) readLines() error {
	var faults []error
	for i, row := range o.Snapshot.ServiceLines {
		where := fmt.Sprintf("service-lines, row %d (%s %s%s)", i+1, row.Service, row.Part, row.OwnPart)
		if err := o.knownService(where, row.Service); err != nil {
			faults = append(faults, err)
			continue
		}
		l := line{ServiceLine: row, stops: row.StopsJob == nil || *row.StopsJob, onSite: row.OnSite != nil && *row.OnSite}
		unit := units.PC
		switch p, ok := o.parts[row.Part]; {
		case ok:
			unit = p.Unit
		case row.Part != "":
			faults = append(faults, fmt.Errorf("%s: %w", where, near.Miss("part", row.Part, o.partCodes())))
			continue
		case row.OwnPart == "":
			faults = append(faults, fmt.Errorf("%s: found neither a part nor an own part, expected one", where))
			continue
		case row.OwnPart == damperOil:
			unit = units.ML
		}
		var err error
		if l.use, err = lineUse(row, unit); err != nil {
			faults = append(faults, fmt.Errorf("%s: %w", where, err))
			continue
		}
		l.text = lineText(row, unit)
		o.lines[row.Service] = append(o.lines[row.Service], l)
	}
	return errors.Join(faults...)
}

// lineUse reads the one of the three forms that is filled.
func lineUse(row planner.ServiceLine, unit units.Unit) (demand.Line, error) {
	ranged := row.Min != nil || row.Max != nil
	switch {
	case ranged && row.Quantity != nil:
		return demand.Line{}, fmt.Errorf("found a quantity and a range, expected one of them")
	case ranged && (row.Min == nil || row.Max == nil):
		return demand.Line{}, fmt.Errorf("found half a range, expected min and max")
	case ranged:
		l := demand.Line{Kind: demand.Ranged, Min: amount(row.Min, unit), Max: amount(row.Max, unit), Allowance: float(row.AllowancePercent, 0) / 100}
		if row.Typical != nil {
			typical := amount(row.Typical, unit)
			l.Typical = &typical
		}
		if l.Max < l.Min || l.Typical != nil && (*l.Typical < l.Min || *l.Typical > l.Max) {
			return demand.Line{}, fmt.Errorf("found %s, expected min <= typical <= max", lineText(row, unit))
		}
		return l, nil
	case row.Quantity == nil:
		return demand.Line{}, fmt.Errorf("found no quantity and no range, expected one of them")
	}
	l := demand.Line{Kind: demand.Fixed, Quantity: amount(row.Quantity, unit)}
	dry, hasDry, err := chanceOf("dry", row.DryPercent, row.BetaDryA, row.BetaDryB)
	if err != nil {
		return l, err
	}
	wet, hasWet, err := chanceOf("wet", row.WetPercent, row.BetaWetA, row.BetaWetB)
	if err != nil {
		return l, err
	}
	switch {
	case hasWet && !hasDry:
		return l, fmt.Errorf("found a chance for the wet alone, expected one for the dry too")
	case hasDry:
		l.Kind, l.Dry = demand.Chanced, dry
		if hasWet {
			l.Wet = &wet
		}
	}
	return l, nil
}

func chanceOf(name string, percent, a, b planner.Decimal) (demand.Chance, bool, error) {
	switch {
	case percent != nil && (a != nil || b != nil):
		return demand.Chance{}, false, fmt.Errorf("%s: found a chance and a beta, expected one of them", name)
	case percent != nil:
		p := percent.InexactFloat64() / 100
		if !(p >= 0 && p <= 1) {
			return demand.Chance{}, false, fmt.Errorf("chance %s: found %s %%, expected 0 to 100", name, percent)
		}
		return demand.Chance{P: p}, true, nil
	case a != nil && b != nil:
		if a.Sign() <= 0 || b.Sign() <= 0 {
			return demand.Chance{}, false, fmt.Errorf("beta %s: found %s and %s, expected both above 0", name, a, b)
		}
		return demand.Chance{A: a.InexactFloat64(), B: b.InexactFloat64()}, true, nil
	case a != nil || b != nil:
		return demand.Chance{}, false, fmt.Errorf("beta %s: found one of a and b, expected both", name)
	}
	return demand.Chance{}, false, nil
}

// lineText writes a line as the service sheet of a workshop would: "2",
// "2 @25/70 %", "1 @Beta(2, 8)", "32-40-48 +8 %".
func lineText(row planner.ServiceLine, unit units.Unit) string {
	if row.Min != nil && row.Max != nil {
		middle := ""
		if row.Typical != nil {
			middle = units.Format(*row.Typical, unit) + "-"
		}
		text := units.Format(*row.Min, unit) + "-" + middle + units.Format(*row.Max, unit)
		if row.AllowancePercent != nil && !row.AllowancePercent.IsZero() {
			text += fmt.Sprintf(" +%s %%", row.AllowancePercent)
		}
		return text
	}
	if row.Quantity == nil {
		return ""
	}
	var sides []string
	for _, side := range [][3]planner.Decimal{{row.DryPercent, row.BetaDryA, row.BetaDryB}, {row.WetPercent, row.BetaWetA, row.BetaWetB}} {
		switch {
		case side[0] != nil:
			sides = append(sides, side[0].String())
		case side[1] != nil && side[2] != nil:
			sides = append(sides, fmt.Sprintf("Beta(%s, %s)", side[1], side[2]))
		}
	}
	text := units.Format(*row.Quantity, unit)
	if len(sides) > 0 {
		text += " @" + strings.Join(sides, "/")
		if !strings.HasSuffix(text, ")") {
			text += " %"
		}
	}
	if row.OnSite != nil && *row.OnSite {
		text += " on site"
	}
	return text
}

// rate is how often an unplanned service happens.
type rate struct {
	service   string
	rate      demand.Rate
	wetFactor float64
}

func (o *Outlook) readRates() error {
	var faults []error
	for i, row := range o.Snapshot.UnplannedRates {
		where := fmt.Sprintf("unplanned-rates, row %d (%s)", i+1, row.Service)
		if err := o.knownService(where, row.Service); err != nil {
			faults = append(faults, err)
			continue
		}
		r := rate{service: row.Service, wetFactor: float(row.WetFactor, 1)}
		gamma := row.GammaA != nil && row.GammaB != nil
		switch {
		case row.Rate != nil && (row.GammaA != nil || row.GammaB != nil):
			faults = append(faults, fmt.Errorf("%s: found a rate and a gamma, expected one of them", where))
		case row.Rate != nil && row.Rate.Sign() < 0, r.wetFactor < 0:
			faults = append(faults, fmt.Errorf("%s: found a number below 0, expected none", where))
		case gamma && (row.GammaA.Sign() <= 0 || row.GammaB.Sign() <= 0):
			faults = append(faults, fmt.Errorf("%s: found gamma %s and %s, expected both above 0", where, row.GammaA, row.GammaB))
		case row.Rate != nil:
			r.rate = demand.Rate{Value: row.Rate.InexactFloat64()}
		case gamma:
			r.rate = demand.Rate{Alpha: row.GammaA.InexactFloat64(), Beta: row.GammaB.InexactFloat64()}
		default:
			faults = append(faults, fmt.Errorf("%s: found no rate and no gamma, expected one of them", where))
		}
		o.rates = append(o.rates, r)
	}
	return errors.Join(faults...)
}
