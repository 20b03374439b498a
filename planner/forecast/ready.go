package forecast

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// Chance is the joint chance that nothing that stops a job runs short.
type Chance struct {
	Joint   float64 // the chance itself
	Within  float64 // product over the parts within each weather pattern, then mixed
	Product float64 // product of the parts' own chances
	Bound   bool    // Product <= Within <= Joint is sure; else Product is no bound

	Exact  bool     // Joint was summed over all that is shared
	StdErr float64  // of a drawn Joint
	Draws  int      // 0: not drawn
	Apart  []string // models whose springs were too many to go through together: their product stands in
}

// Method says in words how Joint was found.
func (c Chance) Method() string {
	text := "exact: summed over the weather and the unplanned jobs that the parts share"
	if c.Draws > 0 {
		text = fmt.Sprintf("simulated: %d draws, standard error %.2g", c.Draws, c.StdErr)
	}
	if len(c.Apart) > 0 {
		text += "; the springs of " + strings.Join(c.Apart, ", ") + " taken as if independent"
	}
	return text
}

// Readiness is the chance that every job left can be done with what is on hand. Only
// parts with a line that stops its job count, with all that they are used for; what
// must be on site is told apart.
type Readiness struct {
	All          Chance
	WithoutShort Chance // without the parts in Short
	Services     []ServiceChance
	Springs      []SpringBlock
	Parts        []PartChance // that count, least likely to be enough first
	Short        []PartChance // of those, the ones below the confidence
	OnSite       []PartChance // Enough is 1 or 0 where such jobs are planned
}

// ServiceChance is the chance that all jobs left of one service can be done.
type ServiceChance struct {
	Service string
	Chance
}

// PartChance is the chance that one part is enough.
type PartChance struct {
	Part   string
	Enough float64
}

// ReadyOptions are the choices for a joint chance that is too large to be summed.
type ReadyOptions struct {
	Draws int // 0: the usual of planner/demand
	Seed  uint64
}

// Ready returns the readiness of a horizon with what is on hand, for all of it and
// for each service.
func (o *Outlook) Ready(opts Options, ready ReadyOptions) (Readiness, error) {
	a, err := o.ask(opts)
	if err != nil {
		return Readiness{}, err
	}
	r := readying{asked: a, opts: ready, needs: map[string]Need{}}
	var out Readiness
	var codes []string
	for _, p := range o.Snapshot.Parts {
		stops := slices.ContainsFunc(a.work.uses[p.Code], func(u use) bool { return u.line.stops })
		if !stops && len(a.work.onSite[p.Code]) == 0 {
			continue
		}
		if r.needs[p.Code], err = o.needOf(p, a.h, a.work); err != nil {
			return Readiness{}, err
		}
		c := PartChance{p.Code, r.needs[p.Code].Cover(a.onHand[p.Code])}
		if stops {
			codes = append(codes, p.Code)
			out.Parts = append(out.Parts, c)
		} else {
			out.OnSite = append(out.OnSite, c)
		}
	}
	if out.Springs, err = a.springBlocks(); err != nil {
		return Readiness{}, err
	}
	for _, b := range out.Springs {
		out.Parts = append(out.Parts, b.Parts...)
	}
	slices.SortStableFunc(out.Parts, func(x, y PartChance) int { return cmp.Compare(x.Enough, y.Enough) })
	short := map[string]bool{}
	for _, c := range out.Parts {
		if c.Enough < a.confidence-demand.Slack {
			out.Short = append(out.Short, c)
			short[c.Part] = true
		}
	}
	if out.All, err = r.joint(codes, out.Springs); err != nil {
		return Readiness{}, err
	}
	if out.WithoutShort, err = r.withoutShort(codes, short); err != nil {
		return Readiness{}, err
	}
	out.Services, err = r.services(codes, out.Springs)
	return out, err
}

// readying is a readiness being worked out.
type readying struct {
	asked
	opts  ReadyOptions
	needs map[string]Need
}

// joint returns the joint chance of parts and of blocks of springs: springs hang on
// the riders' choices alone, so the two are independent.
func (r readying) joint(codes []string, springs []SpringBlock) (Chance, error) {
	var uses []use
	stock, steps := map[string]float64{}, map[string]float64{}
	for _, code := range codes {
		uses = append(uses, r.work.uses[code]...)
		stock[code] = units.ToFloat(r.onHand[code], r.o.parts[code].Unit)
		steps[code] = r.needs[code].Dist.Step
	}
	c := Chance{Joint: 1, Within: 1, Product: 1, Bound: true, Exact: true}
	if len(uses) > 0 {
		d, err := r.work.need(uses, 1).Readiness(stock, demand.ReadyOptions{Steps: steps, Draws: r.opts.Draws, Seed: r.opts.Seed})
		if err != nil {
			return c, fmt.Errorf("readiness: %w", err)
		}
		c = Chance{Joint: d.Joint, Within: d.Within, Product: d.Product, Bound: d.Bound, Exact: d.Exact, StdErr: d.StdErr, Draws: d.Draws}
	}
	for _, b := range springs {
		c.Joint *= b.Joint
		c.StdErr *= b.Joint
		c.Within *= b.Joint
		c.Product *= b.Product
		// who wants one rate does not want another, so the product of a block's
		// chances may lie on either side
		c.Bound = c.Bound && b.Exact && b.Product <= b.Joint
		if !b.Exact {
			c.Exact = false
			c.Apart = append(c.Apart, b.Model)
		}
	}
	return c, nil
}

// withoutShort is the joint chance of what can be had.
func (r readying) withoutShort(codes []string, short map[string]bool) (Chance, error) {
	left := slices.DeleteFunc(slices.Clone(codes), func(code string) bool { return short[code] })
	springs, err := r.springBlocksBut(short)
	if err != nil {
		return Chance{}, err
	}
	return r.joint(left, springs)
}

// services returns the chance of each service with jobs left: that the parts and
// springs that stop it are enough for everything they are used for.
func (r readying) services(codes []string, springs []SpringBlock) ([]ServiceChance, error) {
	var out []ServiceChance
	for _, s := range r.o.Snapshot.Services {
		var its []string
		for _, code := range codes {
			for _, u := range r.work.uses[code] {
				if u.service == s.Code && u.line.stops {
					its = append(its, code)
					break
				}
			}
		}
		blocks := map[string]SpringBlock{}
		for _, l := range r.o.lines[s.Code] {
			for _, b := range springs {
				if l.stops && l.springKind() == r.o.kindOf[b.Model] && r.planned(s.Code) {
					blocks[b.Model] = b
				}
			}
		}
		if len(its) == 0 && len(blocks) == 0 {
			continue
		}
		var use []SpringBlock
		for _, model := range slices.Sorted(maps.Keys(blocks)) {
			use = append(use, blocks[model])
		}
		c, err := r.joint(its, use)
		if err != nil {
			return nil, fmt.Errorf("service %s: %w", s.Code, err)
		}
		out = append(out, ServiceChance{s.Code, c})
	}
	return out, nil
}

// planned reports whether any job of a service is left.
func (r readying) planned(service string) bool {
	for _, round := range r.h.Rounds {
		for _, l := range r.o.left[round.Code] {
			if l.Service == service {
				return true
			}
		}
	}
	return false
}
