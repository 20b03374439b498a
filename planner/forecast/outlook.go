package forecast

import (
	"errors"
	"fmt"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/near"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// Outlook is a snapshot made ready for questions: looked up by code and checked
// once. It is never changed, and may be asked from several goroutines.
type Outlook struct {
	Snapshot *planner.Snapshot
	Calendar *calendar.Calendar
	Places   *place.Tree

	parts    map[string]planner.Part
	assembly map[string]planner.Assembly
	kindOf   map[string]string // of a model
	lines    map[string][]line // of a service, in the sheet's order
	rates    []rate
	left     map[string][]Left // of a round
	lots     map[string]planner.Lot
	tags     map[string]planner.Tag
	springs  map[string]planner.Spring
	wet      map[string]float64 // of a round, as known
}

// New makes a snapshot ready. It returns every fault of the plan that a forecast
// would trip over, all at once.
func New(s *planner.Snapshot) (*Outlook, error) {
	o := &Outlook{
		Snapshot: s, parts: map[string]planner.Part{}, assembly: map[string]planner.Assembly{},
		kindOf: map[string]string{}, lines: map[string][]line{}, left: map[string][]Left{},
		lots: map[string]planner.Lot{}, tags: map[string]planner.Tag{}, springs: map[string]planner.Spring{}, wet: map[string]float64{},
	}
	for _, p := range s.Parts {
		o.parts[p.Code] = p
	}
	for _, m := range s.Models {
		o.kindOf[m.Code] = m.Kind
	}
	for _, a := range s.Assemblies {
		o.assembly[a.Code] = a
	}
	for _, l := range s.Lots {
		o.lots[l.Code] = l
	}
	for _, t := range s.Tags {
		o.tags[t.Code] = t
	}
	for _, sp := range s.Springs {
		o.springs[sp.Part] = sp
	}
	var calendarErr, placeErr error
	o.Calendar, calendarErr = calendar.New(s.Plan)
	o.Places, placeErr = place.New(s.Places, s.Assemblies)
	faults := []error{calendarErr, placeErr, o.readLines(), o.readRates(), o.readChoices()}
	for _, r := range o.Calendar.Rounds {
		wet, _, err := calendar.WetChance(r, s.AsOf)
		o.wet[r.Code] = wet
		faults = append(faults, err)
	}
	faults = append(faults, o.readLeft())
	if err := errors.Join(faults...); err != nil {
		return nil, err
	}
	return o, nil
}

// Part returns the part of a code, or an error that suggests a near one.
func (o *Outlook) Part(code string) (planner.Part, error) {
	if p, ok := o.parts[code]; ok {
		return p, nil
	}
	return o.Snapshot.Part(code)
}

func (o *Outlook) partCodes() []string {
	codes := make([]string, len(o.Snapshot.Parts))
	for i, p := range o.Snapshot.Parts {
		codes[i] = p.Code
	}
	return codes
}

// amount returns a quantity of base units in the unit people see.
func amount(q *units.Quantity, u units.Unit) float64 { return units.ToFloat(*q, u) }

// float returns a decimal that may be blank as a number, else the usual.
func float(d planner.Decimal, usual float64) float64 {
	if d == nil {
		return usual
	}
	return d.InexactFloat64()
}

// serviceCodes returns the known services, for suggestions.
func (o *Outlook) serviceCodes() []string {
	codes := make([]string, len(o.Snapshot.Services))
	for i, s := range o.Snapshot.Services {
		codes[i] = s.Code
	}
	return codes
}

// knownService returns an error that suggests a near name for an unknown service.
func (o *Outlook) knownService(sheet, code string) error {
	for _, s := range o.Snapshot.Services {
		if s.Code == code {
			return nil
		}
	}
	return fmt.Errorf("%s: %w", sheet, near.Miss("service", code, o.serviceCodes()))
}
