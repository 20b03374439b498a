package load

import (
	"context"
	"math"
	"os"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/testdata/season"
)

// packedFor packs a trip of the invented season and hands back the packing too.
func packedFor(t testing.TB, on day.Day, opts Options) (*packing, *Result) {
	t.Helper()
	s, err := season.Load(os.DirFS("../../testdata/demo"), on)
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	opts.Draws = -1
	p, err := newPacking(t.Context(), o, opts)
	require.NoError(t, err)
	var end context.CancelFunc
	p.soft, end = soonOf(t.Context(), opts.Seconds)
	defer end()
	p.soon = p.soft
	require.NoError(t, p.pack())
	r, err := p.result()
	require.NoError(t, err)
	return p, r
}

func kg(text string) planner.Decimal {
	d := decimal.RequireFromString(text)
	return &d
}

// Limits hold for the gross mass, the bound is above the product, and a higher limit is
// never worse: by definition.
func TestLimitsHold(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		trip   string
		on     day.Day
		limits []string
	}{
		{"TR-PEL", day.Of(2027, 2, 25), []string{"18", "20", "22", "25", "30"}},
		{"TR-TES", day.Of(2027, 7, 20), []string{"19", "23", "27"}},
		{"TR-ALP", day.Of(2027, 5, 31), []string{"50", "53", "56", "60", "70"}},
	} {
		last := 0.0
		for _, limit := range c.limits {
			_, r := packedFor(t, c.on, Options{Trip: c.trip, LimitKG: kg(limit), Best: true})
			require.True(t, r.Gross.Shift(-3).LessThanOrEqual(decimal.RequireFromString(limit)), "%s %s: %s g", c.trip, limit, r.Gross)
			f, all := r.Readiness.ProductWithoutShort, r.Readiness.Product
			require.GreaterOrEqual(t, r.Bound, f-1e-12)
			require.InDelta(t, r.Bound-f, r.Gap, 1e-15)
			// of all parts: which are short, and left out of the other, may differ
			require.GreaterOrEqual(t, all, last-1e-9, "%s %s", c.trip, limit)
			require.Less(t, r.Gap, 1e-9, "%s %s", c.trip, limit)
			last = all
		}
	}
}

// The best load within a limit goes beyond the confidence; the load part by part does not.
func TestLimitAloneGoesBeyondTheConfidence(t *testing.T) {
	t.Parallel()
	_, usual := packedFor(t, day.Of(2027, 5, 31), Options{Trip: "TR-ALP", Confidence: 0.95})
	_, most := packedFor(t, day.Of(2027, 5, 31), Options{Trip: "TR-ALP", LimitKG: kg("900"), Best: true})
	_, both := packedFor(t, day.Of(2027, 5, 31), Options{Trip: "TR-ALP", LimitKG: kg("900"), Confidence: 0.95})
	require.Greater(t, most.Readiness.ProductWithoutShort, 0.8)
	require.Less(t, usual.Readiness.ProductWithoutShort, 0.7)
	require.Equal(t, usual.Readiness, both.Readiness, "a confidence gives the lightest load that reaches it")
}

// A limit caps the usual load: where that fits it is that very load, below it the best there
// is, and more kilos never make it less ready.
func TestALimitCapsTheUsualLoad(t *testing.T) {
	t.Parallel()
	_, free := packedFor(t, beforePelm, Options{Trip: "TR-PEL", LimitKG: kg("999")})
	require.Equal(t, ForReadiness, free.Asked.For)
	require.GreaterOrEqual(t, free.Asked.Reached, UsualReadiness)
	last := 0.0
	for _, limit := range []string{"22", "24", free.Gross.Shift(-3).String(), "40"} {
		_, r := packedFor(t, beforePelm, Options{Trip: "TR-PEL", LimitKG: kg(limit)})
		require.GreaterOrEqual(t, r.Asked.Product, last-1e-9, limit)
		last = r.Asked.Product
		fits := decimal.RequireFromString(limit).Shift(3).GreaterThanOrEqual(free.Gross)
		if fits {
			require.Equal(t, ForReadiness, r.Asked.For, limit)
			require.Equal(t, free.Lines, r.Lines, limit)
		}
	}
}

