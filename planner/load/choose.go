package load

import (
	"fmt"
	"slices"
	"strings"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// makeAllSets lists the efficient sets of every part.
func (p *packing) makeAllSets() {
	var of []string
	for i := range p.parts {
		s := &p.parts[i]
		s.makeKinds()
		least := max(s.carry, s.minimum(p.trip.Truck != "" && p.topUp == nil)) - s.there
		if s.onSite && !s.never {
			least = max(least, s.line.AtConfidence-s.there-s.fitted)
		}
		most := s.surelyEnough()
		for _, c := range p.o.Snapshot.KitContents {
			if in, ok := p.at[c.Part]; ok && c.Kit == s.Code && c.Quantity > 0 {
				most += p.parts[in].surelyEnough()/c.Quantity + 1
			}
		}
		for _, a := range p.o.Snapshot.Alternatives {
			if of, ok := p.at[a.Part]; ok && a.Alternative == s.Code {
				most += p.parts[of].surelyEnough()
			}
		}
		if s.makeSets(max(0, least), max(0, most-s.there-s.fitted), p.apart()) {
			of = append(of, s.Code)
		}
	}
	if len(of) > 0 {
		p.partial = true
		p.note("%s: too many ways to carry them, only the lightest are weighed", strings.Join(of, ", "))
	}
}

// apart reports whether containers must also be packed into cases.
func (p *packing) apart() bool { return len(p.boxes) > 0 }

// toConfidence packs each part until its chance of being enough reaches the confidence,
// or all there is, the lightest way. The truck minimum is a must at load-out, not for a
// top-up. Where a part runs out its alternatives are packed as well, first choice first.
func (p *packing) toConfidence() {
	money := p.trip.GoesBy != calendar.Air
	for i := range p.parts {
		s := &p.parts[i]
		s.pick = s.enough(s.line.AtConfidence, money)
	}
	for i := range p.parts {
		s := &p.parts[i]
		gap := s.line.AtConfidence - s.now()
		if gap <= 0 || s.onSite {
			continue
		}
		for _, a := range p.alternatives(s.Code) {
			alt := &p.parts[a]
			if alt.Unit != s.Unit || gap <= 0 {
				continue
			}
			own := alt.line.AtConfidence
			before := max(0, alt.now()-own)
			gap -= before
			if gap <= 0 {
				break
			}
			if more := alt.enough(own+before+gap, money); alt.have(more) > alt.now() {
				gap -= max(0, alt.have(more)-own) - before
				alt.pick, alt.standIn = more, s.Code
			}
		}
	}
}

// minimum is what the truck must hold of the part. What is fitted to forks and shocks is not
// in the truck.
func (s *supply) minimum(truck bool) units.Quantity {
	if !truck || s.TruckMinimum == nil {
		return 0
	}
	return *s.TruckMinimum
}

// alternatives returns the parts that may stand in, first choice first.
func (p *packing) alternatives(code string) []int {
	var rows []planner.Alternative
	for _, a := range p.o.Snapshot.Alternatives {
		if _, ok := p.at[a.Alternative]; ok && a.Part == code {
			rows = append(rows, a)
		}
	}
	slices.SortStableFunc(rows, func(a, b planner.Alternative) int { return preference(a) - preference(b) })
	out := make([]int, len(rows))
	for k, a := range rows {
		out[k] = p.at[a.Alternative]
	}
	return out
}

// preference is the order of choice; a blank one comes last.
func preference(a planner.Alternative) int {
	if a.Preference == nil {
		return 1 << 30
	}
	return *a.Preference
}

// inPlace returns what alternatives can add to a part: what they have beyond their own
// need.
func (p *packing) inPlace(s *supply) units.Quantity {
	var q units.Quantity
	for _, a := range p.alternatives(s.Code) {
		alt := &p.parts[a]
		if alt.Unit == s.Unit {
			q += max(0, alt.now()-alt.line.AtConfidence)
		}
	}
	return q
}

// reaches reports whether so much of a part, in base units, is enough at the confidence.
func (p *packing) reaches(s *supply, have units.Quantity) bool {
	if s.then.Stock == nil {
		return s.line.AtConfidence <= have
	}
	return s.line.Need.Cover(have) >= p.res.Confidence-demand.Slack
}

// short lists the parts below the confidence, and says which of them no load could have
// brought there.
func (p *packing) short() (list []Short, out []bool) {
	out = make([]bool, len(p.parts))
	for i := range p.parts {
		s := &p.parts[i]
		need, have := s.line.AtConfidence, s.now()
		if p.reaches(s, have) {
			continue
		}
		sh := Short{Part: s.Part, Need: need, Have: have, Chance: s.line.Need.Cover(have), OnSite: s.onSite, Stops: s.stops || s.onSite, GivenUp: s.given}
		if s.then.Stock != nil { // of the trip alone, and what will be there
			sh.Need, sh.Have = s.then.Own().AtConfidence(p.res.Confidence), s.then.Had(have-s.there, p.res.Confidence)
		}
		least := p.reaches(s, s.most()) // there is enough to be had
		switch {
		case s.never:
			sh.Why, sh.Remedy = WhyAir, notByAir(s)
		case s.leave:
			sh.Why, sh.Remedy = WhyLeft, "take it off what is left"
		case s.tooBig != "":
			sh.Why, sh.Remedy = WhyKilos, s.tooBig
		case p.inPlace(s) > 0 && need <= have+p.inPlace(s):
			continue // its alternatives are packed
		case least && p.alone:
			continue // the readiness is reached with less of it
		case least:
			sh.Why, sh.Remedy = p.why(i)
		default:
			sh.Why, sh.Remedy = WhyStock, p.remedy(s)
		}
		out[i] = !least || s.onSite || s.given
		list = append(list, sh)
	}
	return list, out
}

// remedy words what may help a part that the stock cannot bring to the confidence.
func (p *packing) remedy(s *supply) string {
	gap := s.line.AtConfidence - s.most()
	if s.then.Stock != nil {
		gap = s.then.Own().AtConfidence(p.res.Confidence) - s.then.Had(s.most()-s.there, p.res.Confidence)
	}
	for _, o := range p.o.Snapshot.Orders {
		if o.State == "drafted" || o.State == "called off" || o.DueOn == nil || o.ArrivedOn != nil && *o.ArrivedOn <= p.o.Snapshot.AsOf {
			continue
		}
		for _, l := range p.o.Snapshot.OrderLines {
			if l.Order == o.Code && l.Part == s.Code {
				return fmt.Sprintf("%s more; order %s is due %s", units.Say(gap, s.Unit), o.Code, *o.DueOn)
			}
		}
	}
	return units.Say(gap, s.Unit) + " more"
}
