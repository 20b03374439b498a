package load

import (
	"os"
	"strings"
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/units"
	"roundkit/testdata/season"
)

// changed packs a trip of the invented season after a change of its rows.
func changed(t *testing.T, on day.Day, opts Options, change func(s *planner.Snapshot)) (*Result, error) {
	t.Helper()
	s, err := season.Load(os.DirFS("../../testdata/demo"), on)
	require.NoError(t, err)
	change(s)
	o, err := forecast.New(s)
	require.NoError(t, err)
	opts.Draws = -1
	return Plan(t.Context(), o, opts)
}

func same(*planner.Snapshot) {}

func quantityOf(r *Result, part string) (q units.Quantity) {
	for _, l := range r.Lines {
		if l.Part.Code == part {
			q += l.Quantity
		}
	}
	return q
}

var (
	beforeAlps = day.Of(2027, 5, 31)
	beforePelm = day.Of(2027, 2, 25)
)

// What must be carried is, also beyond the confidence and under a limit; what must stay
// stays, and is said to be short by wish. The usual loads are the scenario's answer 12.
func TestMarks(t *testing.T) {
	t.Parallel()
	usual, err := changed(t, beforePelm, Options{Trip: "TR-PEL"}, same)
	require.NoError(t, err)
	require.Equal(t, units.Quantity(28), quantityOf(usual, "CRW-10"))
	for _, limit := range []planner.Decimal{nil, kg("20")} {
		r, err := changed(t, beforePelm, Options{Trip: "TR-PEL", Carry: map[string]string{"CRW-10": "40", "OIL-B68": "1 l"}, Leave: []string{"WIP-40"}, LimitKG: limit}, same)
		require.NoError(t, err)
		require.GreaterOrEqual(t, quantityOf(r, "CRW-10"), units.Quantity(40))
		require.GreaterOrEqual(t, quantityOf(r, "OIL-B68"), units.Quantity(1_000_000))
		require.Zero(t, quantityOf(r, "WIP-40"))
		found := false
		for _, s := range r.Short {
			if s.Part.Code == "WIP-40" {
				found = true
				require.Equal(t, WhyLeft, s.Why)
			}
		}
		require.True(t, found)
		require.Positive(t, r.Readiness.ProductWithoutShort, "what stays does not spoil the rest")
		require.Less(t, r.Readiness.Product, r.Readiness.ProductWithoutShort)
	}
}

// All faults of the marks come together, each with what can be had.
func TestMarksThatCannotBeKept(t *testing.T) {
	t.Parallel()
	_, err := changed(t, beforePelm, Options{Trip: "TR-PEL", Leave: []string{"AXL-20", "WIP-04"},
		Carry: map[string]string{"AXL-20": "1", "N2-5L": "1", "CRW-10": "100000", "OIL-B68": "2 kg"}}, same)
	require.ErrorIs(t, err, ErrMarks)
	for _, want := range []string{"no part WIP-04; did you mean WIP-40?", "AXL-20: found it both to carry and to leave",
		"carry N2-5L: it never goes by air and the trip does: hire it there", "carry CRW-10: found at most", "carry OIL-B68"} {
		require.ErrorContains(t, err, want)
	}
}

// A limit below what must be carried says what that is and the least limit that can be
// met.
func TestLimitBelowTheMust(t *testing.T) {
	t.Parallel()
	ask := Options{Trip: "TR-PEL", Carry: map[string]string{"OIL-B68": "2 l"}, LimitKG: kg("1")}
	_, err := changed(t, beforePelm, ask, same)
	require.ErrorIs(t, err, ErrMust)
	ask.LimitKG = nil
	r, free := changed(t, beforePelm, ask, same)
	require.NoError(t, free)
	grams := decimal.Zero
	for _, l := range r.Lines {
		if l.Part.Code == "OIL-B68" {
			grams = grams.Add(l.Grams)
		}
	}
	kilos := grams.Shift(-3).Round(3).String()
	require.ErrorContains(t, err, "OIL-B68 "+kilos+" kg", "as the list weighs it")
	require.ErrorContains(t, err, "the least limit that can be met is "+kilos+" kg")
}

// Without any stock and orders everything is short, and it is said in one line.
func TestNothingAvailable(t *testing.T) {
	t.Parallel()
	r, err := changed(t, beforePelm, Options{Trip: "TR-PEL"}, func(s *planner.Snapshot) { s.Stock, s.Orders = nil, nil })
	require.NoError(t, err)
	require.Empty(t, r.Lines)
	require.NotEmpty(t, r.Short)
	require.Zero(t, r.Readiness.Product)
	require.Contains(t, r.Notes, "nothing can be had by 2027-02-26: no stock at home is good to the trip's end and free, and no order is due in time")
}

