// Package large makes a season of the size that the speed targets name, for benchmarks.
package large

import (
	"fmt"
	"time"

	"github.com/shopspring/decimal"

	"roundkit/planner"
	"roundkit/planner/day"
	"roundkit/planner/units"
)

func dec(text string) planner.Decimal {
	d := decimal.RequireFromString(text)
	return &d
}

func ptr[T any](v T) *T { return &v }

// Book is a season of the size that the targets name: 5,000 parts, 20,000 rows of
// stock, 60 rounds, with jobs, lines and offers, about 38,000 rows.
func Book() *planner.Book {
	b := &planner.Book{}
	first := day.Of(2027, time.January, 4)
	b.Season = []planner.Season{{Code: "2027", Name: "large season", TimeZone: "Europe/Vienna", Currency: "EUR", FirstOn: first, LastOn: first + 330, ConfidencePercent: dec("95")}}
	b.Suppliers = []planner.Supplier{{Code: "SRN", Name: "Sarnbeck Seals", Currency: "EUR"}}
	for i := range 50 {
		b.Places = append(b.Places, planner.Place{Code: fmt.Sprintf("D-%02d", i), Name: "drawer", Kind: "drawer"})
	}
	for i := range 5000 {
		code := fmt.Sprintf("P-%05d", i)
		p := planner.Part{Code: code, Name: "part number " + code, Kind: "seal", Unit: units.PC, CarriedIn: "piece",
			Contents: ptr(units.Quantity(1)), MassMG: ptr(units.Milligrams(9000 + i)), PackedUL: ptr(units.Quantity(22000)),
			StorageLifeMonths: ptr(60), Reusable: ptr(false), SerialNumbers: ptr(false), ComesHome: ptr(false), ByAir: ptr(true),
			HomeInTruck: "D-02", HomeInWorkshop: "D-01", TareMG: ptr(units.Milligrams(92_000)), MonthsAfterOpening: ptr(12),
			UNNumber: "1950", Notes: "note of " + code, TruckMinimum: ptr(units.Quantity(12)), CustomsHeading: "4016.93", Origin: "SE"}
		if i%5 == 0 {
			p.Kind, p.Unit, p.Contents = "oil", units.ML, ptr(units.Quantity(1_000_000))
		}
		b.Parts = append(b.Parts, p)
		b.Offers = append(b.Offers, planner.Offer{Supplier: "SRN", Part: code, Preference: ptr(1), SupplierNumber: fmt.Sprintf("%06d", i),
			Pack: p.Contents, PricePerPack: dec("68.00"), Currency: "EUR", MinimumPacks: ptr(1), LeadDays: ptr(9), LeadDays95: ptr(13), Notes: "strict"})
		for j := range 4 {
			b.Stock = append(b.Stock, planner.StockRow{Place: fmt.Sprintf("D-%02d", (i+j*7)%50), Part: code,
				Quantity: units.Quantity(1000 * (1 + j)), CountedAt: first.Start(time.UTC).Add(-time.Hour), Notes: "counted by two"})
		}
	}
	for i := range 100 {
		b.Services = append(b.Services, planner.Service{Code: fmt.Sprintf("S%02d", i), Name: "service", ModelKind: "fork", Minutes: ptr(60)})
		for j := range 30 {
			b.ServiceLines = append(b.ServiceLines, planner.ServiceLine{Service: fmt.Sprintf("S%02d", i), Part: fmt.Sprintf("P-%05d", (i*30+j)%5000),
				Quantity: ptr(units.Quantity(2000)), DryPercent: dec("25"), WetPercent: dec("70"), StopsJob: ptr(true), OnSite: ptr(false), Notes: "as usual"})
		}
	}
	for i := range 60 {
		on := first + day.Day(5*i)
		b.Rounds = append(b.Rounds, planner.Round{Code: fmt.Sprintf("R%02d", i), Name: "round", Kind: "race", FirstOn: on, LastOn: on + 3,
			Country: "AT", Currency: "EUR", Steepness: ptr(3), WetChancePercent: dec("20"), Bikes: ptr(4), RidingDays: ptr(3), RoughFactor: dec("1.1")})
		for j := range 80 {
			b.PlannedJobs = append(b.PlannedJobs, planner.PlannedJobs{Round: fmt.Sprintf("R%02d", i), Service: fmt.Sprintf("S%02d", j), Jobs: 4, Notes: "as last year"})
		}
	}
	return b
}
