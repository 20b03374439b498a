package transport_test

import (
	"testing"

	"github.com/shopspring/decimal"
	"github.com/stretchr/testify/require"

	"roundkit/planner"
	"roundkit/planner/transport"
	"roundkit/planner/units"
)

var euro = transport.Home{Currency: "EUR", Rates: map[string]decimal.Decimal{"USD": decimal.RequireFromString("0.92")}}

func spring(tag, value, currency string) transport.Item {
	yes := true
	i := transport.Item{Part: planner.Part{Code: "SPF-75", Name: "fork spring 43 lb/in", Kind: "spring", Unit: units.PC, Origin: "US", CustomsHeading: "7320.20", ComesHome: &yes},
		Quantity: 1, Containers: 1, Tag: tag, Grams: dec("348"), Currency: currency, Place: "T-D05"}
	if value != "" {
		i.Value = dec(value)
	}
	return i
}

// By hand: two springs of one part are one line, a numbered crown is its own; 40 USD are
// 36.80 EUR at 0.92.
func TestGeneralList(t *testing.T) {
	t.Parallel()
	yes := true
	crown := transport.Item{Part: planner.Part{Code: "STN-40", Name: "crown and stanchion assembly", Unit: units.PC, Origin: "IT", ComesHome: &yes, SerialNumbers: &yes},
		Quantity: 1, Containers: 1, Serial: "CR-7", Grams: dec("1450"), Value: dec("310"), Currency: "EUR", Place: "T-B01"}
	other := crown
	other.Serial = "CR-8"
	seal := transport.Item{Part: planner.Part{Code: "WIP", Unit: units.PC}, Quantity: 1}
	list := transport.GeneralListOf([]transport.Item{spring("SPF-75#2", "40", "USD"), spring("SPF-75#3", "38", "EUR"), crown, other, seal}, euro)
	require.Empty(t, list.Faults)
	require.Len(t, list.Lines, 3)
	first := list.Lines[0]
	require.Equal(t, "fork spring 43 lb/in, no. SPF-75, NSN; marked SPF-75#2, SPF-75#3", first.Description)
	require.Equal(t, int64(2), first.Pieces)
	require.Equal(t, "696", first.Grams.String())
	require.Equal(t, "74.8", first.Value.String())
	require.Equal(t, "US", first.Origin)
	require.Equal(t, "crown and stanchion assembly, no. STN-40, serial no. CR-7", list.Lines[1].Description)
	require.Equal(t, 3, list.Lines[2].Number)
	require.Equal(t, int64(4), list.Pieces)
	require.Equal(t, "3596", list.Grams.String())
	require.Equal(t, "694.8", list.Value.String())
	require.Equal(t, "EUR", list.Currency)
}

// Blanks are faults, all at once, each once.
func TestListFaults(t *testing.T) {
	t.Parallel()
	bad := spring("", "", "")
	bad.Grams, bad.Part.Origin = nil, ""
	foreign := spring("", "5", "NZD")
	foreign.Part.Code, foreign.Part.Origin = "SPF-84", "USA"
	free := spring("", "0", "EUR")
	free.Part.Code = "SPF-93"
	list := transport.GeneralListOf([]transport.Item{bad, bad, foreign, free}, euro)
	require.Equal(t, []string{
		"SPF-75: country of origin blank", "SPF-75: weight not known: weigh one", "SPF-75: value blank: give the lot a cost or a list value",
		`SPF-84: country of origin: found "USA", expected two letters such as IT`, "SPF-84: value in NZD, and no exchange rate to EUR is known",
		"SPF-93: value 0: customs wants what it is worth, also of a thing that came free",
	}, list.Faults)
	require.Nil(t, list.Lines[0].Value)
	require.Nil(t, list.Lines[0].Grams)

	part := func(code, kind, heading string) transport.Item {
		return transport.Item{Part: planner.Part{Code: code, Kind: kind, Unit: units.PC, CustomsHeading: heading, Origin: "SE"}, Quantity: 1, Grams: dec("1"), Value: dec("1"), Currency: "EUR"}
	}
	used := transport.UsedUpListOf([]transport.Item{part("A", "seal", ""), part("B", "seal", "4016"), part("C", "seal", "8714.91"), part("D", "hardware", "8714.91"), part("E", "seal", "4016.93.00")}, euro, "")
	require.Equal(t, []string{
		"A: customs heading (HS code) blank", `B: customs heading: found "4016", expected six digits or more such as 4016.93`,
		"C: customs heading: found 8714.91, the one of cycle parts; a seal has its own (rubber seals 4016.93, steel springs 7320.20)",
	}, used.Faults)
}

// By hand: two bottles, 1.5 l for 21.75 EUR, are 14.50 EUR a litre; three pieces for 1 EUR
// are 0.3333 each and 1.00 together.
func TestUsedUpList(t *testing.T) {
	t.Parallel()
	bottle := func(q units.Quantity, value string) transport.Item {
		return transport.Item{Part: planner.Part{Code: "OIL", Name: "bath oil", Kind: "oil", Unit: units.ML, CustomsHeading: "2710.19", Origin: "GB"}, Quantity: q, Containers: 1,
			Grams: dec("500"), Value: dec(value), Currency: "EUR"}
	}
	washers := transport.Item{Part: planner.Part{Code: "CRW", Name: "washer", Kind: "hardware", Unit: units.PC, CustomsHeading: "7318.22", Origin: "SI"}, Quantity: 3, Containers: 3, Grams: dec("2"), Value: dec("1"), Currency: "EUR"}
	list := transport.UsedUpListOf([]transport.Item{washers, bottle(500_000, "7.25"), bottle(1_000_000, "14.50"), spring("", "1", "EUR")}, euro, "used up")
	require.Empty(t, list.Faults)
	require.Len(t, list.Lines, 2)
	oil := list.Lines[0]
	require.Equal(t, "2710.19", oil.Heading)
	require.Equal(t, "1.5", oil.Quantity.String())
	require.Equal(t, "l", oil.Unit)
	require.Equal(t, "14.5", oil.UnitValue.String())
	require.Equal(t, "21.75", oil.Amount.String())
	require.Equal(t, "0.3333", list.Lines[1].UnitValue.String())
	require.Equal(t, "1", list.Lines[1].Amount.String())
	require.Equal(t, "22.75", list.Value.String())
	require.Equal(t, "1002", list.Grams.String())
}
