package load

import (
	"fmt"
	"slices"

	"roundkit/planner"
	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// toConfidence packs each part until its chance of being enough reaches the confidence,
// or all there is. The truck minimum is a must at load-out, not for a top-up. Where a part runs out its alternatives
// are packed as well, first choice first.
func (p *packing) toConfidence() {
	for i := range p.parts {
		s := &p.parts[i]
		s.must = max(min(s.carry, len(s.can)), s.minimum(p.trip.Truck != "" && p.topUp == nil))
		s.take = max(s.must, s.enough(s.line.AtConfidence))
	}
	for i := range p.parts {
		s := &p.parts[i]
		gap := s.line.AtConfidence - s.have(s.take)
		if gap <= 0 || s.onSite {
			continue
		}
		for _, a := range p.alternatives(s.Code) {
			alt := &p.parts[a]
			if alt.Unit != s.Unit || gap <= 0 {
				continue
			}
			own := alt.line.AtConfidence
			before := max(0, alt.have(alt.take)-own)
			gap -= before
			if gap <= 0 {
				break
			}
			if more := alt.enough(own + before + gap); more > alt.take {
				gap -= max(0, alt.have(more)-own) - before
				alt.take, alt.standIn = more, s.Code
			}
		}
	}
}

// minimum returns how many containers bring the truck to the part's minimum. What is
// fitted to forks and shocks is not in the truck.
func (s supply) minimum(truck bool) int {
	if !truck || s.TruckMinimum == nil {
		return 0
	}
	n, q := 0, s.there
	for n < len(s.can) && q < *s.TruckMinimum {
		q += s.can[n].quantity
		n++
	}
	return n
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
func (p *packing) inPlace(s supply) units.Quantity {
	var q units.Quantity
	for _, a := range p.alternatives(s.Code) {
		alt := p.parts[a]
		if alt.Unit == s.Unit {
			q += max(0, alt.have(alt.take)-alt.line.AtConfidence)
		}
	}
	return q
}

// short lists the parts below the confidence, and says which of them no load could have
// brought there: those are left out of the optimised product.
func (p *packing) short() (list []Short, out []bool) {
	out = make([]bool, len(p.parts))
	for i, s := range p.parts {
		need, have := s.line.AtConfidence, s.have(s.take)
		if s.then.Stock == nil && need <= have || s.then.Stock != nil && s.line.Need.Cover(have) >= p.res.Confidence-demand.Slack {
			continue
		}
		if s.then.Stock != nil { // of the trip alone, and what will be there
			need, have = s.then.Own().AtConfidence(p.res.Confidence), s.then.Had(have-s.there, p.res.Confidence)
		}
		sh := Short{Part: s.Part, Need: need, Have: have, Chance: s.line.Need.Cover(s.have(s.take)), Why: WhyStock, OnSite: s.onSite, Stops: s.stops || s.onSite}
		if s.onSite {
			out[i] = true
		}
		switch {
		case s.cut != "":
			sh.Why, out[i] = s.cut, s.left || out[i]
		case s.never:
			sh.Why, out[i] = WhyAir, true
			sh.Remedy = notByAir(s)
		case s.leave:
			sh.Why, out[i] = WhyLeft, true
			sh.Remedy = "take it off what is left"
		case s.tooBig != "":
			sh.Why, out[i] = WhyKilos, true
			sh.Remedy = s.tooBig
		case p.inPlace(s) > 0 && s.line.AtConfidence <= s.have(s.take)+p.inPlace(s):
			continue // its alternatives are packed
		default:
			out[i] = true
			sh.Remedy = p.remedy(s)
		}
		list = append(list, sh)
	}
	return list, out
}

// remedy words what may help a part that the stock cannot bring to the confidence.
func (p *packing) remedy(s supply) string {
	gap := s.line.AtConfidence - s.have(s.take)
	if s.then.Stock != nil {
		gap = s.then.Own().AtConfidence(p.res.Confidence) - s.then.Had(s.have(s.take)-s.there, p.res.Confidence)
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
