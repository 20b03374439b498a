package check

import (
	"errors"
	"fmt"
	"math"

	"roundkit/planner/order"
)

// maxPeriods is the longest horizon of an order calculation.
const maxPeriods = 366

// lotFields are the inputs of a lot size; end and storage_life only where a part stands
// alone.
func lotFields(alone bool) []Field {
	in := []Field{
		need("demand", "list of 1 to 366 whole numbers, 0 to 1e6"),
		need("order_cost", "0 or more, or a list of one a period"), need("holding", "of a unit at the end of a period: 0 or more, or a list of one a period"),
		may("price", "of a unit: 0 or more, or a list of one a period (0)"), may("start", "whole, on hand before (0)"),
	}
	if alone {
		in = append(in, may("end", "whole, at least so much is left (0)"))
	}
	in = append(in,
		may("pack", "whole, 1 or more (1)"), may("minimum", "whole, units of an order at least (0)"),
		may("breaks", "list of {from: whole, 1 or more, rising; price: 0 or more}, only with one price"),
		may("break_kind", "all-units (the price of the last break reached holds for the order) or incremental (for the units from there on); all-units"),
	)
	if alone {
		in = append(in, may("storage_life", "whole: for how many more periods a unit may be kept"))
	}
	return in
}

func orderCalcs() []Calc {
	return []Calc{
		{
			Name: "newsvendor", About: "how much to have for a need that comes once",
			In:  []Field{need("demand", "distribution"), need("underage", "cost of a unit short, 0 or more"), need("overage", "cost of a unit over, above 0"), may("x", "list of whole numbers, 0 or more")},
			Out: []Field{need("quantity", "smallest with cdf of at least underage / (underage + overage) - 1e-12"), need("cost", "at it, on average"), may("cost_at", "at each x")},
			run: runNewsvendor,
		},
		{
			Name: "lot-size", About: "when to order how much of one part: the least of orders, goods and holding",
			In:  lotFields(true),
			Out: []Field{need("cost", "of the best plan"), need("orders", "a period; where several are best, one of them")},
			run: runLotSize,
		},
		{
			Name: "joint-order", About: "the same for parts of one supplier that share a shipping charge",
			In: []Field{need("shipping", "paid in each period with an order, 0 or more"), may("free_from", "goods of a period from which it is free, 0 or more"),
				need("parts", "list of at least one, each with the inputs of lot-size but end and storage_life, over the same periods")},
			Out: []Field{need("cost", "of the best plan"), need("orders", "a part, a period; where several are best, one of them")},
			run: runJointOrder,
		},
		{
			Name: "netting", About: "what is short, period by period, and when it must be released",
			In: []Field{need("on_hand", "whole"), need("needs", "list of whole numbers"), need("lead", "whole, periods"),
				may("receipts", "list of whole numbers, one a period"), may("pack", "whole, 1 or more (1)"), may("minimum", "whole (0)")},
			Out: []Field{need("net", "short before ordering"), need("receive", "planned: whole packs, at least the minimum"), need("stock", "at the end"),
				need("release", "the receipts, lead periods earlier"), need("late", "of receipts whose release would be before the first period")},
			run: runNetting,
		},
	}
}

func runNewsvendor(in *input) (output, error) {
	build, underage, overage := in.distribution("demand", 0), in.number("underage", amount), in.number("overage", above)
	x := in.countsOr("x", count)
	if err := in.ready(); err != nil {
		return nil, err
	}
	var d law = build.far
	if d == nil {
		made, err := build.make(in.budget)
		if err != nil {
			return nil, err
		}
		if err := in.budget.spend("x", float64(1+len(x))*float64(len(made.P))); err != nil {
			return nil, err
		}
		d = made
	}
	quantity, err := order.Newsvendor(d, underage, overage)
	if err != nil {
		return nil, err
	}
	at := func(quantity int) float64 { return order.NewsvendorCost(d, underage, overage, quantity) }
	out := output{"quantity": quantity, "cost": at(quantity)}
	if x != nil {
		costs := floats(x)
		for i := range x {
			costs[i] = at(x[i])
		}
		out["cost_at"] = costs
	}
	return out, nil
}

func runLotSize(in *input) (output, error) {
	p := in.lot(true)
	if err := in.ready(); err != nil {
		return nil, err
	}
	s := order.LotSolver{MostWork: in.budget.orderSteps()}
	var plan order.LotPlan
	if err := s.Solve(&p, &plan); err != nil {
		return nil, lotError(p, err)
	}
	return output{"cost": plan.Cost, "orders": plan.Orders}, nil
}

// orderSteps is what is left of a budget in steps of the order search, each of some ten
// multiplications.
func (b *budget) orderSteps() int { return max(1, int((b.limit-b.spent)/12)) }

