package load

import (
	"cmp"
	"context"
	"fmt"
	"slices"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/load/solve"
	"roundkit/planner/units"
)

// KeptFreeGrams is what is left free under the limit of each case: scales disagree and foam
// gets wet (common practice).
const KeptFreeGrams = 500

// twoPeople is the mass from which a case is marked for two (common practice).
const twoPeopleGrams = 25_000

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
	Guess   decimal.Decimal // grams of Gross that are a guess: liquids without a density count as 1 g/ml
	room    decimal.Decimal // grams left under the limit less what is kept free
	roomUL  units.Quantity
	wholeUL units.Quantity // room of the empty case
	groups  map[string]int
	solid   map[string]bool // solvent, seals: what is in it already
}

// guessOff is how far a guessed density may be off, as a part of it: the liquids of a workshop
// weigh 0.7 to 1.3 g/ml (common practice).
var guessOff = decimal.RequireFromString("0.3")

// MayPass reports whether a guess in a case could bring it over its limit.
func (k *Case) MayPass() bool {
	return k.LimitKG != nil && k.Guess.IsPositive() && k.Gross.Add(k.Guess.Mul(guessOff)).GreaterThan(k.Limit)
}

// stack is containers of one part that are alike.
type stack struct {
	part, kind, n int
	grams         decimal.Decimal // of one
	guess         decimal.Decimal // of one
	ul            units.Quantity  // of one
	group         string
	in            map[string]int // case -> containers
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

// The classes of things that cases may refuse or that may not lie together.
const (
	classLiquid = iota
	classSolvent
	classSeal
	classSpring
	classOther
)

func classOf(s planner.Part) int {
	switch g := groupOf(s); {
	case s.Kind == "cleaner":
		return classSolvent
	case g == liquids:
		return classLiquid
	case g == seals:
		return classSeal
	case g == springs:
		return classSpring
	}
	return classOther
}

// classesOf are the classes of a group, as bits.
func classesOf(group string) uint {
	switch group {
	case liquids:
		return 1<<classLiquid | 1<<classSolvent
	case seals:
		return 1 << classSeal
	case springs:
		return 1 << classSpring
	case other:
		return 1 << classOther
	}
	return 0
}

// stacks returns what is packed, as containers that are alike.
func (p *packing) stacks() []stack {
	var out []stack
	for i := range p.parts {
		s := &p.parts[i]
		for k, n := range s.set().count {
			if n > 0 {
				out = append(out, stack{part: i, kind: k, n: n, grams: s.kinds[k].grams, guess: s.kinds[k].guess, ul: s.kinds[k].ul, group: groupOf(s.Part), in: map[string]int{}})
			}
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
		g, guess, _ := p.about(h.Part, h.Tag, h.Quantity)
		k.Guess = k.Guess.Add(guess)
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

// empty is what a case weighs without what is packed into it.
func (k *Case) empty() decimal.Decimal { return k.Gross.Sub(k.Grams).Sub(k.Held) }

// bins are the cases as the search sees them, for a problem with these rows. value is what
// a case that goes is worth.
func (p *packing) bins(rows []limit, value func(*Case) float64) []solve.Bin {
	var out []solve.Bin
	for i := range p.boxes {
		k := &p.boxes[i]
		b := solve.Bin{Base: make([]float64, len(rows)), Goes: k.Held.IsPositive() || p.alwaysFlies(k), Refuses: classesOf(k.KeepApart), Value: value(k)}
		for j, r := range rows {
			if r.gross {
				b.Base[j] = k.empty().Div(thousand).InexactFloat64()
			}
		}
		b.Cap = []float64{max(0, k.room.Div(thousand).InexactFloat64()), max(0, float64(k.roomUL)/1e6)}
		if k.solid[seals] {
			b.Holds |= 1 << classSeal
		}
		if k.solid["solvent"] {
			b.Holds |= 1 << classSolvent
		}
		out = append(out, b)
	}
	return out
}

// keptApart are the classes that may not lie in one case: rubber swells in solvent.
var keptApart = [][2]int{{classSeal, classSolvent}}

// alwaysFlies reports whether a case goes whatever is packed: what is always in it is wanted
// at every round. It counts by the trip's own limit; a limit of kilos that is asked for is of
// the cases that the load needs.
func (p *packing) alwaysFlies(k *Case) bool {
	return p.opts.LimitKG == nil && k.FixedKG != nil && k.FixedKG.IsPositive()
}

// fillCases puts what is packed into the fewest cases, of these the lightest, within the
// limits; false: no cases hold it.
func (p *packing) fillCases(ctx context.Context) bool {
	p.cases, p.placed = nil, nil
	if !p.apart() {
		return p.over() == nil
	}
	all := p.stacks()
	k := solve.Packing{Apart: keptApart}
	for _, l := range p.limits {
		if l.what == WhyMoney || l.what == WhyLitres {
			if p.used(l).GreaterThan(l.most) {
				return false
			}
			continue
		}
		k.Limit = append(k.Limit, l.most.Sub(p.used(l)).InexactFloat64())
	}
	rows := slices.DeleteFunc(slices.Clone(p.limits), func(l limit) bool { return l.what != WhyKilos })
	k.Bins = p.bins(rows, func(c *Case) float64 { return -1 - c.empty().InexactFloat64()/1e7 })
	for _, s := range all {
		kind := &p.parts[s.part].kinds[s.kind]
		k.Fixed = append(k.Fixed, solve.Piece{Size: []float64{kind.kg, kind.l}, Class: classOf(p.parts[s.part].Part), Count: s.n})
	}
	got, err := k.Solve(ctx, solve.Effort{})
	if err != nil || got.Choice == nil {
		return false
	}
	var set uint64
	for _, b := range got.Bins {
		set |= 1 << b
	}
	chosen := pickCases(p.boxes, set)
	if filled, rest := p.fill(chosen, all); len(rest) == 0 {
		p.cases, p.placed = chosen, filled
		return true
	}
	chosen = pickCases(p.boxes, set)
	for x := range all {
		all[x].in = map[string]int{}
		for y, n := range got.In[x] {
			if n > 0 {
				all[x].in[chosen[y].Code] = n
				chosen[y].put(p.parts[all[x].part].Part, all[x], n)
			}
		}
	}
	for i := range chosen {
		chosen[i].Heavy = chosen[i].Gross.GreaterThan(decimal.NewFromInt(twoPeopleGrams))
	}
	p.cases, p.placed = chosen, all
	return true
}

// put puts containers into a case.
func (k *Case) put(part planner.Part, s stack, n int) {
	many := decimal.NewFromInt(int64(n))
	k.Grams, k.Gross, k.room = k.Grams.Add(s.grams.Mul(many)), k.Gross.Add(s.grams.Mul(many)), k.room.Sub(s.grams.Mul(many))
	k.Guess = k.Guess.Add(s.guess.Mul(many))
	k.UL, k.roomUL = k.UL+s.ul*units.Quantity(n), k.roomUL-s.ul*units.Quantity(n)
	k.note(part)
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
			k.put(p.parts[s.part].Part, s, n)
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
