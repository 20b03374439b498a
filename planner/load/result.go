package load

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/calendar"
	"roundkit/planner/units"
)

// result gathers the answer.
func (p *packing) result() (*Result, error) {
	r := &Result{
		AsOf: p.o.Snapshot.AsOf, Trip: p.trip, PackOn: p.packOn, Horizon: p.res.Horizon, Confidence: p.res.Confidence,
		Left: p.before(), Cases: p.cases, Spend: planner.Money{Currency: p.homeCurrency()}, PlaceNames: map[string]string{},
	}
	for _, pl := range p.o.Snapshot.Places {
		r.PlaceNames[pl.Code] = pl.Name
	}
	if s := p.o.Snapshot.Season; len(s) > 0 {
		r.Team = s[0].Team
	}
	if p.chain != nil {
		r.After = p.chain.Trips()
	}
	var out []bool
	r.Short, out = p.short()
	var err error
	if r.Lines, err = p.lines(); err != nil {
		return nil, err
	}
	for _, l := range r.Lines {
		r.Grams, r.UL = r.Grams.Add(l.Grams), r.UL+l.UL
		r.Spend.Amount = r.Spend.Amount.Add(l.Spend)
	}
	r.Gross = r.Grams.Add(p.stayGrams)
	for _, c := range p.cases {
		r.Gross = r.Gross.Add(c.Gross).Sub(c.Grams).Sub(c.Held)
	}
	if r.Readiness, err = p.readiness(out); err != nil {
		return nil, err
	}
	r.Asked = p.asked.Asked
	r.Bound = max(p.boundWithout(out), r.Readiness.ProductWithoutShort)
	r.Gap = r.Bound - r.Readiness.ProductWithoutShort
	for _, l := range p.limits {
		used := p.used(l)
		if l.what == WhyKilos && p.topUp == nil {
			used = r.Gross.Div(thousand)
		}
		r.Limits = append(r.Limits, Limit{What: l.what, Most: l.most, Used: used, Per: l.per, Worth: l.worth, Binds: l.worth > 0, OneMore: l.oneMore})
	}
	r.FirstToLeave, r.NextToAdd = p.firstToLeave(r.Short, out), p.nextToAdd(out)
	r.Services = p.services(out)
	p.closingNotes()
	r.Notes = p.notes
	return r, nil
}

// lines writes the packed containers out: alike pieces of one lot and place as one line,
// a bottle, tub or tagged thing as one each. Those of a case are in the order of putting in
// (see putIn), those of a drawer have the heavy and tall things first.
func (p *packing) lines() ([]Line, error) {
	var out []Line
	into := p.caseOf()
	var waits []float64
	if p.hasLayers() {
		var err error
		if waits, err = p.waits(); err != nil {
			return nil, err
		}
	}
	for i := range p.parts {
		s := &p.parts[i]
		for _, c := range s.packed() {
			l := Line{
				Part: s.Part, Quantity: c.quantity, Containers: 1, Place: c.place, Case: into(i, c.kind), Lot: c.lot, Tag: c.tag, Serial: p.tags[c.tag].SerialNumber,
				Order: c.order, DueOn: c.due, Expires: c.expires, Opened: c.opened, For: s.standIn, Grams: c.grams, About: c.guess.IsPositive(), UL: c.ul, Spend: c.spend,
			}
			l.Chance = s.line.Need.Cover(s.now())
			l.Value, l.ValueIn = p.value(c)
			if waits != nil {
				l.Waits = waits[i]
			}
			if last := len(out) - 1; last >= 0 && s.Unit == units.PC && c.tag == "" && alike(out[last], l) {
				out[last].add(l)
				continue
			}
			out = append(out, l)
		}
	}
	if waits != nil {
		putIn(out)
		return out, nil
	}
	slices.SortStableFunc(out, func(a, b Line) int {
		return cmp.Or(cmp.Compare(a.Case, b.Case), cmp.Compare(groupRank(a.Part), groupRank(b.Part)))
	})
	return out, nil
}

// groupRank orders what lies together in a drawer: heavy and tall things first.
func groupRank(part planner.Part) int {
	return map[string]int{liquids: 0, springs: 1, other: 2, seals: 3}[groupOf(part)]
}

func alike(a, b Line) bool {
	return a.Part.Code == b.Part.Code && a.Place == b.Place && a.Case == b.Case && a.Lot == b.Lot && a.Tag == "" && a.Order == b.Order && a.For == b.For
}

func (l *Line) add(m Line) {
	l.Quantity, l.Containers = l.Quantity+m.Quantity, l.Containers+m.Containers
	l.Grams, l.UL, l.Spend = l.Grams.Add(m.Grams), l.UL+m.UL, l.Spend.Add(m.Spend)
	if l.Value != nil && m.Value != nil {
		sum := l.Value.Add(*m.Value)
		l.Value = &sum
	}
}