// lotError words why there is no plan.
func lotError(p order.LotProblem, err error) error {
	switch {
	case errors.Is(err, order.ErrTooMuch):
		return fmt.Errorf("demand: found more than can be tried with these breaks and packs, expected fewer or smaller periods")
	case errors.Is(err, order.ErrNoPlan) && p.Expires:
		return fmt.Errorf("storage_life: found %d with packs of %d and a minimum of %d, expected one that some plan can keep", p.Life, p.Pack, p.Minimum)
	}
	return err
}

func runJointOrder(in *input) (output, error) {
	p := order.JointProblem{Shipping: in.number("shipping", amount)}
	if in.has("free_from") {
		from := in.number("free_from", amount)
		p.FreeFrom = &from
	}
	for _, part := range in.insides("parts") {
		one := part.lot(false)
		part.close()
		p.Parts = append(p.Parts, one)
		part.sameLength("demand", len(one.Demand), len(p.Parts[0].Demand), "the first part's")
	}
	if n, ok := in.node.get("parts"); ok && n.kind == list && len(n.list) == 0 {
		in.refuse("parts", "an empty list", "at least one part")
	}
	if err := in.ready(); err != nil {
		return nil, err
	}
	p.MostWork = in.budget.orderSteps()
	plan, err := order.Joint(&p)
	switch {
	case errors.Is(err, order.ErrTooMuch):
		return nil, fmt.Errorf("parts: found more than can be tried, expected fewer or smaller parts and periods")
	case err != nil:
		return nil, err
	case plan.Cost-plan.Bound > 1e-9*max(1, math.Abs(plan.Cost)):
		return nil, fmt.Errorf("parts: found a plan of cost %v and a proof of no less than %v within the time, expected fewer or smaller parts and periods", plan.Cost, plan.Bound)
	}
	return output{"cost": plan.Cost, "orders": plan.Orders}, nil
}

func runNetting(in *input) (output, error) {
	p := order.NettingProblem{
		OnHand: in.count("on_hand", count), Needs: in.counts("needs", count), Lead: in.count("lead", count),
		Receipts: in.countsOr("receipts", count), Pack: in.countOr("pack", from(1, 1e6), 1), Minimum: in.countOr("minimum", count, 0),
	}
	if p.Receipts != nil {
		in.sameLength("receipts", len(p.Receipts), len(p.Needs), "needs")
	}
	if err := in.ready(); err != nil {
		return nil, err
	}
	plan, err := order.Net(p)
	if err != nil {
		return nil, err
	}
	return output{"net": plan.Net, "receive": plan.Receive, "stock": plan.Stock, "release": plan.Release, "late": plan.Late}, nil
}

// lot reads a lot-size problem.
func (in *input) lot(alone bool) order.LotProblem {
	p := order.LotProblem{Demand: in.counts("demand", count), Pack: in.countOr("pack", from(1, 1e6), 1), Minimum: in.countOr("minimum", count, 0), Start: in.countOr("start", count, 0)}
	n := len(p.Demand)
	if d, ok := in.node.get("demand"); ok && d.kind == list && (n < 1 || n > maxPeriods) {
		in.refuse("demand", fmt.Sprintf("a list of %d", n), "1 to 366 periods")
	}
	p.OrderCost, _ = in.perPeriod("order_cost", n)
	p.Holding, _ = in.perPeriod("holding", n)
	one := true
	if in.has("price") {
		p.Price, one = in.perPeriod("price", n)
	} else {
		p.Price = make([]float64, n)
	}
	if alone {
		p.End = in.countOr("end", count, 0)
		if in.has("storage_life") {
			p.Expires, p.Life = true, in.count("storage_life", count)
		}
	}
	if in.has("breaks") {
		p.Breaks = in.lotBreaks()
		if !one {
			in.refuse("breaks", "them with a price for each period", "one price")
		}
	}
	if in.has("break_kind") {
		p.Incremental = in.oneOf("break_kind", "all-units", "incremental") == "incremental"
	}
	return p
}

func (in *input) lotBreaks() []order.LotBreak {
	var out []order.LotBreak
	before := 0
	for i, b := range in.insides("breaks") {
		one := order.LotBreak{From: b.count("from", from(1, 1e6)), Price: b.number("price", amount)}
		b.close()
		if one.From <= before {
			in.refuse(fmt.Sprintf("breaks[%d].from", i), fmt.Sprint(one.From), fmt.Sprintf("more than %d: breaks rise", before))
		}
		before = one.From
		out = append(out, one)
	}
	return out
}

// perPeriod reads a number for all periods, or a list of one for each; one is false for a
// list.
func (in *input) perPeriod(name string, periods int) (all []float64, one bool) {
	if n, ok := in.node.get(name); ok && n.kind == list {
		all = in.numbers(name, amount)
		in.sameLength(name, len(all), periods, "demand")
		return all, false
	}
	x := in.number(name, amount)
	all = make([]float64, periods)
	for t := range all {
		all[t] = x
	}
	return all, true
}
