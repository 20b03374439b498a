package forecast

import (
	"cmp"
	"math"
	"slices"

	"roundkit/planner"
	"roundkit/planner/units"
)

// StandIn is what may stand in for a part, and how much of it is on hand: an
// alternative, or a spring whose measured rate is near enough.
type StandIn struct {
	Part       string
	Unit       units.Unit
	OnHand     units.Quantity
	Tag        string  // of a spring
	OffPercent float64 // of a spring: its measured rate against the one wanted
}

// nearRate is the tolerance of a season that gives none, in percent.
const nearRate = 2

// standIns returns what may stand in for a part: its alternatives, first choice
// first, then the springs of other rates of the same model in scope whose measured
// rate is within the team's tolerance of the rate wanted, nearest first.
func (a asked) standIns(p planner.Part) []StandIn {
	var out []StandIn
	for _, code := range a.o.alternatives(p.Code) {
		out = append(out, StandIn{Part: code, Unit: a.o.parts[code].Unit, OnHand: a.onHand[code]})
	}
	want, isSpring := a.o.springs[p.Code]
	if !isSpring {
		return out
	}
	tolerance := float64(nearRate)
	if len(a.o.Snapshot.Season) > 0 {
		tolerance = float(a.o.Snapshot.Season[0].SpringTolerancePercent, nearRate)
	}
	rate, ok := nPerMM(want)
	if !ok {
		return out
	}
	var near []StandIn
	for _, h := range a.o.Snapshot.Stock {
		other, isSpring := a.o.springs[h.Part]
		tag, tagged := a.o.tags[h.Tag]
		if !isSpring || !tagged || tag.MeasuredRateNPerMM == nil || h.Part == p.Code || other.Model != want.Model || !a.counts(h) {
			continue
		}
		off := (tag.MeasuredRateNPerMM.InexactFloat64()/rate - 1) * 100
		if math.Abs(off) <= tolerance {
			near = append(near, StandIn{Part: h.Part, Unit: p.Unit, OnHand: h.Quantity, Tag: h.Tag, OffPercent: off})
		}
	}
	slices.SortStableFunc(near, func(x, y StandIn) int { return cmp.Compare(math.Abs(x.OffPercent), math.Abs(y.OffPercent)) })
	return append(out, near...)
}

// nPerMM returns the rate of a spring as ordered, in N/mm.
func nPerMM(s planner.Spring) (float64, bool) {
	r, err := units.ParseRate(s.Rate.String() + " " + s.RateUnit)
	if err != nil {
		return 0, false
	}
	f, _ := r.NPerMM().Float64()
	return f, f > 0
}

// alternatives returns the codes of a part's alternatives, first choice first.
func (o *Outlook) alternatives(code string) []string {
	var rows []planner.Alternative
	for _, a := range o.Snapshot.Alternatives {
		if _, known := o.parts[a.Alternative]; a.Part == code && known {
			rows = append(rows, a)
		}
	}
	slices.SortStableFunc(rows, func(a, b planner.Alternative) int { return cmp.Compare(rank(a), rank(b)) })
	codes := make([]string, len(rows))
	for i, a := range rows {
		codes[i] = a.Alternative
	}
	return codes
}

// rank is a preference; one left blank comes last.
func rank(a planner.Alternative) int {
	if a.Preference == nil {
		return math.MaxInt
	}
	return *a.Preference
}
