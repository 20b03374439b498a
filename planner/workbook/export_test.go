package workbook

// ExplainedHeadings lists the columns of the table of meanings.
func ExplainedHeadings() map[string][]string {
	m := map[string][]string{}
	for _, h := range helpTable {
		for _, c := range h.columns {
			m[h.name] = append(m[h.name], c[0])
		}
	}
	return m
}