// caseOf returns which case or drawer the n-th container of a part goes into.
func (p *packing) caseOf() func(part, kind int) string {
	if p.trip.GoesBy != calendar.Air {
		return func(part, _ int) string {
			if home := p.o.Places.Home(p.parts[part].Part, p.trip.Trip); home != "" {
				return home
			}
			return p.trip.Truck
		}
	}
	type key struct{ part, kind int }
	left := map[key][]string{}
	for _, s := range p.placed {
		for _, c := range p.cases {
			for range s.in[c.Code] {
				left[key{s.part, s.kind}] = append(left[key{s.part, s.kind}], c.Code)
			}
		}
	}
	return func(part, kind int) string {
		of := left[key{part, kind}]
		if len(of) == 0 {
			return ""
		}
		left[key{part, kind}] = of[1:]
		return of[0]
	}
}

// value returns the share of the lot's cost, or of its list value where it came free.
func (p *packing) value(c container) (*decimal.Decimal, string) {
	lot, ok := p.lots[c.lot]
	if !ok || lot.Quantity == nil || *lot.Quantity <= 0 {
		return nil, ""
	}
	whole := lot.Cost
	if whole == nil || whole.IsZero() && lot.ListValue != nil {
		whole = lot.ListValue
	}
	if whole == nil {
		return nil, ""
	}
	v := whole.Mul(decimal.NewFromInt(int64(c.quantity))).Div(decimal.NewFromInt(int64(*lot.Quantity)))
	return &v, lot.Currency
}

// firstToLeave is the container that costs least readiness for its mass: never of what is
// short, nor what stops a certain job.
func (p *packing) firstToLeave(short []Short, out []bool) *Step {
	have, v := p.haves(), p.mixed()
	base := p.product(v, have, out)
	var best *Step
	least := math.Inf(1)
	for i := range p.parts {
		s := &p.parts[i]
		if slices.ContainsFunc(short, func(x Short) bool { return x.Part.Code == s.Code }) || len(s.sets) == 0 {
			continue
		}
		b, was := p.blockOf(i), have[i]
		before := b.chance(v, have, out)
		for k, n := range s.set().count {
			kind := &s.kinds[k]
			if n == 0 || kind.kg <= 0 || s.set().quantity-kind.quantity < s.sets[0].quantity {
				continue
			}
			have[i] = was - kind.quantity
			after := b.chance(v, have, out)
			have[i] = was
			if before <= 0 || after <= 0 || p.onSiteNeed(i, was-kind.quantity) {
				continue
			}
			if cost := (1 - after/before) / kind.kg; cost < least {
				least = cost
				best = &Step{Part: s.Part, Container: container1(s.Part), Containers: 1, Grams: kind.grams, Readiness: base * after / before}
			}
		}
	}
	return best
}

// onSiteNeed reports whether a part must be on site and so much of it is not enough.
func (p *packing) onSiteNeed(i int, q units.Quantity) bool {
	return p.parts[i].onSite && q < p.parts[i].line.AtConfidence
}

// nextToAdd is what brings most readiness for its mass: the best number of containers of
// one part, since one of a pair may bring nothing.
func (p *packing) nextToAdd(out []bool) *Step {
	have, v := p.haves(), p.mixed()
	base := p.product(v, have, out)
	var best *Step
	bestGain := 0.0
	for i := range p.parts {
		s := &p.parts[i]
		if out[i] || len(s.sets) == 0 {
			continue
		}
		b, was := p.blockOf(i), have[i]
		before := b.chance(v, have, out)
		for k, taken := range s.set().count {
			kind := &s.kinds[k]
			have[i] = was
			for n := 1; taken+n <= len(kind.of) && before > 0 && before < 1; n++ {
				have[i] += kind.quantity
				after := b.chance(v, have, out)
				gain := (after/before - 1) / max(float64(n)*kind.grams.InexactFloat64(), 1e-9)
				if gain > bestGain+1e-15 {
					best = &Step{Part: s.Part, Container: container1(s.Part), Containers: n, Grams: kind.grams.Mul(decimal.NewFromInt(int64(n))), Readiness: base * after / before}
					bestGain = gain
				}
				if after > 1-1e-9 {
					break
				}
			}
		}
		have[i] = was
	}
	return best
}

// container1 names one container of a part.
func container1(part planner.Part) string {
	if part.CarriedIn != "" {
		return part.CarriedIn
	}
	return "piece"
}

