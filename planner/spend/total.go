package spend

import "math/big"

// Total adds rows up.
func Total(rows []Row) Row {
	w := &work{rows: map[string]*Row{}}
	t := w.row("")
	for _, r := range rows {
		for _, x := range []struct{ to, of *big.Rat }{
			{t.Used, r.Used}, {t.AllocationList, r.AllocationList}, {t.Scrapped, r.Scrapped}, {t.Difference, r.Difference}, {t.Charges, r.Charges},
			{t.Bought, r.Bought}, {t.Committed, r.Committed}, {t.Budget, r.Budget}, {t.ExpectedList, r.ExpectedList},
			{t.ExpectedAllocationList, r.ExpectedAllocationList},
		} {
			x.to.Add(x.to, x.of)
		}
	}
	return *t
}