// A part heavier than every case stays at home, is short for it, and the rest is packed.
func TestHeavierThanEveryCase(t *testing.T) {
	t.Parallel()
	heavy := units.Milligrams(40_000_000)
	r, err := changed(t, beforePelm, Options{Trip: "TR-PEL"}, func(s *planner.Snapshot) {
		for i := range s.Parts {
			if s.Parts[i].Code == "LWR-40" {
				s.Parts[i].MassMG = &heavy
			}
		}
	})
	require.NoError(t, err)
	require.Zero(t, quantityOf(r, "LWR-40"))
	require.NotEmpty(t, r.Lines)
	for _, s := range r.Short {
		if s.Part.Code == "LWR-40" {
			require.Contains(t, s.Remedy, "fits no case")
			require.Contains(t, s.Remedy, "send it as freight")
			return
		}
	}
	t.Fatal("LWR-40 is not among the short ones")
}

// A gas bottle without a UN number is not taken for harmless, and a short oil without a
// viscosity says that nothing can be blended for it.
func TestUnknownFactsAreSaid(t *testing.T) {
	t.Parallel()
	r, err := changed(t, beforeAlps, Options{Trip: "TR-ALP"}, func(s *planner.Snapshot) {
		for i := range s.Parts {
			if s.Parts[i].Kind == "cleaner" || s.Parts[i].Kind == "gas" {
				s.Parts[i].UNNumber = ""
			}
		}
		for i := range s.Liquids {
			s.Liquids[i].CSt40 = nil
		}
		kept := s.Stock[:0]
		for _, h := range s.Stock {
			if h.Part != "OIL-B68" {
				kept = append(kept, h)
			}
		}
		s.Stock = kept
	})
	require.NoError(t, err)
	all := ""
	for _, n := range r.Notes {
		all += n + "\n"
	}
	require.Contains(t, all, "no UN number known, which does not make it harmless")
	require.Contains(t, all, "OIL-B68: no viscosity at 40 C is known")
}

// Stock that expires on the trip's last day is good, a day earlier it is not packed.
func TestStockMustLastTheTrip(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		days int
		want bool
	}{{0, true}, {-1, false}} {
		r, err := changed(t, beforePelm, Options{Trip: "TR-PEL"}, func(s *planner.Snapshot) {
			last := day.Of(1, 1, 1)
			for _, x := range s.Rounds {
				if x.Trip == "TR-PEL" {
					last = max(last, x.LastOn)
				}
			}
			for i := range s.Lots {
				if s.Lots[i].Part == "CRW-10" {
					d := last + day.Day(c.days)
					s.Lots[i].ExpiresOn = &d
				}
			}
		})
		require.NoError(t, err)
		require.Equal(t, c.want, quantityOf(r, "CRW-10") > 0, "%d days", c.days)
	}
}

// The least money: with a readiness asked for, no load of less money reaches it. One order
// on its way brings SPF-102; without it the readiness is lower, so it is bought only where
// it must be.
func TestLeastMoney(t *testing.T) {
	t.Parallel()
	due := day.Of(2027, 5, 30)
	in := func(s *planner.Snapshot) {
		for i := range s.Orders {
			if s.Orders[i].Code == "PO-012" {
				s.Orders[i].DueOn = &due
			}
		}
	}
	light, err := changed(t, beforeAlps, Options{Trip: "TR-ALP", Readiness: 0.5, Least: WhyKilos}, in)
	require.NoError(t, err)
	cheap, err := changed(t, beforeAlps, Options{Trip: "TR-ALP", Readiness: 0.5, Least: WhyMoney}, in)
	require.NoError(t, err)
	require.GreaterOrEqual(t, cheap.Asked.Reached, 0.5-1e-9)
	require.True(t, cheap.Spend.Amount.LessThanOrEqual(light.Spend.Amount))
	require.True(t, light.Gross.LessThanOrEqual(cheap.Gross))
	require.True(t, cheap.Spend.Amount.IsPositive())
	less := cheap.Spend.Amount.Sub(decimal.New(1, -2))
	_, err = changed(t, beforeAlps, Options{Trip: "TR-ALP", Readiness: 0.5, LimitSpend: &less}, in)
	require.ErrorIs(t, err, ErrReadiness)
	_, err = changed(t, beforeAlps, Options{Trip: "TR-ALP", Readiness: 0.5, Least: "time"}, in)
	require.ErrorContains(t, err, "expected kilos, litres or money")
}

// What a truck has away on the day a fly-away is packed is not taken from it; the day it is
// back its drawers serve again. In the invented season the truck is home from 6 July, and
// Mont Tessaly is packed on the 23rd.
func TestTruckThatIsAway(t *testing.T) {
	t.Parallel()
	for back, want := range map[day.Day]bool{day.Of(2027, 7, 6): true, day.Of(2027, 7, 23): true, day.Of(2027, 7, 24): false} {
		r, err := changed(t, day.Of(2027, 7, 5), Options{Trip: "TR-TES"}, func(s *planner.Snapshot) {
			for i := range s.Trips {
				if s.Trips[i].Code == "TR-COM" {
					s.Trips[i].BackOn = &back
				}
			}
		})
		require.NoError(t, err)
		require.NotEmpty(t, r.Lines)
		drawers := 0
		for _, l := range r.Lines {
			if strings.HasPrefix(l.Place, "T-") {
				drawers++
			}
		}
		require.Equal(t, want, drawers > 0, "back on %s: %d lines from the truck", back, drawers)
	}
}