// services returns the readiness of each service: the parts of its stopping lines.
func (p *packing) services(out []bool) []Service {
	var list []Service
	have := p.haves()
	for _, t := range p.work.tasks {
		at := slices.IndexFunc(list, func(s Service) bool { return s.Code == t.service })
		if at < 0 {
			at = len(list)
			list = append(list, Service{Code: t.service, Ready: 1})
			for _, s := range p.o.Snapshot.Services {
				if s.Code == t.service {
					list[at].Name, list[at].Care = s.Name, s.Caution
				}
			}
			least := 1.0
			seen := map[string]bool{}
			for _, u := range p.work.tasks {
				for _, l := range u.lines {
					i := p.at[l.part]
					if u.service != t.service || !l.stops || seen[l.part] {
						continue
					}
					seen[l.part] = true
					c := p.parts[i].line.Need.Cover(have[i])
					list[at].Ready *= c
					if c < least {
						least, list[at].Least = c, l.part
					}
				}
			}
		}
		list[at].Jobs += float64(t.jobs)
		if t.unplanned != nil {
			rate := number(t.unplanned.Rate, 0)
			if t.unplanned.GammaA != nil && t.unplanned.GammaB != nil {
				rate = number(t.unplanned.GammaA, 0) / number(t.unplanned.GammaB, 1)
			}
			wet, _, _ := calendar.WetChance(p.trip.Rounds[t.round], p.o.Snapshot.AsOf)
			list[at].Jobs += rate * t.exposure * (1 - wet + wet*number(t.unplanned.WetFactor, 1))
		}
	}
	return list
}

// closingNotes says what was not known or not reached.
func (p *packing) closingNotes() {
	for _, what := range []string{"mass", "room"} {
		if parts := sortedKeys(p.unknown[what]); len(parts) > 0 {
			p.note("no %s known, counted as nothing: %s", what, strings.Join(parts, ", "))
		}
	}
	if parts := sortedKeys(p.unknown["density"]); len(parts) > 0 {
		p.note("no density known, counted as about 1 g/ml: %s", strings.Join(parts, ", "))
	}
	for i := range p.cases {
		if c := &p.cases[i]; c.Guess.IsPositive() {
			p.note("%s: %s", c.Code, c.GuessWords())
		}
	}
	p.noteBefore()
	for i := range p.parts {
		s := &p.parts[i]
		if p.trip.Truck != "" && s.TruckMinimum != nil && s.now()-s.fitted < *s.TruckMinimum {
			p.note("%s: the truck minimum is %s, it will hold %s", s.Code, units.Say(*s.TruckMinimum, s.Unit), units.Say(s.now()-s.fitted, s.Unit))
		}
	}
	for _, c := range p.cases {
		if c.room.IsNegative() {
			p.note("%s: %s g over the limit less the 0.5 kg that is kept free: it was packed so before", c.Code, c.room.Neg())
		}
	}
	p.unknownHazards()
	p.thinFacts()
	if p.trip.GoesBy != calendar.Home && !slices.ContainsFunc(p.parts, func(s supply) bool { return len(s.can) > 0 || s.there > 0 }) {
		p.note("nothing can be had by %s: no stock at home is good to the trip's end and free, and no order is due in time", p.packOn)
	}
	if !p.lowerBound() {
		p.note("a line is less likely in the wet or its chance is not known by weather: the product is no lower bound on the joint readiness")
	}
}

// GuessWords say how much of a case's mass is a guess, and whether that could pass its limit.
func (k *Case) GuessWords() string {
	text := fmt.Sprintf("about %s kg of its %s kg are a guess", k.Guess.Shift(-3).StringFixed(1), k.Gross.Shift(-3).StringFixed(1))
	if k.MayPass() {
		text += fmt.Sprintf(", which could pass its limit of %s kg: weigh it", k.LimitKG)
	}
	return text
}

func sortedKeys(m map[string]bool) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// Cautions are the lines that bite where this is packed. They are aids: the data sheet
// and the carrier decide.
func (l Line) Cautions(byAir bool) []string {
	var out []string
	switch groupOf(l.Part) {
	case liquids:
		out = append(out, "upright, bagged, cap taped")
	}
	switch {
	case l.Part.UNNumber != "" && byAir:
		out = append(out, "UN "+l.Part.UNNumber+": ask the carrier")
	case l.Part.UNNumber != "":
		out = append(out, "UN "+l.Part.UNNumber+": read the data sheet")
	}
	switch {
	case l.Part.Kind == "gas":
		out = append(out, "bottle tied upright, air moving")
	case l.Part.Kind == "cleaner" && l.Part.Unit == units.PC:
		out = append(out, "under 50 C, out of the sun")
	case l.Part.Kind == "cleaner":
		out = append(out, "away from seals; no flame")
	}
	if l.Opened != nil {
		out = append(out, fmt.Sprintf("opened %s", *l.Opened))
	}
	if l.For != "" {
		out = append(out, "stands in for "+l.For+": makers' word first")
	}
	return out
}