// The readiness stated for the first to leave and for the next to add is that of the load
// without it, or with it: reckoned anew from the quantities.
func TestStepsAreExact(t *testing.T) {
	t.Parallel()
	for _, limit := range []planner.Decimal{nil, kg("54")} {
		p, r := packedFor(t, day.Of(2027, 5, 31), Options{Trip: "TR-ALP", LimitKG: limit, Best: limit != nil})
		_, out := p.short()
		require.NotNil(t, r.FirstToLeave)
		i := p.at[r.FirstToLeave.Part.Code]
		have := p.haves()
		have[i] -= p.parts[i].kinds[0].quantity
		require.Len(t, p.parts[i].kinds, 1)
		require.InDelta(t, r.FirstToLeave.Readiness, p.product(p.mixed(), have, out), 1e-12)
		require.NotNil(t, r.NextToAdd)
		i = p.at[r.NextToAdd.Part.Code]
		have = p.haves()
		have[i] += p.parts[i].kinds[0].quantity * units.Quantity(r.NextToAdd.Containers)
		require.Len(t, p.parts[i].kinds, 1)
		require.InDelta(t, r.NextToAdd.Readiness, p.product(p.mixed(), have, out), 1e-12)
	}
}

// The best load at one kilo less is never worse than the old one with single containers
// taken out, what costs least a kilo first, until a kilo is off.
func TestOneKiloLess(t *testing.T) {
	t.Parallel()
	for _, limit := range []string{"60", "57", "55"} {
		p, r := packedFor(t, day.Of(2027, 5, 31), Options{Trip: "TR-ALP", LimitKG: kg(limit), Best: true})
		less := r.Gross.Shift(-3).Sub(decimal.NewFromInt(1))
		gross, have, v, none := r.Gross, p.haves(), p.mixed(), make([]bool, len(p.parts))
		for gross.Shift(-3).GreaterThan(less) {
			at, least, was := -1, math.Inf(1), p.product(v, have, none)
			for i := range p.parts {
				s := &p.parts[i]
				if len(s.kinds) == 0 || s.kinds[0].kg == 0 || have[i]-s.kinds[0].quantity < s.have(0) {
					continue
				}
				have[i] -= s.kinds[0].quantity
				if cost := (was - p.product(v, have, none)) / s.kinds[0].kg; cost < least {
					at, least = i, cost
				}
				have[i] += s.kinds[0].quantity
			}
			require.GreaterOrEqual(t, at, 0)
			have[at] -= p.parts[at].kinds[0].quantity
			gross = gross.Sub(p.parts[at].kinds[0].grams)
		}
		_, best := packedFor(t, day.Of(2027, 5, 31), Options{Trip: "TR-ALP", LimitKG: &less, Best: true})
		require.GreaterOrEqual(t, best.Readiness.Product, p.product(v, have, none)-1e-9, "limit %s", limit)
	}
}

// The lightest load that reaches a readiness: the joint chance reaches it, and no load a gram
// lighter has the product that was asked of it (the best load at that limit). More than there
// is is refused with the nearest; what is used for certain and cannot be had is named.
func TestLightestForAReadiness(t *testing.T) {
	t.Parallel()
	for _, want := range []float64{0.5, 0.85} {
		_, r := packedFor(t, day.Of(2027, 2, 25), Options{Trip: "TR-PEL", Readiness: want, LimitKG: kg("60")})
		require.GreaterOrEqual(t, r.Asked.Reached, want-1e-12)
		require.InDelta(t, r.Readiness.WithinWeather, r.Asked.Reached, 1e-12)
		require.InDelta(t, r.Gross.InexactFloat64()/1000, r.Asked.Least.Amount, 1e-9)
		require.InDelta(t, r.Asked.Least.Amount, r.Asked.Least.Bound, 1e-6)
		free := decimal.Zero // what is packed to its confidence and weighs no chance
		for _, l := range r.Lines {
			if l.Part.Code == "FRG-40" {
				free = free.Add(l.Grams)
			}
		}
		limit := r.Gross.Sub(free).Sub(decimal.NewFromInt(1)).Shift(-3)
		_, less := packedFor(t, day.Of(2027, 2, 25), Options{Trip: "TR-PEL", LimitKG: &limit, Best: true})
		require.Less(t, less.Readiness.Product, r.Asked.Least.Product, "%v", want)
	}
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 5, 31))
	require.NoError(t, err)
	o, err := forecast.New(s)
	require.NoError(t, err)
	_, err = Plan(t.Context(), o, Options{Trip: "TR-ALP", Readiness: 0.5})
	require.ErrorIs(t, err, ErrReadiness)
	require.ErrorContains(t, err, "found at most 0.06", "SPF-102, 1 of 2")
}

