package order_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/order"
	"roundkit/planner/units"
)

// withClip is the small season with a second part from another supplier, 1 a job, that
// nothing is wrong with: 10 CLIP in packs of 1 at 2.00, 4 by 3 May and 6 more by 23 May.
func withClip() *planner.Snapshot {
	s := small()
	s.Parts = append(s.Parts, planner.Part{Code: "CLIP", Name: "clip", Kind: "hardware", Unit: units.PC})
	s.ServiceLines = append(s.ServiceLines, planner.ServiceLine{Service: "FIX", Part: "CLIP", Quantity: qty(1)})
	s.Offers = append(s.Offers, planner.Offer{Supplier: "OTHER", Part: "CLIP", Preference: ptr(1), Pack: qty(1), PricePerPack: pdec("2.00"), LeadDays: ptr(4), LeadDays95: ptr(6)})
	return s
}

// What is wrong with an offer is said in a line that names part and supplier, and the rest
// is planned: the clips in every case, the seals as far as they can be.
func TestBadOffers(t *testing.T) {
	t.Parallel()
	const clips = "05-03 OTHER for 05-10 CLIP 4x2.00 = 8.00"
	const later = "05-23 OTHER for 05-30 CLIP 6x2.00 = 12.00"
	const seal, seals = "05-03 SHOP for 05-10 SEAL 1x5.00 = 5.00", "05-23 SHOP for 05-30 SEAL 3x5.00 = 15.00"
	for _, test := range []struct {
		name  string
		spoil func(s *planner.Snapshot)
		notes []string
		lines []string
	}{
		{"nothing is wrong", func(*planner.Snapshot) {}, nil, []string{clips, seal, later, seals}},
		{"no offer for a part", func(s *planner.Snapshot) { s.Offers = s.Offers[1:] },
			[]string{"SEAL: no supplier offers it, so it is not ordered"}, []string{clips, later}},
		{"a price of 0: of ways that cost the same the fewest orders", func(s *planner.Snapshot) { s.Offers[0].PricePerPack = pdec("0") },
			[]string{"SEAL from SHOP: its price is 0"},
			[]string{clips, "05-03 SHOP for 05-10 SEAL 4x0.00 = 0.00", later}},
		{"no price", func(s *planner.Snapshot) { s.Offers[0].PricePerPack = nil },
			[]string{"SEAL from SHOP: no price, so its amount is not known and counted as 0"},
			[]string{clips, "05-03 SHOP for 05-10 SEAL 4x0.00 = 0.00", later}},
		{"a price below 0", func(s *planner.Snapshot) { s.Offers[0].PricePerPack = pdec("-1") },
			[]string{"SEAL from SHOP: found a price of -1, expected 0 or more; counted as 0"},
			[]string{clips, "05-03 SHOP for 05-10 SEAL 4x0.00 = 0.00", later}},
		{"breaks out of order: 4.00 from 3 on for the second order", func(s *planner.Snapshot) {
			s.Suppliers[0].Carriage = nil
			s.PriceBreaks = []planner.PriceBreak{{Supplier: "SHOP", Part: "SEAL", FromPacks: 50, PricePerPack: dec("3.00"), AppliesTo: "all packs"},
				{Supplier: "SHOP", Part: "SEAL", FromPacks: 3, PricePerPack: dec("4.90"), AppliesTo: "all packs"}}
		}, []string{"SEAL from SHOP: its price breaks are out of order; sorted by packs"},
			[]string{"05-03 OTHER for 05-10 CLIP 4x2.00 = 8.00", "05-03 SHOP for 05-10 SEAL 4x4.90 = 19.60", later}},
		{"a break that is dearer", func(s *planner.Snapshot) {
			s.PriceBreaks = []planner.PriceBreak{{Supplier: "SHOP", Part: "SEAL", FromPacks: 40, PricePerPack: dec("5.50"), AppliesTo: "all packs"}}
		}, []string{"SEAL from SHOP: found 5.5 a pack from 40 packs, dearer than 5 for fewer"}, []string{clips, seal, later, seals}},
		{"a lead time longer than the season of 1 May to 31 August", func(s *planner.Snapshot) { s.Offers[0].LeadDays, s.Offers[0].LeadDays95 = ptr(130), ptr(150) },
			[]string{"SEAL from SHOP: its lead time of 150 days is longer than the season"}, []string{clips, later}},
		{"an unknown currency", func(s *planner.Snapshot) { s.Offers[0].Currency = "Euro" },
			[]string{"SEAL from SHOP: found currency \"Euro\", expected three letters such as EUR"}, []string{clips, seal, later, seals}},
		{"a currency without a rate", func(s *planner.Snapshot) { s.Offers[0].Currency = "SEK" },
			[]string{"SEAL from SHOP: no exchange rate of SEK to EUR by 2029-05-01, so it is not summed with the rest"}, []string{clips, seal, later, seals}},
		{"a minimum of 30 packs of what keeps a month: 1 is used by 13 May; the 29 left expire on 9 June, after B has used 3", func(s *planner.Snapshot) {
			s.Offers[0].MinimumPacks, s.Parts[0].StorageLifeMonths = ptr(30), ptr(1)
		}, []string{"SEAL from SHOP: 30 packs are the least they sell, but 26 of those ordered on 2029-05-03 will not be used before its storage life of 1 month ends on 2029-06-09"},
			[]string{clips, "05-03 SHOP for 05-10 SEAL 30x5.00 = 150.00", later}},
		{"a storage life that ends before the trip does", func(s *planner.Snapshot) {
			s.Parts[0].StorageLifeMonths = ptr(0)
		}, []string{"SEAL: its storage life of 0 months ends before ONE does, so it is not ordered for it", "SEAL: its storage life of 0 months ends before TWO does, so it is not ordered for it"},
			[]string{clips, later}},
	} {
		t.Run(test.name, func(t *testing.T) {
			t.Parallel()
			s := withClip()
			test.spoil(s)
			got := plan(t, s, order.Options{})
			require.Equal(t, test.notes, got.Notes)
			require.ElementsMatch(t, test.lines, lines(got))
		})
	}
}

// All faults of an offer are said at once, and of every offer that is used.
func TestBadOffersTogether(t *testing.T) {
	t.Parallel()
	s := withClip()
	s.Offers[0].PricePerPack, s.Offers[0].Currency = pdec("0"), "SEK"
	s.Offers[1].LeadDays, s.Offers[1].LeadDays95 = nil, nil
	got := plan(t, s, order.Options{})
	require.Equal(t, []string{
		"SEAL from SHOP: its price is 0",
		"SEAL from SHOP: no exchange rate of SEK to EUR by 2029-05-01, so it is not summed with the rest",
		"CLIP from OTHER: no lead time, taken as 7 days",
	}, got.Notes)
	require.Equal(t, []string{"05-02 OTHER for 05-10 CLIP 4x2.00 = 8.00", "05-03 SHOP for 05-10 SEAL 4x0.00 = 0.00", "05-22 OTHER for 05-30 CLIP 6x2.00 = 12.00"}, lines(got))
}
