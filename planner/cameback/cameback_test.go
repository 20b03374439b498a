package cameback_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/cameback"
	"roundkit/planner/day"
	"roundkit/planner/difference"
	"roundkit/planner/forecast"
	"roundkit/planner/stock"
	"roundkit/planner/units"
)

func yes() *bool { v := true; return &v }

func on(d int) *day.Day { v := day.Of(2027, 6, d); return &v }

// outlook is a truck with a drawer, a shop, a neighbour, a trip of one round by that truck
// and one that stays at home.
func outlook(t *testing.T) *forecast.Outlook {
	t.Helper()
	o, err := forecast.New(&planner.Snapshot{
		Zone: time.UTC, AsOf: day.Of(2027, 6, 8),
		Catalogue: planner.Catalogue{
			Parts: []planner.Part{{Code: "WASHER", Unit: units.PC}, {Code: "SPRING", Unit: units.PC, Kind: "spring", ComesHome: yes()}, {Code: "KIT", Unit: units.PC}, {Code: "RING", Unit: units.PC}},
			Places: []planner.Place{{Code: "truck", Kind: "truck"}, {Code: "T1", In: "truck", Kind: "drawer"}, {Code: "shop", Kind: "workshop"}, {Code: "W1", In: "shop", Kind: "drawer"},
				{Code: "neighbour", Kind: "lent"}},
			Models:     []planner.Model{{Code: "M", Kind: "fork"}},
			Assemblies: []planner.Assembly{{Code: "F1", Model: "M"}},
		},
		Plan: planner.Plan{
			Rounds: []planner.Round{{Code: "ONE", Trip: "T", FirstOn: day.Of(2027, 6, 3), LastOn: day.Of(2027, 6, 6)}, {Code: "AT", Trip: "H", FirstOn: day.Of(2027, 6, 20), LastOn: day.Of(2027, 6, 21)}},
			Trips:  []planner.Trip{{Code: "T", GoesBy: "truck", Truck: "truck", PackBy: on(1), LeavesOn: on(1), BackOn: on(8)}, {Code: "H", GoesBy: "home"}},
		},
	})
	require.NoError(t, err)
	return o
}

// move is one movement; numbered gives those of a log their ids and times.
func move(part, tag, from, to string, q int64, kind, round string) stock.Moved {
	m := stock.Moved{Kind: kind, Round: round, Part: part, Lot: "L", Tag: tag, From: from, To: to, Quantity: units.Quantity(q)}
	if kind == "job" {
		m.Service = "S"
	}
	return m
}

func numbered(moves []stock.Moved) []stock.Moved {
	for i := range moves {
		moves[i].Entry, moves[i].At = uuid.UUID{byte(i + 1)}, time.Date(2027, 6, 2, 0, i, 0, 0, time.UTC)
	}
	return moves
}

