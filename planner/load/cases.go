package load

import (
	"cmp"
	"fmt"
	"math/bits"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/units"
)

// KeptFreeGrams is what is left free under the limit of each case: scales disagree and foam
// gets wet (common practice).
const KeptFreeGrams = 500

// twoPeople is the mass from which a case is marked for two (common practice).
const twoPeopleGrams = 25_000

// maxCases is the most cases whose combinations are all tried.
const maxCases = 12

// Case is a case used on a trip by air.
type Case struct {
	planner.Case
	Name    string
	Grams   decimal.Decimal // of the lines in it
	Held    decimal.Decimal // of stock already in it
	Gross   decimal.Decimal // with the empty case and what is always in it
	Limit   decimal.Decimal // grams, nil limit: 0 and none holds
	UL      units.Quantity  // room taken, with what is already in it
	Heavy   bool            // two people
	room    decimal.Decimal // grams left under the limit less what is kept free
	roomUL  units.Quantity
	wholeUL units.Quantity // room of the empty case
	groups  map[string]int
	solid   map[string]bool // solvent, seals: what is in it already
}

// stack is containers of one part that are alike.
type stack struct {
	part, n int
	grams   decimal.Decimal // of one
	ul      units.Quantity  // of one
	group   string
	in      map[string]int // case -> containers
	from    int            // index of its first container
}

// The groups that are kept together and, in part, apart.
const (
	liquids = "liquids"
	seals   = "seals"
	springs = "springs"
	other   = "other"
)

// groupOf returns which group a part packs with.
func groupOf(s planner.Part) string {
	switch {
	case s.Unit == units.ML || s.Kind == "oil" || s.Kind == "grease" || s.Kind == "cleaner":
		return liquids
	case s.Kind == "seal" || s.Kind == "seal kit":
		return seals
	case s.Kind == "spring":
		return springs
	}
	return other
}

// stacks returns what is packed, as containers that are alike.
func (p *packing) stacks() []stack {
	var out []stack
	for i, s := range p.parts {
		for n, c := range s.can[:s.take] {
			last := len(out) - 1
			if last >= 0 && out[last].part == i && out[last].grams.Equal(c.grams) && out[last].ul == c.ul {
				out[last].n++
				continue
			}
			out = append(out, stack{part: i, n: 1, grams: c.grams, ul: c.ul, group: groupOf(s.Part), from: n})
		}
	}
	return out
}

// airCases returns the cases that may travel, with what they hold already.
func (p *packing) airCases() []Case {
	var out []Case
	for _, c := range p.o.Snapshot.Cases {
		if c.GoesBy == "truck" || p.within(c.Code, p.refused) {
			continue
		}
		k := Case{Case: c, Heavy: false, groups: map[string]int{}, solid: map[string]bool{}}
		for _, pl := range p.o.Snapshot.Places {
			if pl.Code == c.Code {
				k.Name = pl.Name
			}
		}
		k.Gross = kilosOf(c.TareKG).Add(kilosOf(c.FixedKG))
		if slices.Contains(p.stays, c.Code) {
			p.hold(&k)
		}
		k.Limit = kilosOf(c.LimitKG)
		k.room = decimal.NewFromInt(1 << 50)
		if c.LimitKG != nil {
			k.room = k.Limit.Sub(k.Gross).Sub(decimal.NewFromInt(KeptFreeGrams))
		}
		k.roomUL, k.wholeUL = 1<<60, 1<<60
		if c.VolumeL != nil {
			k.wholeUL = units.Quantity(c.VolumeL.Mul(million).IntPart())
			k.roomUL = k.wholeUL - k.UL
		}
		out = append(out, k)
	}
	return out
}

// hold counts what is in a case that was packed for the trip before.
func (p *packing) hold(k *Case) {
	for _, h := range p.o.Snapshot.Stock {
		i, ok := p.at[h.Part]
		if !ok || !p.o.Places.Within(h.Place, k.Code) {
			continue
		}
		g, _ := p.mass.Grams(h.Part, h.Tag, h.Quantity)
		room, _ := p.mass.PackedUL(h.Part, h.Tag, h.Quantity)
		k.Held, k.Gross, k.UL = k.Held.Add(g), k.Gross.Add(g), k.UL+room
		k.note(p.parts[i].Part)
	}
}

func kilosOf(d planner.Decimal) decimal.Decimal {
	if d == nil {
		return decimal.Zero
	}
	return d.Mul(thousand)
}

// note remembers what kinds of thing are in a case.
func (k *Case) note(part planner.Part) {
	g := groupOf(part)
	k.groups[g]++
	k.solid[seals] = k.solid[seals] || g == seals
	k.solid["solvent"] = k.solid["solvent"] || part.Kind == "cleaner"
}

// takes reports whether a kind of thing may go into a case: not what the case is kept
// apart from, and seals not beside solvent.
func (k *Case) takes(part planner.Part) bool {
	g := groupOf(part)
	return k.KeepApart != g && !(g == seals && k.solid["solvent"]) && !(part.Kind == "cleaner" && k.solid[seals])
}

// holds returns how many containers of a stack still fit.
func (k *Case) holds(s stack) int {
	n := s.n
	if s.grams.IsPositive() {
		n = min(n, int(k.room.Div(s.grams).Floor().IntPart()))
	}
	if s.ul > 0 {
		n = min(n, int(k.roomUL/s.ul))
	}
	return max(n, 0)
}

// misfit says what kept a load from its cases: grams over the trip's limit with the cases
// it needs, or grams and microlitres that fit nowhere.
type misfit struct {
	over   decimal.Decimal
	loose  decimal.Decimal
	roomUL units.Quantity // of what is loose for want of room, not of kilos
}

