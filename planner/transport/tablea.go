package transport

import (
	"fmt"
	"strings"

	"roundkit/planner/units"
)

// Measure is how a substance counts for the points of ADR 1.1.3.6.3.
type Measure string

// The measures: articles by their whole mass without packaging, liquids by their litres,
// liquefied gases by their net mass, compressed gases by the water capacity of the vessel.
const (
	MassOfArticles Measure = "kg, whole articles"
	Litres         Measure = "l"
	NetMass        Measure = "kg net"
	WaterCapacity  Measure = "l water capacity"
)

// Flight is what air carriers do with a substance.
type Flight string

// The two that matter to whoever packs: leave it at home, or ask first.
const (
	NeverFlies Flight = "never"
	AskCarrier Flight = "carrier's word"
)

// Substance is one entry of ADR table A as far as a race truck needs it.
type Substance struct {
	UN, Code  string // Code is the classification code or packing group that tells entries of one number apart
	Name      string
	Label     string
	Category  int            // transport category
	Tunnel    string         // "" for none
	InnerUL   units.Quantity // limited quantities: largest inner packaging, ul or mg; 0 for none
	FreeUL    units.Quantity // free of the rules up to this inner packaging (special provision 375)
	Measure   Measure
	Flight    Flight
	FlightWhy string
	// Settled: the number alone says which entry it is; otherwise its code must be said.
	Settled bool
}

const litre = 1_000_000

// tableA is standards facts of ADR table A (edition: ADR). Where a number has several
// entries, the strictest comes first.
var tableA = []Substance{
	{UN: "1950", Code: "5F", Name: "aerosols, flammable", Label: "2.1", Category: 2, Tunnel: "D", InnerUL: litre, Measure: MassOfArticles,
		Flight: NeverFlies, FlightWhy: "flammable workshop aerosols stay at home"},
	{UN: "1950", Code: "5A", Name: "aerosols, not flammable", Label: "2.2", Category: 3, Tunnel: "E", InnerUL: litre, Measure: MassOfArticles,
		Flight: AskCarrier, FlightWhy: "baggage takes 0.5 kg or l each, 2 a person; the team's stock is cargo"},
	{UN: "1219", Name: "isopropanol", Label: "3", Category: 2, Tunnel: "D/E", InnerUL: litre, Measure: Litres, Settled: true,
		Flight: NeverFlies, FlightWhy: "solvents stay at home"},
	{UN: "1203", Name: "petrol", Label: "3", Category: 2, Tunnel: "D/E", InnerUL: litre, Measure: Litres, Settled: true,
		Flight: NeverFlies, FlightWhy: "fuel stays at home"},
	{UN: "1993", Code: "II", Name: "flammable liquid, n.o.s.", Label: "3", Category: 2, Tunnel: "D/E", InnerUL: litre, Measure: Litres,
		Flight: NeverFlies, FlightWhy: "solvents stay at home"},
	{UN: "1133", Code: "II", Name: "adhesives, flammable", Label: "3", Category: 2, Tunnel: "D/E", InnerUL: 5 * litre, Measure: Litres,
		Flight: NeverFlies, FlightWhy: "solvents stay at home"},
	{UN: "1268", Code: "III", Name: "petroleum distillates", Label: "3", Category: 3, Tunnel: "D/E", InnerUL: 5 * litre, Measure: Litres,
		Flight: NeverFlies, FlightWhy: "solvents stay at home"},
	{UN: "3082", Name: "environmentally hazardous liquid, n.o.s.", Label: "9", Category: 3, InnerUL: 5 * litre, FreeUL: 5 * litre, Measure: Litres, Settled: true,
		Flight: AskCarrier, FlightWhy: "cargo needs a trained shipper and a declaration"},
	{UN: "1066", Name: "nitrogen, compressed", Label: "2.2", Category: 3, Tunnel: "E", InnerUL: litre * 12 / 100, Measure: WaterCapacity, Settled: true,
		Flight: NeverFlies, FlightWhy: "gas bottles stay at home: hire one there"},
	{UN: "1013", Name: "carbon dioxide", Label: "2.2", Category: 3, Tunnel: "C/E", InnerUL: litre * 12 / 100, Measure: NetMass, Settled: true,
		Flight: AskCarrier, FlightWhy: "four cartridges of 50 ml a person with approval; the USA has refused them since 2024"},
	{UN: "2037", Code: "5A", Name: "gas cartridges, not flammable", Label: "2.2", Category: 3, Tunnel: "E", InnerUL: litre, Measure: MassOfArticles,
		Flight: AskCarrier, FlightWhy: "four cartridges of 50 ml a person with approval; the USA has refused them since 2024"},
	{UN: "3164", Name: "articles, pressurized, such as dampers under gas", Label: "2.2", Category: 3, Tunnel: "E", InnerUL: litre * 12 / 100, Measure: MassOfArticles, Settled: true,
		Flight: AskCarrier, FlightWhy: "ask the operator, or let the damper down to zero gauge and say so"},
	{UN: "3480", Name: "lithium ion batteries", Label: "9A", Category: 2, Tunnel: "E", Measure: MassOfArticles, Settled: true,
		Flight: AskCarrier, FlightWhy: "spare ones in hand baggage only: to 100 Wh free, to 160 Wh two with approval, above forbidden"},
}

// countedAsStrictest are numbers of which a workshop meets only the entries above, so that
// the strictest of them is a safe count for one that does not say which it is.
var countedAsStrictest = map[string]string{
	"1950": "flammable or not is not said, so it is counted as flammable (5F); a toxic or corrosive one counts more",
}

// Found is a substance and what was taken for granted to find it.
type Found struct {
	Substance
	Taken string
}

// FindSubstance looks up what a part's UN number cell says: "1950", "UN 1950", "1950 5A",
// "1993 II". It returns ErrGoods for a number that is not in the table, and for one whose
// packing group or code is needed and not said: neither is guessed.
func FindSubstance(cell string) (Found, error) {
	words := strings.Fields(strings.ToUpper(cell))
	if len(words) > 0 {
		words[0] = strings.TrimPrefix(words[0], "UN")
		if words[0] == "" {
			words = words[1:]
		}
	}
	if len(words) == 0 || len(words) > 2 || len(words[0]) != 4 || strings.Trim(words[0], "0123456789") != "" {
		return Found{}, fmt.Errorf("%w: found UN number %q, expected four digits such as 1950, with a code or packing group where needed (1950 5A, 1993 II)", ErrGoods, cell)
	}
	var known []string
	for _, s := range tableA {
		if s.UN != words[0] {
			continue
		}
		switch {
		case len(words) == 1 && s.Settled, len(words) == 2 && s.Code == words[1]:
			return Found{Substance: s}, nil
		case len(words) == 1 && countedAsStrictest[s.UN] != "":
			return Found{s, countedAsStrictest[s.UN]}, nil
		}
		known = append(known, strings.TrimSpace(s.UN+" "+s.Code))
	}
	if len(known) == 0 {
		return Found{}, fmt.Errorf("%w: UN %s is not in the table: read section 14 of its data sheet and ask the adviser", ErrGoods, words[0])
	}
	return Found{}, fmt.Errorf("%w: found %q, expected %s: other codes and groups of the number count otherwise, so read section 14 of the data sheet", ErrGoods, cell, strings.Join(known, " or "))
}
