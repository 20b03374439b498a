package seasonfile_test

import (
	"errors"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
)

// FuzzReadSheet reads any text as the sheet of a spreadsheet: it is read or refused, and
// what is read can be parsed; nothing panics.
func FuzzReadSheet(f *testing.F) {
	f.Add(riderRows, "<sst><si><t>rider</t></si><si><t>name</t></si></sst>")
	f.Add(`<row><c t="b"><v>1</v></c><c t="e"><v>#REF!</v></c><c t="d"><v>2027-06-05</v></c></row>`, "<sst/>")
	f.Add(`<row r="2"><c r="C2" s="1"/><c r="A2"><is><t>_x000D_</t></is></c><!-- a > b --></row>`, "<sst><![CDATA[ ]]></sst>")
	f.Fuzz(func(t *testing.T, sheet, shared string) {
		parts := smallest(sheet)
		parts[4].text = shared
		in, err := readBytes(t, zipped(t, parts), seasonfile.Limits{})
		if err != nil {
			require.ErrorIs(t, err, seasonfile.ErrRefused)
			return
		}
		_, _ = workbook.Load(in, nil)
	})
}

// FuzzReadFile reads any bytes as a spreadsheet.
func FuzzReadFile(f *testing.F) {
	f.Add(zipped(f, smallest(riderRows)))
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, data []byte) {
		if _, err := readBytes(t, data, seasonfile.Limits{}); err != nil {
			require.ErrorIs(t, err, seasonfile.ErrRefused)
		}
	})
}

// FuzzReadCSV reads any bytes as a sheet of a folder.
func FuzzReadCSV(f *testing.F) {
	f.Add([]byte("rider;name\nYM;\"a\"\"b\"\n"))
	f.Add([]byte("sep=;\n\xef\xbb\xbf\"\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		folder := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(folder, "riders.csv"), data, 0o600))
		in, err := seasonfile.Read(folder, seasonfile.Limits{})
		if err != nil {
			require.True(t, errors.Is(err, seasonfile.ErrRefused), err)
			return
		}
		_, _ = workbook.Load(in, nil)
	})
}
