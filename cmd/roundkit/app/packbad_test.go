package app

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
	"roundkit/testdata/answers"
)

// changing is a patch of one column where another has a value.
func changing(file, where, is, set, to string) answers.Patch {
	return answers.Patch{File: file, Where: map[string]string{where: is}, Set: map[string]string{set: to}}
}

// What a load is asked for in vain, through the command: what cannot be met and the nearest
// that can, in one line each.
func TestPackBadInput(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name   string
		patch  []answers.Patch
		line   string
		status int
		want   string // a whole line, of the complaint or of what is printed
	}{
		{"limit below what must be carried (2 l in two sealed bottles of 964 g: 1.928 kg)", nil, "pack TR-TES --alone --carry OIL-B68=2l --limit-kg 1", frame.Refused,
			"roundkit: pack TR-TES: what must be carried is over a limit: limit of kilos: found 1.928 kg that must be carried (OIL-B68 1.928 kg), expected at most 1; the least limit that can be met is 1.928 kg"},
		{"nothing available: no stock is booked by then", []answers.Patch{changing("trips.csv", "trip", "TR-PEL", "pack by", "2027-02-01")}, "pack TR-PEL --as-of 2027-01-11", frame.Done,
			"note: nothing can be had by 2027-02-01: no stock at home is good to the trip's end and free, and no order is due in time"},
		{"nothing available, in the first line", []answers.Patch{changing("trips.csv", "trip", "TR-PEL", "pack by", "2027-02-01")}, "pack TR-PEL --as-of 2027-01-11", frame.Done,
			"TR-PEL: nothing to pack by 2027-02-01: 31 parts are short and no more of them can be had"},
		{"a part heavier than every case (32 kg less 0.5 kg and the case of 8 kg)", []answers.Patch{changing("parts.csv", "part", "LWR-40", "mass g", "40000")}, "pack TR-TES --alone", frame.Done,
			"note: LWR-40: piece of 40000 g fits no case (at most 23500 g in one): send it as freight, or fill smaller ones"},
		{"unknown hazards", []answers.Patch{changing("parts.csv", "kind", "gas", "un number", ""), changing("parts.csv", "kind", "cleaner", "un number", "")}, "pack TR-COM", frame.Done,
			"note: no UN number known, which does not make it harmless: CLN-AER, N2-5L; read the data sheet and ask the carrier before it is packed"},
		{"an oil that is short and has no viscosity", []answers.Patch{changing("liquids.csv", "part", "OIL-B68", "viscosity at 40 C cSt", "")}, "pack TR-TES --alone --leave OIL-B68", frame.Done,
			"note: OIL-B68: no viscosity at 40 C is known, so no blend can stand in for it: fill it in on the sheet liquids"},
		{"a blend for an oil without a viscosity", []answers.Patch{changing("liquids.csv", "part", "OIL-B68", "viscosity at 40 C cSt", "")}, "oil blend --want OIL-B68", frame.Refused,
			"roundkit: mix: OIL-B68 has no viscosity at 40 C in the liquids sheet: nothing can be said to equal it"},
		{"a trip with no rounds", []answers.Patch{changing("rounds.csv", "round", "TES", "trip", "")}, "pack TR-TES", frame.Refused,
			"roundkit: pack: trip TR-TES: found no round, expected at least one: name the trip at its rounds on the sheet rounds"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			run := person(t, seasonURL(t, c.patch))
			out, errs := run(c.status, strings.Fields(c.line)...)
			if c.status == frame.Done {
				require.NotContains(t, errs, "roundkit:", "no complaint; past 2 s a terminal shows what is going on")
				require.Contains(t, strings.Join(strings.Fields(out), " ")+" ", c.want+" ", "also where the line is broken for the width")
				return
			}
			require.Empty(t, out)
			require.Equal(t, c.want+"\n", errs)
		})
	}
}

// What a packed trip has away is not another's during its dates, and is again once it is
// back: the Alp Tschuvel trip, packed on 24 August, takes the crush washers from the cases of the
// fly-away that is back on the 16th, also on the day they come back, and not while they are away.
func TestPackedForAnotherTrip(t *testing.T) {
	t.Parallel()
	for back, want := range map[string]bool{"2027-08-16": true, "2027-08-24": true, "2027-08-25": false} {
		t.Run(back, func(t *testing.T) {
			t.Parallel()
			run := person(t, seasonURL(t, []answers.Patch{changing("trips.csv", "trip", "TR-TES", "back", back)}))
			run(frame.Done, "pack", "TR-TES", "--alone", "--confidence", "0.95", "--packed")
			inCases := 0.0
			for _, at := range []string{"FC-1", "FC-2", "FC-3", "FC-4", "FC-5"} {
				inCases += held(reads[[]answer.Stock](t, run, "stock --at "+at), "CRW-10")
			}
			require.Positive(t, inCases)
			list := reads[answer.Pack](t, run, "pack TR-TSC --alone --confidence 0.95")
			require.NotEmpty(t, list.Lines)
			taken := 0.0
			for _, l := range list.Lines {
				if strings.HasPrefix(l.Place, "FC-") {
					require.True(t, want, "%s from %s, which is away", l.Part, l.Place)
					if l.Part == "CRW-10" {
						taken += l.Quantity
					}
				}
			}
			if want {
				require.Positive(t, taken)
			} else {
				require.Zero(t, taken)
			}
		})
	}
}
