package load

import (
	"math"

	"github.com/shopspring/decimal"

	"roundkit/planner/load/solve"
)

// tooBig says that a limit is too low for what is used of a part for certain.
type tooBig struct {
	part int
	what string
}

func (b *tooBig) Error() string { return "limit too low for what is used for certain" }

// heaviest returns what takes most of a row beyond what must be carried, nil for nothing.
func (p *packing) heaviest(r limit) *tooBig {
	at, most := -1, decimal.Zero
	for i, s := range p.parts {
		total := decimal.Zero
		for _, c := range s.can[min(s.must, s.take):s.take] {
			total = total.Add(r.of(c))
		}
		if total.GreaterThan(most) && !s.left {
			at, most = i, total
		}
	}
	if at < 0 {
		return nil
	}
	return &tooBig{part: at, what: r.what}
}

// beyondReach looks for a part that the limits keep below its confidence even if all
// others were packed at the least, the one that is farthest from it: it is left out of
// what is weighed, as one that the stock keeps there, and packed as far as the rest goes.
func (p *packing) beyondReach(prob solve.Problem, loads [][]option, rows []limit, v view) *tooBig {
	_, use := prob.Total(prob.Start)
	at, farthest := -1, math.Inf(1)
	which := 0
	for k, list := range loads {
		for _, i := range partsOf(list) {
			s := p.parts[i]
			if s.line.AtConfidence <= s.have(s.must) || p.top(s) < s.enough(s.line.AtConfidence) {
				continue // there already, or for the stock to say
			}
			reach, row := -1.0, 0
			for _, o := range list {
				over := -1
				for j := range rows {
					if use[j]-list[prob.Start[k]].row[j]+o.row[j] > prob.Limit[j]+solve.Slack {
						over = j
					}
				}
				take := takeOf(o, i)
				if over >= 0 {
					row = over
					continue
				}
				reach = max(reach, v.need[i].Cover(s.have(take)))
			}
			if reach < p.res.Confidence-1e-12 && reach < farthest {
				at, farthest, which = i, reach, row
			}
		}
	}
	if at < 0 {
		return nil
	}
	// Where all are kept low by one heavy part it is that part that must stay.
	if farthest < 0 {
		if heavy := heaviestOf(prob, loads, which); heavy >= 0 {
			at = heavy
		}
	}
	return &tooBig{part: at, what: rows[which].what}
}

// top is the most containers of a part that are weighed.
func (p *packing) top(s supply) int {
	if s.capped {
		return max(s.must, s.top)
	}
	return len(s.can)
}

// heaviestOf returns the part whose least load takes most of a row, -1 for none.
func heaviestOf(prob solve.Problem, loads [][]option, row int) int {
	at, most := -1, 0.0
	for k, o := range prob.Start {
		if u := loads[k][o].row[row]; u > most {
			most, at = u, -1
			take := -1
			for _, m := range loads[k][o].more {
				if m.take > take {
					at, take = m.part, m.take
				}
			}
		}
	}
	return at
}

// partsOf lists the parts that a block's options choose.
func partsOf(list []option) []int {
	var out []int
	for _, m := range list[0].more {
		out = append(out, m.part)
	}
	return out
}

func takeOf(o option, part int) int {
	for _, m := range o.more {
		if m.part == part {
			return m.take
		}
	}
	return 0
}
