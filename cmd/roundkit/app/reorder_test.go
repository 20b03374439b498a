package app

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/cmd/roundkit/frame"
	"roundkit/reports/answer"
	"roundkit/testdata/answers"
)

// Offers with something wrong that a person may well have typed: reorder names each, in its
// notes, and plans the rest. What is plainly wrong the workbook's check has refused before.
func TestReorderOfBadOffers(t *testing.T) {
	t.Parallel()
	offer := func(supplier, part string, set map[string]string) answers.Patch {
		return answers.Patch{File: "offers.csv", Where: map[string]string{"supplier": supplier, "part": part}, Set: set}
	}
	url := seasonURL(t, []answers.Patch{
		offer("SRN", "FNS-10", map[string]string{"price per pack": "0"}),
		offer("SRN", "OSL-40", map[string]string{"currency": "SEK"}),
		offer("SRN", "FRG-40", map[string]string{"lead days": "380", "lead days 95 %": "400"}),
		offer("PLG", "RAG-LF", map[string]string{"part": "SPF-58"}),
		offer("PLG", "GLV-NIT", map[string]string{"minimum packs": "40"}),
		{File: "parts.csv", Where: map[string]string{"part": "GLV-NIT"}, Set: map[string]string{"storage life months": "1"}},
	})
	env, out, errs := terminal(map[string]string{"DATABASE_URL": url, "NO_COLOR": "1"})
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"reorder"}), errs)
	screen := out.String()
	env, out, errs = terminal(map[string]string{"DATABASE_URL": url})
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"reorder", "--json"}), errs)
	var got answer.Reorder
	require.NoError(t, json.Unmarshal(out.Bytes(), &got))
	require.Equal(t, []string{
		"OSL-40 from SRN: no exchange rate of SEK to EUR by 2027-06-05, so it is not summed with the rest",
		"FRG-40 from SRN: its lead time of 400 days is longer than the season",
		"FNS-10 from SRN: its price is 0",
		"RAG-LF: no supplier offers it, so it is not ordered",
		"GLV-NIT from PLG: 40 packs are the least they sell, but 37 of those ordered on 2027-08-18 will not be used before its storage life of 1 month ends on 2027-09-23",
	}, got.Notes)
	for _, note := range got.Notes {
		require.Contains(t, strings.Join(strings.Fields(screen), " "), note)
	}
	var parts []string
	for _, o := range got.Orders {
		for _, l := range o.Lines {
			parts = append(parts, o.Supplier+" "+l.Part)
		}
	}
	require.Subset(t, parts, []string{"SRN WIP-40", "SRN FNS-10", "SRN OSL-40", "PLG GLV-NIT", "VEL KIT-DMP40"})
	require.NotContains(t, parts, "SRN FRG-40")
	require.NotContains(t, parts, "PLG RAG-LF")
}

// What the check of the workbook refuses it names by file, row and column, all at once, and
// loads nothing.
func TestLoadRefusesBadOffers(t *testing.T) {
	t.Parallel()
	url := loaded(t, "../../../testdata/first")
	folder := filepath.Join(t.TempDir(), "bad")
	require.NoError(t, os.Mkdir(folder, 0o700))
	write := func(name, text string) {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
	}
	write("offers.csv", "supplier,part,preference,supplier number,pack,unit,price per pack,currency,minimum packs,lead days,lead days 95 %,notes\n"+
		"SHOP,WIPER,1,07,2,pc,5.00,Euro,0,9,4,\nSHOP,WASHER,1,08,0,pc,-1,EUR,1,4,6,\n")
	write("suppliers.csv", "supplier,name,country,currency\nSHOP,Shop,SI,EUR\n")
	write("price-breaks.csv", "supplier,part,from packs,price per pack,applies to,notes\nSHOP,WIPER,5,5.50,all packs,\nSHOP,OIL,5,1.00,all packs,\n")
	env, _, errs := terminal(map[string]string{"DATABASE_URL": url, "ROUNDKIT_HOME": t.TempDir()})
	require.Equal(t, frame.Refused, Run(t.Context(), env, []string{"workbook", "load", folder}))
	_, said, _ := strings.Cut(errs.String(), "roundkit: ") // after the progress
	require.Equal(t, `7 faults in the workbook:
  bad/offers.csv, line 2, column currency: found "Euro", expected a currency code of ISO 4217, such as EUR
  bad/offers.csv, line 2, column minimum packs: found "0", expected 1 or more
  bad/offers.csv, line 2, column lead days 95 %: found "4", expected at least the typical 9
  bad/offers.csv, line 3, column price per pack: found "-1", expected nothing below zero
  bad/offers.csv, line 3, column pack: found "0", expected a quantity above zero
  bad/price-breaks.csv, line 2, column price per pack: found "5.50", expected less than 5, the price of fewer packs
  bad/price-breaks.csv, line 3, column part: found "OIL", expected a part that SHOP offers in the sheet offers
hint: nothing was loaded; mend these and load again
`, said)
	env, out, errs := terminal(map[string]string{"DATABASE_URL": url})
	require.Equal(t, frame.Done, Run(t.Context(), env, []string{"reorder", "--season", "2029", "--json"}), errs)
	require.Contains(t, out.String(), "WIPER: no supplier offers it", "nothing of it was loaded")
}