// Every way a part can go, worked out on paper:
//
//	washers: 10 there, 20 packed, 2 of them taken out again = 28 along; 6 used, 2 of them not
//	in the book (found +2), 1 undone; 1 scrapped; counted 1 too few; 3 went to the shop.
//	28 - 5 - 1 = 22 should be back; +2 - 1 = 23 are; 3 unpacked, 20 there.
//	springs: #1 fitted and back, #2 lent from the truck and brought back to the shop, #3 lent
//	and still there, #4 broken.
//	one kit of 2 opened: 3 rings gained.
func TestAccount(t *testing.T) {
	t.Parallel()
	o := outlook(t)
	trip, err := o.Calendar.Trip("T")
	require.NoError(t, err)
	used := move("WASHER", "", "T1", "used", 3, "job", "ONE")
	undone := move("WASHER", "", "used", "T1", 1, "job", "ONE")
	undone.Undo = true
	in := cameback.Input{
		Outlook: o, Trip: trip, From: time.Date(2027, 6, 1, 8, 0, 0, 0, time.UTC), To: time.Date(2027, 6, 8, 18, 0, 0, 0, time.UTC),
		Before: []planner.Holding{{Part: "WASHER", Lot: "L", Place: "T1", Quantity: 10}, {Part: "WASHER", Lot: "L", Place: "W1", Quantity: 99},
			{Part: "SPRING", Lot: "L", Tag: "#1", Place: "T1", Quantity: 1}, {Part: "SPRING", Lot: "L", Tag: "#2", Place: "T1", Quantity: 1},
			{Part: "SPRING", Lot: "L", Tag: "#3", Place: "T1", Quantity: 1}, {Part: "SPRING", Lot: "L", Tag: "#4", Place: "F1", Quantity: 1},
			{Part: "KIT", Lot: "L", Place: "T1", Quantity: 2}},
		Moves: numbered([]stock.Moved{
			move("WASHER", "", "W1", "T1", 20, "pack", ""), move("WASHER", "", "T1", "W1", 2, "pack", ""),
			used, move("WASHER", "", "T1", "used", 1, "job", "ONE"), undone, move("WASHER", "", "count difference", "used", 2, "job", "ONE"),
			move("WASHER", "", "count difference", "used", 5, "job", "AT"), // another round's
			move("WASHER", "", "T1", "scrap", 1, "scrap", ""), move("WASHER", "", "T1", "count difference", 1, "count", ""),
			move("WASHER", "", "W1", "used", 7, "job", ""), // at home
			move("WASHER", "", "T1", "W1", 3, "return", ""),
			move("SPRING", "#1", "T1", "F1", 1, "job", "ONE"), move("SPRING", "#4", "F1", "scrap", 1, "job", "ONE"),
			move("SPRING", "#2", "T1", "neighbour", 1, "lend", ""), move("SPRING", "#2", "neighbour", "W1", 1, "lent back", ""),
			move("SPRING", "#3", "T1", "neighbour", 1, "lend", ""),
			move("KIT", "", "T1", "opened kit", 1, "open kit", ""), move("RING", "", "opened kit", "T1", 3, "open kit", ""),
		}),
		Counted: []difference.Counted{{Record: uuid.UUID{200}, At: time.Date(2027, 6, 8, 9, 0, 0, 0, time.UTC), Place: "truck", Part: "WASHER"},
			{Record: uuid.UUID{201}, At: time.Date(2027, 6, 5, 9, 0, 0, 0, time.UTC), Place: "truck", Part: "KIT"}},
	}
	r, err := cameback.Of(in)
	require.NoError(t, err)
	require.False(t, r.UnderWay)
	type balance struct{ along, used, scrapped, lent, opened, should, difference, back, unpacked, there units.Quantity }
	got := map[string]balance{}
	for _, p := range r.Parts {
		got[p.Code] = balance{p.Along, p.Used, p.Scrapped, p.Lent, p.Opened, p.Should, p.Difference, p.Back(), p.Unpacked, p.There}
	}
	require.Equal(t, balance{28, 5, 1, 0, 0, 22, 1, 23, 3, 20}, got["WASHER"])
	require.Equal(t, balance{4, 0, 1, 1, 0, 2, 0, 2, 1, 1}, got["SPRING"])
	require.Equal(t, balance{2, 0, 0, 0, 1, 1, 0, 1, 0, 1}, got["KIT"])
	require.Equal(t, balance{opened: -3, should: 3, back: 3, there: 3}, got["RING"])
	require.Equal(t, "SPRING", r.Parts[0].Code, "what is lent stands first")
	var away []string
	for _, l := range r.Listed {
		away = append(away, l.Tag+" "+l.Where)
	}
	require.ElementsMatch(t, []string{"#3 neighbour", "#4 scrap"}, away)
	require.Equal(t, []int{4, 2}, []int{r.ListedCount, r.ListedBack})
	for _, p := range r.Parts {
		require.Equal(t, p.Code == "WASHER", p.CountedAt != nil, "%s: a count during the round says nothing of the return", p.Code)
	}
	require.Len(t, r.Differences, 2, "the missing washer and the two found; not those of another round")
}

func TestMay(t *testing.T) {
	t.Parallel()
	o := outlook(t)
	trip, err := o.Calendar.Trip("T")
	require.NoError(t, err)
	require.ErrorContains(t, cameback.May(trip, day.Of(2027, 6, 5)), "trip T has rounds until 2027-06-06")
	require.NoError(t, cameback.May(trip, day.Of(2027, 6, 6)), "the last evening")
	home, err := o.Calendar.Trip("H")
	require.NoError(t, err)
	require.ErrorContains(t, cameback.May(home, day.Of(2027, 6, 30)), "stays at home")
	_, err = cameback.Of(cameback.Input{Outlook: o, Trip: home})
	require.ErrorContains(t, err, "nothing comes back from it")
}