// A limit that not even the certain use fits under: the heaviest of it stays and is said
// to be short for kilos; the rest is packed.
func TestTooLowALimitStillPacks(t *testing.T) {
	t.Parallel()
	_, r := packedFor(t, day.Of(2027, 2, 25), Options{Trip: "TR-PEL", LimitKG: kg("14")})
	require.True(t, r.Gross.LessThanOrEqual(decimal.NewFromInt(14_000)))
	require.NotEmpty(t, r.Lines)
	var why []string
	for _, s := range r.Short {
		if s.Part.Code == "DGR-5L" {
			why = append(why, s.Why)
		}
	}
	require.Equal(t, []string{WhyKilos}, why)
}

// Money is what comes from orders on their way: a limit of nothing leaves them out. An
// order is in time only with the handling days before pack day (the scenario: one).
func TestOrdersInTimeAndMoney(t *testing.T) {
	t.Parallel()
	load := func(due day.Day, spend planner.Decimal) *Result {
		s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 5, 31))
		require.NoError(t, err)
		for i := range s.Orders {
			if s.Orders[i].Code == "PO-012" {
				s.Orders[i].DueOn = &due
			}
		}
		o, err := forecast.New(s)
		require.NoError(t, err)
		r, err := Plan(t.Context(), o, Options{Trip: "TR-ALP", LimitSpend: spend, Confidence: 0.95, Draws: -1})
		require.NoError(t, err)
		return r
	}
	ordered := func(r *Result) (out []string) {
		for _, l := range r.Lines {
			if l.Order != "" {
				out = append(out, l.Order+" "+l.Part.Code)
			}
		}
		return out
	}
	// packed on 06-01: due on 05-31 and a day to handle is in time, a day later is not
	r := load(day.Of(2027, 5, 31), nil)
	require.Equal(t, []string{"PO-012 SPF-102"}, ordered(r))
	require.True(t, r.Spend.Amount.IsPositive())
	require.Equal(t, "EUR", r.Spend.Currency)
	require.Empty(t, ordered(load(day.Of(2027, 6, 1), nil)))
	none := load(day.Of(2027, 5, 31), kg("0"))
	require.Empty(t, ordered(none))
	require.True(t, none.Spend.Amount.IsZero())
}

// What one more kilo would bring is what the best load with one more kilo has, and no less
// than now.
func TestOneKiloMore(t *testing.T) {
	t.Parallel()
	for _, limit := range []string{"56", "57"} {
		now, err := changed(t, beforeAlps, Options{Trip: "TR-ALP", LimitKG: kg(limit), Best: true}, same)
		require.NoError(t, err)
		// the kilos come first, the trip's own litres do not bind
		require.False(t, now.Limits[1].Binds)
		require.True(t, now.Limits[0].Binds)
		require.Equal(t, WhyKilos, now.Limits[0].What)
		more := now.Limits[0].Most.Add(decimal.NewFromInt(1))
		then, err := changed(t, beforeAlps, Options{Trip: "TR-ALP", LimitKG: &more, Best: true}, same)
		require.NoError(t, err)
		require.InDelta(t, then.Readiness.ProductWithoutShort, now.Limits[0].OneMore, 1e-9, limit)
		require.Greater(t, now.Limits[0].OneMore, now.Readiness.ProductWithoutShort)
	}
}
