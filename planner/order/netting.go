package order

import "fmt"

// A NettingProblem is the plain netting of needs, period by period: whole numbers of any
// one unit.
type NettingProblem struct {
	OnHand   int
	Needs    []int
	Receipts []int // of orders already placed, a period; nil: none
	Lead     int   // periods from release to receipt
	Pack     int   // 1 or more
	Minimum  int
}

// NettingPlan is what netting gives, a period each.
type NettingPlan struct {
	Net     []int // short before ordering
	Receive []int // planned
	Stock   []int // at the end
	Release []int // the receipts, Lead periods earlier
	Late    int   // of receipts whose release would be before the first period
}

// Net sets needs against stock and receipts and plans what is missing, in whole packs
// and not less than the minimum. Source: common practice.
func Net(p NettingProblem) (NettingPlan, error) {
	n := len(p.Needs)
	switch {
	case p.Receipts != nil && len(p.Receipts) != n:
		return NettingPlan{}, fmt.Errorf("receipts: found %d periods, expected %d, one for each of the needs", len(p.Receipts), n)
	case p.Pack < 1 || p.OnHand < 0 || p.Lead < 0 || p.Minimum < 0:
		return NettingPlan{}, fmt.Errorf("found on hand %d, lead %d, pack %d, minimum %d, expected a pack of 1 or more and none below 0", p.OnHand, p.Lead, p.Pack, p.Minimum)
	}
	out := NettingPlan{Net: make([]int, n), Receive: make([]int, n), Stock: make([]int, n), Release: make([]int, n)}
	stock := p.OnHand
	for t, need := range p.Needs {
		if p.Receipts != nil {
			stock += p.Receipts[t]
		}
		if net := need - stock; net > 0 {
			out.Net[t] = net
			out.Receive[t] = (max(net, p.Minimum) + p.Pack - 1) / p.Pack * p.Pack
		}
		stock += out.Receive[t] - need
		out.Stock[t] = stock
		if t >= p.Lead {
			out.Release[t-p.Lead] = out.Receive[t]
		} else {
			out.Late += out.Receive[t]
		}
	}
	return out, nil
}

// Demand is a need that comes once, in whole units.
type Demand interface {
	Mean() float64
	Loss(have int) float64  // expected shortage
	Quantile(q float64) int // the smallest that is enough with a chance of q
}

// Newsvendor returns how much to have for a need that comes once, where a unit short
// costs underage and a unit over costs overage: the smallest quantity whose chance of
// being enough reaches underage / (underage + overage). Source: the newsvendor model,
// e.g. Snyder and Shen, Fundamentals of Supply Chain Theory, 2019, chapter 4.
func Newsvendor(d Demand, underage, overage float64) (int, error) {
	if !(underage >= 0 && overage > 0) {
		return 0, fmt.Errorf("found underage %v and overage %v, expected 0 or more and above 0", underage, overage)
	}
	if underage == 0 {
		return 0, nil
	}
	return d.Quantile(underage / (underage + overage)), nil
}

// NewsvendorCost is what a quantity costs on average: underage of what is short and
// overage of what is over.
func NewsvendorCost(d Demand, underage, overage float64, quantity int) float64 {
	short := d.Loss(quantity)
	return underage*short + overage*(float64(quantity)-d.Mean()+short)
}
