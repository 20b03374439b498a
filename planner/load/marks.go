package load

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner/calendar"
	"roundkit/planner/near"
	"roundkit/planner/units"
)

// ErrMarks is what errors.Is finds when what must be carried, or left, cannot be.
var ErrMarks = errors.New("marks that cannot be kept")

// marks reads what must be carried and what must stay, all faults together. What is on the
// truck already counts towards what must be carried.
func (p *packing) marks() error {
	var faults []error
	codes := make([]string, len(p.parts))
	for i, s := range p.parts {
		codes[i] = s.Code
	}
	find := func(code string) (int, bool) {
		i, ok := p.at[code]
		if !ok {
			faults = append(faults, near.Miss("part", code, codes))
		}
		return i, ok
	}
	for _, code := range p.opts.Leave {
		if i, ok := find(code); ok {
			p.parts[i].leave, p.parts[i].can = true, nil
		}
	}
	for _, code := range slices.Sorted(maps.Keys(p.opts.Carry)) {
		i, ok := find(code)
		if !ok {
			continue
		}
		s := &p.parts[i]
		q, err := units.ParseQuantity(p.opts.Carry[code], s.Unit)
		switch {
		case err != nil:
			faults = append(faults, fmt.Errorf("carry %s: %w", code, err))
			continue
		case s.leave:
			faults = append(faults, fmt.Errorf("%s: found it both to carry and to leave, expected one of them", code))
			continue
		case s.never:
			faults = append(faults, fmt.Errorf("carry %s: it never goes by air and the trip does: %s", code, notByAir(s)))
			continue
		case p.trip.GoesBy == calendar.Home:
			continue // all of it is there
		}
		have := s.there
		for _, c := range s.can {
			have += c.quantity
		}
		if have < q {
			faults = append(faults, fmt.Errorf("carry %s: found at most %s that can be had by %s, expected %s", code, units.Say(have, s.Unit), p.packOn, units.Say(q, s.Unit)))
			continue
		}
		s.carry = q
	}
	if len(faults) > 0 {
		return fmt.Errorf("%w: %w", ErrMarks, errors.Join(faults...))
	}
	return nil
}

// notByAir words what may help a part that must not fly.
func notByAir(s *supply) string {
	if s.onSite || s.Reusable != nil && *s.Reusable {
		return "hire it there"
	}
	return "buy it there"
}

// musts says what of a limit must be carried or is with the trip already, and the least
// limit that can be met.
func (p *packing) musts(r limit, least decimal.Decimal) error {
	var of []string
	for i := range p.parts {
		s := &p.parts[i]
		total := decimal.Zero
		if len(s.sets) > 0 {
			total = s.of(s.sets[0], r.of)
		}
		if total.IsPositive() {
			of = append(of, fmt.Sprintf("%s %s %s", s.Code, total.Round(3), r.per))
		}
	}
	if r.stays.IsPositive() {
		of = append(of, fmt.Sprintf("there already %s %s", r.stays.Round(3), r.per))
	}
	return fmt.Errorf("%w: limit of %s: found %s %s that must be carried (%s), expected at most %s; the least limit that can be met is %s %s",
		ErrMust, r.what, least.Round(3), r.per, strings.Join(of, ", "), r.most, least.RoundUp(3), r.per)
}

// dropTooBig takes out of what may be packed by air any container that no case can hold,
// and says so.
func (p *packing) dropTooBig() {
	cases := p.boxes
	if len(cases) == 0 {
		return
	}
	for i := range p.parts {
		s := &p.parts[i]
		kept := s.can[:0:0]
		for _, c := range s.can {
			fits := false
			room := decimal.Zero
			for k := range cases {
				box := &cases[k]
				if box.KeepApart == groupOf(s.Part) {
					continue
				}
				room = decimal.Max(room, box.room.Add(box.Held))
				fits = fits || c.grams.LessThanOrEqual(box.room.Add(box.Held)) && c.ul <= box.wholeUL
			}
			if fits {
				kept = append(kept, c)
				continue
			}
			s.tooBig = fmt.Sprintf("%s of %s g fits no case (at most %s g in one): send it as freight, or fill smaller ones", container1(s.Part), c.grams.Round(1), decimal.Max(room, decimal.Zero).Round(1))
			p.note("%s: %s", s.Code, s.tooBig)
		}
		s.can = kept
	}
}

// unknownHazards notes what is packed and may be dangerous goods though no number is known:
// gas, and cleaners by the piece, which are aerosols.
func (p *packing) unknownHazards() {
	var of []string
	for i := range p.parts {
		s := &p.parts[i]
		if (s.set().quantity > 0 || s.there > 0) && s.UNNumber == "" && (s.Kind == "gas" || s.Kind == "cleaner" && s.Unit == units.PC) {
			of = append(of, s.Code)
		}
	}
	if len(of) > 0 {
		p.note("no UN number known, which does not make it harmless: %s; read the data sheet and ask the carrier before it is packed", strings.Join(of, ", "))
	}
}

// thinFacts notes the oils that are short and of which no viscosity is known.
func (p *packing) thinFacts() {
	for i := range p.parts {
		s := &p.parts[i]
		if s.Kind != "oil" || s.now() >= s.line.AtConfidence {
			continue
		}
		for _, l := range p.o.Snapshot.Liquids {
			if l.Part == s.Code && l.CSt40 == nil {
				p.note("%s: no viscosity at 40 C is known, so no blend can stand in for it: fill it in on the sheet liquids", s.Code)
			}
		}
	}
}
