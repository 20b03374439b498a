package workbook

// isExample reports whether a row is the grey example row of a new workbook, untouched.
func (r *sheetReader) isExample(row Row) bool { return false }
