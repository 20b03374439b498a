package order_test

import (
	"fmt"
	"math/rand/v2"
	"runtime/metrics"
	"slices"
	"testing"
	"time"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/planner/order"
	"roundkit/planner/units"
)

// wholeSeason draws a season of so many weeks, a round each, seen from two months before:
// parts of suppliers with a carriage, some free from an amount, a minimum or an entry fee;
// packs, minimums, breaks of both kinds, lead times of one to six weeks; jobs most of
// them every other week, lines that are certain and lines that chance decides.
func wholeSeason(seed uint64, parts, suppliers, weeks int) *planner.Snapshot {
	r := rand.New(rand.NewPCG(seed, 11))
	first := day.Of(2029, 3, 3) // a Saturday
	s := &planner.Snapshot{AsOf: first - 60, Zone: time.UTC}
	s.Season = []planner.Season{{Code: "S", Currency: "EUR", TimeZone: "UTC", FirstOn: first - 60, LastOn: first + day.Day(7*weeks), HandlingDays: ptr(2)}}
	s.Places = []planner.Place{{Code: "workshop", Kind: "workshop"}, {Code: "truck", Kind: "truck"}}
	for i := range suppliers {
		sup := planner.Supplier{Code: fmt.Sprintf("SUP%d", i), Name: fmt.Sprintf("Supplier %d", i), Currency: "EUR", Carriage: money(float64(8 + r.IntN(30)))}
		switch i % 4 {
		case 1:
			sup.FreeFrom = money(float64(200 + r.IntN(400)))
		case 2:
			sup.MinimumOrder = money(float64(50 + r.IntN(100)))
		case 3:
			sup.EntryFee, sup.DutyPercent = money(float64(10+r.IntN(30))), money(3.7)
		}
		s.Suppliers = append(s.Suppliers, sup)
	}
	const services = 20
	for i := range services {
		s.Services = append(s.Services, planner.Service{Code: fmt.Sprintf("V%02d", i)})
	}
	leads := []int{7, 14, 21, 42}
	for i := range parts {
		code := fmt.Sprintf("P%03d", i)
		s.Parts = append(s.Parts, planner.Part{Code: code, Name: code, Kind: "seal", Unit: units.PC})
		line := planner.ServiceLine{Service: s.Services[i%services].Code, Part: code, Quantity: qty(1 + r.IntN(3))}
		if r.IntN(2) == 0 {
			percent := float64(5 + r.IntN(40))
			line.DryPercent, line.WetPercent = money(percent), money(2*percent)
		}
		s.ServiceLines = append(s.ServiceLines, line)
		price := 2 + 20*r.Float64()
		lead, pack := leads[r.IntN(4)], []int{1, 2, 5, 10}[r.IntN(4)]
		o := planner.Offer{Supplier: s.Suppliers[i%suppliers].Code, Part: code, Preference: ptr(1), Pack: qty(pack), MinimumPacks: ptr(1 + r.IntN(3)),
			PricePerPack: money(price * float64(pack)), LeadDays: &lead, LeadDays95: ptr(lead + lead/3)}
		s.Offers = append(s.Offers, o)
		kind := []string{"all packs", "packs beyond"}[r.IntN(2)]
		for k, from := range []int{8, 20} {
			s.PriceBreaks = append(s.PriceBreaks, planner.PriceBreak{Supplier: o.Supplier, Part: code, FromPacks: from, AppliesTo: kind,
				PricePerPack: o.PricePerPack.Mul(decimal.New(int64(96-4*k), -2)).Round(2)})
		}
		s.Stock = append(s.Stock, planner.Holding{Part: code, Lot: "L" + code, Place: "workshop", Quantity: units.Quantity(r.IntN(6))})
		s.Lots = append(s.Lots, planner.Lot{Code: "L" + code, Part: code})
	}
	for k := range weeks {
		on := first + day.Day(7*k)
		code := fmt.Sprintf("W%02d", k)
		s.Trips = append(s.Trips, planner.Trip{Code: "T" + code, GoesBy: "truck", Truck: "truck", PackBy: ptr(on - 2), LeavesOn: ptr(on - 1), BackOn: ptr(on + 2)})
		s.Rounds = append(s.Rounds, planner.Round{Code: code, Trip: "T" + code, FirstOn: on, LastOn: on + 1, WetChancePercent: money(float64(20 + r.IntN(30)))})
		for i := range services {
			if k%2 == 0 || r.IntN(4) == 0 {
				s.PlannedJobs = append(s.PlannedJobs, planner.PlannedJobs{Round: code, Service: s.Services[i].Code, Jobs: r.IntN(7)})
			}
		}
	}
	return s
}

// peakHeap watches how much live heap there is until it is stopped, and returns the most,
// in bytes.
func peakHeap() (stop func() uint64) {
	done, most := make(chan struct{}), make(chan uint64)
	go func() {
		sample := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
		var peak uint64
		for {
			metrics.Read(sample)
			peak = max(peak, sample[0].Value.Uint64())
			select {
			case <-done:
				most <- peak
				return
			case <-time.After(time.Millisecond):
			}
		}
	}()
	return func() uint64 { close(done); return <-most }
}

// A whole season's reorder on both cores: 200 parts of 8 suppliers over 40 weeks. The CPU
// is of all that is asked for, the forecasts too; the gap is of the cost of all suppliers,
// and the widest of one.
func BenchmarkReorderSeason(b *testing.B) {
	for seed := uint64(1); seed <= 3; seed++ {
		b.Run(fmt.Sprint("seed", seed), func(b *testing.B) {
			s := wholeSeason(seed, 200, 8, 40)
			var got order.Result
			before, stop := cpuSeconds(b), peakHeap()
			for b.Loop() {
				o, err := forecast.New(s)
				require.NoError(b, err)
				got, err = order.Plan(o, order.Options{Workers: 2})
				require.NoError(b, err)
			}
			b.ReportMetric(float64(stop())/(1<<20), "peak-MiB")
			b.ReportMetric((cpuSeconds(b)-before)/float64(b.N), "CPU-s/op")
			require.Len(b, got.Compared, 8)
			plan, bound, needed, widest := 0.0, 0.0, 0.0, []float64{}
			for _, c := range got.Compared {
				plan, bound, needed = plan+c.Plan.InexactFloat64(), bound+c.Bound.InexactFloat64(), needed+c.AsNeeded.InexactFloat64()
				widest = append(widest, 100*c.Above().Div(c.Plan).InexactFloat64())
				require.Positive(b, c.Bound.Sign(), "a bound of %s", c.Supplier)
			}
			b.ReportMetric(100*(plan-bound)/plan, "gap-%")
			b.ReportMetric(slices.Max(widest), "widest-gap-%")
			b.ReportMetric(100*(needed-plan)/plan, "as-needed-above-%")
			b.ReportMetric(float64(len(got.Orders)), "orders")
		})
	}
}
