package db_test

import (
	"testing"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/db"
	"roundkit/planner"
	"roundkit/planner/ledger"
	"roundkit/planner/units"
)

// A phone that did not hear the answer sends the very same again, perhaps to another
// program: it gets the first answer, and nothing is booked twice. Another request under the
// same id is refused.
func TestSentTwice(t *testing.T) {
	t.Parallel()
	here := demoStore(t)
	there, err := db.Connect(t.Context(), here.URL)
	require.NoError(t, err)
	t.Cleanup(there.Close)
	packed, err := here.PackLoad(t.Context(), db.Packing{Act: act(t), Trip: "TR-TES", Rows: []planner.Movement{movement("CRW-10", "LT-0073", "", "W-A2", "FC-1", 2)}})
	require.NoError(t, err)
	require.NotEmpty(t, packed.Entries)

	for _, c := range []struct {
		name string
		send func(s *db.Store, a db.Act) (db.Recorded, error)
	}{
		{"part of an order", func(s *db.Store, a db.Act) (db.Recorded, error) {
			done, o, err := s.ArriveOrder(t.Context(), db.Arrival{Act: a, Order: "PO-014", Came: []ledger.Amount{{Part: "WIP-40", Quantity: 10}}})
			if err == nil {
				require.Equal(t, "part here", o.State)
			}
			return done, err
		}},
		{"the rest of an order", func(s *db.Store, a db.Act) (db.Recorded, error) {
			done, o, err := s.ArriveOrder(t.Context(), db.Arrival{Act: a, Order: "PO-014"})
			if err == nil {
				require.Equal(t, "here", o.State)
			}
			return done, err
		}},
		{"a tag moved for a trip", func(s *db.Store, a db.Act) (db.Recorded, error) {
			return s.MoveForTrip(t.Context(), db.Move{Act: a, Kind: "move", Tag: "B-106", To: "FC-3"}, "TR-TES")
		}},
		{"a part moved for a trip", func(s *db.Store, a db.Act) (db.Recorded, error) {
			return s.MoveForTrip(t.Context(), db.Move{Act: a, Kind: "move", Part: "CRW-10", Quantity: 2, From: "W-A2", To: "FC-3"}, "TR-TES")
		}},
		{"cases unpacked", func(s *db.Store, a db.Act) (db.Recorded, error) {
			done, _, err := s.Unpack(t.Context(), a, "TR-TES")
			return done, err
		}},
	} {
		if c.name == "cases unpacked" { // when the trip is over
			here, there = later(t, here, "70 days"), later(t, here, "0 days")
		}
		a := act(t)
		first, err := c.send(here, a)
		require.NoError(t, err, c.name)
		require.False(t, first.Repeat, c.name)
		require.Equal(t, a.ID, first.ID, c.name)
		stock := stockOf(t, here)
		for _, s := range []*db.Store{there, here} {
			again, err := c.send(s, a)
			require.NoError(t, err, c.name)
			require.True(t, again.Repeat, c.name)
			require.Equal(t, movesOf(first, a.ID), movesOf(again, a.ID), c.name)
		}
		other := a
		other.Notes = "another"
		_, err = c.send(there, other)
		require.ErrorIs(t, err, db.ErrRefused, c.name)
		require.ErrorContains(t, err, "is that of another record", c.name)
		require.Equal(t, stock, stockOf(t, here), c.name)
	}
	requireSound(t, here)
}

func stockOf(t *testing.T, s *db.Store) []planner.Holding {
	t.Helper()
	snap, err := s.Snapshot(t.Context(), db.SnapshotOptions{})
	require.NoError(t, err)
	return snap.Stock
}

// atOnce runs two things at the same moment and tells which of them went well.
func atOnce(one, two func() error) (errOne, errTwo error) {
	start, done := make(chan struct{}), make(chan error)
	go func() { <-start; done <- one() }()
	close(start)
	errTwo = two()
	return <-done, errTwo
}

// However an order that comes and its calling off fall together, one of them is refused.
func TestArriveBesideCallOff(t *testing.T) {
	t.Parallel()
	const rounds = 20
	s := demoStore(t)
	came, off := 0, 0
	for range rounds {
		drafts := draft(t, s, sealsDraft())
		code := drafts[0].Order.Code
		_, err := s.PlaceOrder(t.Context(), db.OrderStep{Order: code})
		require.NoError(t, err)
		a := act(t)
		errCame, errOff := atOnce(
			func() error { _, _, err := s.ArriveOrder(t.Context(), db.Arrival{Act: a, Order: code}); return err },
			func() error { _, err := s.CallOffOrder(t.Context(), db.OrderStep{Order: code}); return err })
		require.False(t, errCame == nil && errOff == nil, "%s came and was called off", code)
		if errCame == nil {
			came++
			require.ErrorIs(t, errOff, db.ErrRefused)
			require.Equal(t, "here", orderIn(t, s, code).State)
		} else {
			off++
			require.NoError(t, errOff)
			require.ErrorIs(t, errCame, db.ErrRefused)
			require.ErrorContains(t, errCame, "is called off, expected one that is placed")
			require.Equal(t, "called off", orderIn(t, s, code).State)
			require.Empty(t, lotsOf(t, s, code))
		}
	}
	t.Logf("came first %d times, called off first %d times", came, off)
	requireSound(t, s)
}

