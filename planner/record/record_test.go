package record_test

import (
	"testing"
	"time"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/record"
	"roundkit/planner/units"
)

// What a person is told of a record before it is taken back: who did what, where, how much,
// to the minute. Our own words; the figures are made up.
func TestWords(t *testing.T) {
	t.Parallel()
	parts := map[string]planner.Part{"CRW-10": {Code: "CRW-10", Unit: units.PC}, "OIL-B68": {Code: "OIL-B68", Unit: units.ML}, "SPR-1": {Code: "SPR-1", Unit: units.PC}}
	at := time.Date(2027, 6, 5, 19, 5, 41, 0, time.UTC)
	count := func(part string, counted, book units.Quantity) record.Entry {
		return record.Entry{ID: uuid.New(), Kind: "count", Person: "u1", At: at, Place: "T-D03", Part: part, Counted: counted, Book: book, KnownBook: true}
	}
	for name, c := range map[string]struct {
		entries []record.Entry
		want    string
	}{
		"a job": {[]record.Entry{{Kind: "job", Service: "LLS", Assembly: "F02", Round: "ZDR", Person: "u1", At: at, Moves: []record.Move{
			{Part: "CRW-10", From: "T-D03", To: "used", Quantity: 2}, {Part: "OIL-B68", Tag: "B-104", From: "T-L01", To: "used", Quantity: 43_200},
			{Part: "CRW-10", From: "count difference", To: "used", Quantity: 1}}}},
			"LLS on F02 at ZDR, 2027-06-05 19:05, by u1: 2 CRW-10 from T-D03, used; 43.2 ml OIL-B68 (B-104) from T-L01, used; 1 CRW-10, found, used"},
		"a count of two": {[]record.Entry{count("CRW-10", 24, 26), count("OIL-B68", 1000, 1000)},
			"the count of 2 parts at T-D03, 2027-06-05 19:05, by u1: CRW-10 at T-D03: 24 counted, 2 less than the book; OIL-B68 at T-D03: 1 ml counted, as the book"},
		"more lines than are read in a moment": {[]record.Entry{count("CRW-10", 1, 0), count("CRW-10", 2, 2), count("CRW-10", 3, 3), count("CRW-10", 4, 4)},
			"the count of 4 parts at T-D03, 2027-06-05 19:05, by u1: CRW-10 at T-D03: 1 counted, 1 more than the book; CRW-10 at T-D03: 2 counted, as the book; CRW-10 at T-D03: 3 counted, as the book and 1 more"},
		"what came of an order": {[]record.Entry{{Kind: "receipt", Reference: "PO-014", At: at, Moves: []record.Move{{Part: "CRW-10", From: "supplier", To: "W-A2", Quantity: 10}}}},
			"what came of PO-014, 2027-06-05 19:05: 10 CRW-10 into W-A2"},
		"a step of an order": {[]record.Entry{{Kind: "order", Person: "u3", At: at, Change: &record.Change{What: "order", Subject: "PO-014", Was: "drafted", Now: "placed"}}},
			"the step of an order, 2027-06-05 19:05, by u3: PO-014: placed, before drafted"},
		"the plan": {[]record.Entry{{Kind: "plan", At: at, Change: &record.Change{What: "jobs", Subject: "KAR", Service: "DMP", Assembly: "F07", Was: "3", Now: "1"}}},
			"the change of the plan, 2027-06-05 19:05: KAR: -2 DMP on F07, 1 planned then"},
		"a trip that came back": {[]record.Entry{count("CRW-10", 18, 18), {Kind: "return", Reference: "TR-COM", At: at, Person: "u1", Moves: []record.Move{{Part: "SPR-1", Tag: "SPR-1#2", From: "FC-1", To: "W-A4", Quantity: 1}}}},
			"what came back from TR-COM, 2027-06-05 19:05, by u1: CRW-10 at T-D03: 18 counted, as the book; 1 SPR-1 (SPR-1#2) from FC-1 into W-A4"},
		"a case": {[]record.Entry{{Kind: "move", Case: "FC-1", In: "truck", At: at}}, "the move of FC-1, 2027-06-05 19:05: FC-1 into truck, with all that is in it"},
	} {
		r := record.Record{ID: uuid.New(), Entries: c.entries}
		require.Equal(t, c.want, r.InOneLine(parts), name)
	}
}