// fillCases puts the load into as few cases as it finds, the lightest of these first, nil
// if all is in.
func (p *packing) fillCases() *misfit {
	p.cases, p.placed = nil, nil
	all, cases := p.stacks(), p.airCases()
	if len(cases) == 0 {
		p.note("no case goes by air: the cases are not filled")
		return nil
	}
	var best *misfit
	for _, set := range p.caseSets(cases, len(all) == 0) {
		chosen := pickCases(cases, set)
		filled, rest := p.fill(chosen, all)
		m := &misfit{}
		for _, s := range rest {
			many := decimal.NewFromInt(int64(s.n))
			m.loose = m.loose.Add(s.grams.Mul(many))
			if slices.ContainsFunc(chosen, func(c Case) bool { return c.takes(p.parts[s.part].Part) && c.room.GreaterThanOrEqual(s.grams) }) {
				m.roomUL += s.ul * units.Quantity(s.n)
			}
		}
		gross := decimal.Zero
		for _, c := range chosen {
			gross = gross.Add(c.Gross)
		}
		if p.trip.LimitKG != nil {
			m.over = decimal.Max(decimal.Zero, gross.Sub(p.trip.LimitKG.Mul(thousand)))
		}
		if len(rest) == 0 && m.over.IsZero() {
			p.cases, p.placed = chosen, filled
			return nil
		}
		if best == nil || m.loose.Add(m.over).LessThan(best.loose.Add(best.over)) {
			best = m
		}
	}
	if best == nil {
		return nil
	}
	return best
}

// caseSets lists the sets of cases to try: the fewest first, of these the lightest. What
// was packed before travels anyway.
func (p *packing) caseSets(cases []Case, empty bool) []uint64 {
	var held uint64
	for i, c := range cases {
		if c.Held.IsPositive() {
			held |= 1 << i
		}
	}
	if empty && held == 0 {
		return nil
	}
	all := uint64(1)<<min(len(cases), 62) - 1
	if len(cases) > maxCases {
		return []uint64{all}
	}
	var sets []uint64
	mass := map[uint64]decimal.Decimal{}
	for set := uint64(1); set <= all; set++ {
		if set&held != held {
			continue
		}
		sets = append(sets, set)
		for i, c := range cases {
			if set>>i&1 == 1 {
				mass[set] = mass[set].Add(c.Gross)
			}
		}
	}
	slices.SortStableFunc(sets, func(a, b uint64) int {
		return cmp.Or(cmp.Compare(bits.OnesCount64(a), bits.OnesCount64(b)), mass[a].Cmp(mass[b]))
	})
	return sets
}

func pickCases(cases []Case, set uint64) []Case {
	var out []Case
	for i, c := range cases {
		if set>>i&1 == 1 {
			c.groups, c.solid = cloneMap(c.groups), cloneMap(c.solid)
			out = append(out, c)
		}
	}
	return out
}

func cloneMap[K comparable, V any](m map[K]V) map[K]V {
	out := make(map[K]V, len(m))
	for k, v := range m {
		out[k] = v
	}
	return out
}

// fill puts the stacks into the cases: the groups that few cases take first, heavy things
// first, each where its group already is, else where most is free. Pieces of a stack may
// be split. It returns what did not fit.
func (p *packing) fill(cases []Case, all []stack) (filled, rest []stack) {
	all = slices.Clone(all)
	open := func(s stack) int {
		n := 0
		for i := range cases {
			if cases[i].takes(p.parts[s.part].Part) {
				n++
			}
		}
		return n
	}
	order := make([]int, len(all))
	tightness := make([]int, len(all))
	for i := range all {
		order[i], tightness[i] = i, open(all[i])
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(tightness[a], tightness[b]), cmp.Compare(all[a].group, all[b].group), all[b].grams.Cmp(all[a].grams))
	})
	for _, i := range order {
		s := all[i]
		s.in = map[string]int{}
		todo := s
		for todo.n > 0 {
			best := -1
			for c := range cases {
				k := &cases[c]
				if !k.takes(p.parts[s.part].Part) || k.holds(todo) == 0 {
					continue
				}
				if best < 0 || better(k, &cases[best], todo) {
					best = c
				}
			}
			if best < 0 {
				break
			}
			k := &cases[best]
			n := k.holds(todo)
			many := decimal.NewFromInt(int64(n))
			k.Grams, k.Gross, k.room = k.Grams.Add(s.grams.Mul(many)), k.Gross.Add(s.grams.Mul(many)), k.room.Sub(s.grams.Mul(many))
			k.UL, k.roomUL = k.UL+s.ul*units.Quantity(n), k.roomUL-s.ul*units.Quantity(n)
			k.note(p.parts[s.part].Part)
			s.in[k.Code] += n
			todo.n -= n
		}
		if todo.n > 0 {
			rest = append(rest, todo)
		}
		all[i] = s
	}
	for i := range cases {
		cases[i].Heavy = cases[i].Gross.GreaterThan(decimal.NewFromInt(twoPeopleGrams))
	}
	return all, rest
}

// better reports whether case a suits a stack better than b: it takes all of it, its
// group is there already, it has more free.
func better(a, b *Case, s stack) bool {
	wholeA, wholeB := a.holds(s) == s.n, b.holds(s) == s.n
	if wholeA != wholeB {
		return wholeA
	}
	hereA, hereB := a.groups[s.group] > 0, b.groups[s.group] > 0
	if hereA != hereB {
		return hereA
	}
	return a.room.GreaterThan(b.room)
}

// note adds a line once.
func (p *packing) note(format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	if !slices.Contains(p.notes, text) {
		p.notes = append(p.notes, text)
	}
}