// Two parcels of one order booked at the same moment are two lots, or one of the two people is
// asked to look again: never one lot of which twice as much is there.
func TestTwoParcelsAtOnce(t *testing.T) {
	t.Parallel()
	const rounds = 10
	s := demoStore(t)
	for range rounds {
		code := draft(t, s, sealsDraft())[0].Order.Code
		_, err := s.PlaceOrder(t.Context(), db.OrderStep{Order: code})
		require.NoError(t, err)
		before := where(t, s, "OSL-40")["W-A1"]
		send := func(a db.Act) func() error {
			return func() error {
				_, _, err := s.ArriveOrder(t.Context(), db.Arrival{Act: a, Order: code, Came: []ledger.Amount{{Part: "OSL-40", Quantity: 5}}})
				return err
			}
		}
		one, two := atOnce(send(act(t)), send(act(t)))
		booked := 0
		for _, err := range []error{one, two} {
			if err == nil {
				booked++
				continue
			}
			require.ErrorIs(t, err, db.ErrRefused)
			require.ErrorContains(t, err, "look at what is open on it now")
		}
		require.Positive(t, booked)
		require.Len(t, lotsOf(t, s, code), booked)
		require.Equal(t, before+units.Quantity(5*booked), where(t, s, "OSL-40")["W-A1"])
	}
	requireSound(t, s)
}

// Two different lists of one trip, made of the same stock by two people, share no part; only
// one of them can be what was packed.
func TestTwoListsOfOneTrip(t *testing.T) {
	t.Parallel()
	const rounds = 20
	s := demoStore(t)
	for i := range rounds {
		before, err := s.PackedSoFar(t.Context(), "")
		require.NoError(t, err)
		list := func(m planner.Movement) func() error {
			p := db.Packing{Act: act(t), Trip: "TR-TES", Before: before, Rows: []planner.Movement{m}}
			return func() error { _, err := s.PackLoad(t.Context(), p); return err }
		}
		one, two := atOnce(list(movement("CRW-10", "LT-0073", "", "W-A2", "FC-1", 1)), list(movement("FNS-10", "LT-0067", "", "T-D03", "FC-1", 1)))
		require.False(t, one == nil && two == nil, "round %d: both lists were booked", i)
		require.False(t, one != nil && two != nil, "round %d: neither was: %v; %v", i, one, two)
		for _, err := range []error{one, two} {
			if err != nil {
				require.ErrorIs(t, err, db.ErrRefused)
				require.ErrorContains(t, err, "expected none since")
			}
		}
	}
	requireSound(t, s)
}

// A list made before a correction of the load is refused too, also where they come together.
func TestAListBesideACorrection(t *testing.T) {
	t.Parallel()
	const rounds = 10
	s := demoStore(t)
	for range rounds {
		before, err := s.PackedSoFar(t.Context(), "")
		require.NoError(t, err)
		p := db.Packing{Act: act(t), Trip: "TR-TES", Before: before, Rows: []planner.Movement{movement("CRW-10", "LT-0073", "", "W-A2", "FC-1", 1)}}
		m := db.Move{Act: act(t), Kind: "move", Part: "FNS-10", Quantity: 1, From: "T-D03", To: "FC-1"}
		errList, errMove := atOnce(
			func() error { _, err := s.PackLoad(t.Context(), p); return err },
			func() error { _, err := s.MoveForTrip(t.Context(), m, "TR-TES"); return err })
		require.NoError(t, errMove)
		if errList == nil { // then it was first
			require.Less(t, seqOf(t, s, packedFor(t, s, "CRW-10")), seqOf(t, s, m.ID))
		}
	}
}

// packedFor is the last record that packed a part; seqOf its number of arrival.
func packedFor(t *testing.T, s *db.Store, part string) (id uuid.UUID) {
	t.Helper()
	require.NoError(t, s.Pool().QueryRow(t.Context(), `SELECT e.id FROM entry AS e JOIN entry_seq AS s ON s.entry_id = e.id JOIN movement AS m ON m.entry_id = e.id
		JOIN lot AS l ON l.id = m.lot_id JOIN part AS p ON p.id = l.part_id WHERE e.kind = 'pack' AND p.code = $1 ORDER BY s.seq DESC LIMIT 1`, part).Scan(&id))
	return id
}

func seqOf(t *testing.T, s *db.Store, id uuid.UUID) (seq int64) {
	t.Helper()
	require.NoError(t, s.Pool().QueryRow(t.Context(), `SELECT seq FROM entry_seq WHERE entry_id = $1`, id).Scan(&seq))
	return seq
}
