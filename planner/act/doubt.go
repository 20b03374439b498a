package act

import (
	"fmt"

	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/place"
	"roundkit/planner/units"
)

// absurd is how many times the usual an amount is asked about: a slip of a key (a zero more, ml
// for l) is ten times and more, a bad day at the bench is not. Common practice.
const absurd = 10

// fuller is how much more than its label a bottle may weigh: makers fill a little over, and
// scales disagree by a gram or two. Common practice.
const fuller = 1.05

// Used returns what is doubtful in what a job is said to have used: more than ten times what
// the service usually takes of it (what any service does, where this one takes none), or of a
// liquid more than a bottle holds.
func Used(s *planner.Snapshot, service, assembly string, used []ledger.Amount) (doubts []error) {
	for _, u := range used {
		p, err := s.Part(u.Part)
		if err != nil {
			continue // it is refused for that
		}
		usual, by := usualOf(s, service, assembly, u.Part), service
		if usual == 0 {
			by = "a job"
			for _, v := range s.Services {
				usual = max(usual, usualOf(s, v.Code, assembly, u.Part))
			}
		}
		switch {
		case usual > 0 && u.Quantity/absurd > usual:
			doubts = append(doubts, fmt.Errorf("%s: found %s, expected about %s, what %s usually takes", u.Part, units.Say(u.Quantity, p.Unit), units.Say(usual, p.Unit), by))
		case usual == 0 && p.Unit == units.PC && u.Quantity > absurd:
			doubts = append(doubts, fmt.Errorf("%s: found %s used by one job, expected at most %d", u.Part, units.Say(u.Quantity, p.Unit), absurd))
		case p.Unit != units.PC && p.Contents != nil && u.Quantity > max(*p.Contents, usual):
			doubts = append(doubts, fmt.Errorf("%s: found %s, expected at most the %s that a %s holds", u.Part, units.Say(u.Quantity, p.Unit), units.Say(*p.Contents, p.Unit), p.CarriedIn))
		}
	}
	return doubts
}

// usualOf is what a service takes of a part: by itself, or when inspection says so.
func usualOf(s *planner.Snapshot, service, assembly, part string) (q units.Quantity) {
	own := ""
	for _, a := range s.Assemblies {
		if a.Code == assembly {
			own = a.DamperOil
		}
	}
	for _, l := range s.ServiceLines {
		is := l.Part == part || l.OwnPart == "damper oil" && own == part
		if l.Service != service || !is || l.OnSite != nil && *l.OnSite {
			continue
		}
		if u, ok := ledger.Usual(l); ok {
			q += u
		} else if l.Quantity != nil {
			q += *l.Quantity
		}
	}
	return q
}

// Received returns what is doubtful in an amount that came in, or was counted: more than ten
// times all there is, the largest lot, what one buys at a time or what it comes in; or more
// than the case it goes into can hold.
func Received(s *planner.Snapshot, tree *place.Tree, part, to string, q units.Quantity) error {
	p, err := s.Part(part)
	if err != nil {
		return nil
	}
	if err := fits(s, p, to, q); err != nil {
		return err
	}
	var ours units.Quantity
	for _, h := range s.Stock {
		if h.Part == part && tree.Ours(h.Place) {
			ours += h.Quantity
		}
	}
	most := max(ours, 1)
	if p.Contents != nil {
		most = max(most, *p.Contents)
	}
	for _, l := range s.Lots {
		if l.Part == part && l.Quantity != nil {
			most = max(most, *l.Quantity)
		}
	}
	for _, o := range s.Offers {
		if o.Part == part && o.Pack != nil {
			most = max(most, *o.Pack)
		}
	}
	if q/absurd > most {
		return fmt.Errorf("%s: found %s, expected at most %s: it is more than ten times the most there ever was (%s)", part, units.Say(q, p.Unit),
			units.Say(most*absurd, p.Unit), units.Say(most, p.Unit))
	}
	return nil
}

// fits reports what a case cannot hold.
func fits(s *planner.Snapshot, p planner.Part, to string, q units.Quantity) error {
	for _, c := range s.Cases {
		if c.Code != to || c.VolumeL == nil || p.PackedUL == nil {
			continue
		}
		containers := float64(q)
		if p.Contents != nil && *p.Contents > 0 {
			containers = float64(q) / float64(*p.Contents)
		}
		const perL = 1e6 // microlitres
		if litres := containers * float64(*p.PackedUL) / perL; litres > c.VolumeL.InexactFloat64() {
			return fmt.Errorf("%s: found %s, %.0f l, expected at most the %s l that %s holds", p.Code, units.Say(q, p.Unit), litres, c.VolumeL, c.Code)
		}
	}
	return nil
}

// Moved returns what is doubtful in a move, a loan or a scrapping: what is not there.
func Moved(s *planner.Snapshot, tree *place.Tree, m planner.Movement) error {
	p, err := s.Part(m.Part)
	if err != nil {
		return nil
	}
	var held units.Quantity
	for _, h := range s.Stock {
		if h.Part == m.Part && (h.Place == m.From || tree.Within(h.Place, m.From)) && (m.Tag == "" || h.Tag == m.Tag) && (m.Lot == "" || h.Lot == m.Lot) {
			held += h.Quantity
		}
	}
	if m.Quantity > held {
		return fmt.Errorf("%s: found %s, expected at most the %s that the book has in %s", m.Part, units.Say(m.Quantity, p.Unit), units.Say(held, p.Unit), m.From)
	}
	return nil
}

// Weighed returns what is doubtful in a weight: more than the full bottle's. Less than the
// empty one's the ledger refuses.
func Weighed(s *planner.Snapshot, tag string, grossMG units.Milligrams) error {
	for _, t := range s.Tags {
		if t.Code != tag {
			continue
		}
		p, err := s.Part(t.Part)
		full := p.Contents
		if t.Contents != nil {
			full = t.Contents
		}
		tare := p.TareMG
		if t.TareMG != nil {
			tare = t.TareMG
		}
		if err != nil || full == nil || tare == nil {
			return nil
		}
		mg := float64(*full) // a part counted in grams needs no density
		if p.Unit == units.ML {
			density := densityOf(s, p.Code)
			if density == 0 {
				return nil
			}
			mg *= density // ul x g/ml = mg
		}
		if most := units.Milligrams(float64(*tare) + mg); float64(grossMG) > float64(*tare)+mg*fuller {
			return fmt.Errorf("%s: found %s, expected at most %s, the full bottle of %s", tag, units.SayMass(grossMG), units.SayMass(most), units.Say(*full, p.Unit))
		}
	}
	return nil
}

// Filled returns what is doubtful in what a bottle is said to hold.
func Filled(s *planner.Snapshot, t planner.Tag, q units.Quantity) error {
	p, err := s.Part(t.Part)
	full := p.Contents
	if t.Contents != nil {
		full = t.Contents
	}
	if err == nil && full != nil && p.Unit != units.PC && q > *full {
		return fmt.Errorf("%s: found %s, expected at most the %s that a %s holds", t.Code, units.Say(q, p.Unit), units.Say(*full, p.Unit), p.CarriedIn)
	}
	return nil
}

// densityOf is g/ml at 20 C; 0 where it is not known.
func densityOf(s *planner.Snapshot, part string) float64 {
	for _, l := range s.Liquids {
		if l.Part == part && l.DensityGML != nil {
			return l.DensityGML.InexactFloat64()
		}
	}
	return 0
}
