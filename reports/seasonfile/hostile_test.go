package seasonfile_test

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/workbook"
	"roundkit/reports/seasonfile"
)

// part is one file inside a spreadsheet.
type part struct{ name, text string }

const xmlHead = `<?xml version="1.0" encoding="UTF-8" standalone="yes"?>` + "\n"

// smallest is the least that is a spreadsheet: two sheets, shared texts, styles.
func smallest(sheet string) []part {
	return []part{
		{"[Content_Types].xml", xmlHead + `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>`},
		{"_rels/.rels", xmlHead + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>`},
		{"xl/workbook.xml", xmlHead + `<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="riders" sheetId="1" r:id="rId1"/></sheets></workbook>`},
		{"xl/_rels/workbook.xml.rels", xmlHead + `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>`},
		{"xl/sharedStrings.xml", xmlHead + `<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>rider</t></si><si><r><t>na</t></r><r><t>me</t></r></si></sst>`},
		{"xl/worksheets/sheet1.xml", xmlHead + `<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>` + sheet + `</sheetData></worksheet>`},
	}
}

const riderRows = `<row r="1"><c r="A1" t="s"><v>0</v></c><c r="B1" t="s"><v>1</v></c></row><row r="2"><c r="A2" t="inlineStr"><is><t>YM</t></is></c><c r="B2" t="str"><v>Ysolde &amp; co</v></c></row>`

func zipped(t testing.TB, parts []part) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, p := range parts {
		w, err := z.Create(p.name)
		require.NoError(t, err)
		_, err = io.WriteString(w, p.text)
		require.NoError(t, err)
	}
	require.NoError(t, z.Close())
	return b.Bytes()
}

func readBytes(t testing.TB, data []byte, limits seasonfile.Limits) (workbook.Input, error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "season.xlsx")
	require.NoError(t, os.WriteFile(path, data, 0o600))
	return seasonfile.Read(path, limits)
}

// TestSmallestSpreadsheet: the base of the table below is read.
func TestSmallestSpreadsheet(t *testing.T) {
	t.Parallel()
	in, err := readBytes(t, zipped(t, smallest(riderRows)), seasonfile.Limits{})
	require.NoError(t, err)
	parsed, faults := workbook.Parse(in, nil)
	require.Empty(t, faults.Lines())
	require.Equal(t, "Ysolde & co", parsed.Book.Riders[0].Name)
}

// TestHostileSpreadsheets: each ends in one clear line. The library alone says nothing of
// a wrong size, an entity or a bad shared text, as was measured.
func TestHostileSpreadsheets(t *testing.T) {
	t.Parallel()
	with := func(name, text string) func(testing.TB) []byte {
		return func(t testing.TB) []byte {
			parts := smallest(riderRows)
			for i, p := range parts {
				if p.name == name {
					parts[i].text = text
					return zipped(t, parts)
				}
			}
			return zipped(t, append(parts, part{name, text}))
		}
	}
	rows := func(text string) func(testing.TB) []byte {
		return func(t testing.TB) []byte { return zipped(t, smallest(text)) }
	}
	for _, c := range []struct {
		name string
		file func(testing.TB) []byte
		want string
	}{
		{"macros", with("xl/vbaProject.bin", "x"), `season.xlsx: found macros, expected a workbook without (save it as .xlsx)`},
		{"links to other workbooks", with("xl/externalLinks/externalLink1.xml", "<a/>"), `season.xlsx: found links to other workbooks, expected none (break the links and save)`},
		{"a document type", with("xl/sharedStrings.xml", `<!DOCTYPE sst [<!ENTITY a "aaaa">]><sst><si><t>&a;</t></si></sst>`), `season.xlsx: found damaged XML: found a document type, expected none in xl/sharedStrings.xml, expected a whole .xlsx`},
		{"an entity", with("xl/sharedStrings.xml", `<sst><si><t>&lol;</t></si></sst>`), `season.xlsx: found damaged XML: found the entity "&lol;", expected one of XML's own in xl/sharedStrings.xml, expected a whole .xlsx`},
		{"a shared text that is not there", rows(`<row r="1"><c r="A1" t="s"><v>7</v></c></row>`), `season.xlsx, sheet riders, A1: found text number "7", expected one below 2`},
		{"a million columns", rows(`<row r="1"><c r="BDWGN1"><v>1</v></c></row>`), `season.xlsx, sheet riders, BDWGN1: found a value in column BDWGN, expected at most 200 columns`},
		{"a last column", rows(`<row r="1"><c r="XFD1"><v>1</v></c></row>`), `season.xlsx, sheet riders, XFD1: found a value in column XFD, expected at most 200 columns`},
		{"a row beyond the sheet", rows(`<row r="1048577"><c r="A1048577"><v>1</v></c></row>`), `season.xlsx, sheet riders: found row "1048577" after row 0, expected rows in order up to 1048576`},
		{"rows out of order", rows(riderRows + `<row r="1"><c r="A1"><v>1</v></c></row>`), `season.xlsx, sheet riders: found row "1" after row 2, expected rows in order up to 1048576`},
		{"a cell of a hundred megabytes", rows(`<row r="1"><c r="A1" t="inlineStr"><is><t>` + strings.Repeat("x", 100<<20) + `</t></is></c></row>`), `season.xlsx: found more than 67108864 bytes when unpacked, expected less`},
		{"a cell of a megabyte", rows(`<row r="1"><c r="A1" t="inlineStr"><is><t>` + strings.Repeat("x", 1<<20) + `</t></is></c></row>`), `season.xlsx: found a text of more than 131072 bytes in xl/worksheets/sheet1.xml, expected less`},
		{"a megabyte in pieces", rows(`<row r="1"><c r="A1" t="inlineStr"><is>` + strings.Repeat(`<r><t>`+strings.Repeat("x", 1000)+`</t></r>`, 1000) + `</is></c></row>`), `season.xlsx, sheet riders, A1: found a text of more than 131072 bytes, expected less`},
		{"XML cut off", with("xl/worksheets/sheet1.xml", `<worksheet><sheetData><row r="1">`), `season.xlsx: found damaged XML: it ends too early in xl/worksheets/sheet1.xml, expected a whole .xlsx`},
		{"XML that does not match", with("xl/worksheets/sheet1.xml", `<worksheet><sheetData></worksheet>`), `season.xlsx: found damaged XML: </worksheet> closes <sheetData> in xl/worksheets/sheet1.xml, expected a whole .xlsx`},
		{"another encoding", with("xl/workbook.xml", `<?xml version="1.0" encoding="UTF-16"?><workbook/>`), `season.xlsx: found damaged XML: found the encoding "UTF-16", expected UTF-8 in xl/workbook.xml, expected a whole .xlsx`},
		{"elements without end", with("xl/worksheets/sheet1.xml", strings.Repeat("<a>", 1000)), `season.xlsx: found damaged XML: elements 200 deep in xl/worksheets/sheet1.xml, expected a whole .xlsx`},
		{"no sheet of the season", with("xl/workbook.xml", `<workbook><sheets><sheet name="shirts" id="rId1"/></sheets></workbook>`), `season.xlsx: found no sheet of the season, expected sheets such as season, parts, stock`},
		{"a sheet twice", with("xl/workbook.xml", `<workbook><sheets><sheet name="riders" id="rId1"/><sheet name="Riders " id="rId1"/></sheets></workbook>`), `season.xlsx: found the sheets "riders" and "Riders ", expected one sheet riders`},
		{"a sheet that is not there", with("xl/workbook.xml", `<workbook><sheets><sheet name="riders" id="rId9"/></sheets></workbook>`), `season.xlsx: found no cells for the sheet riders, expected a whole .xlsx`},
		{"a file twice", func(t testing.TB) []byte { return zipped(t, append(smallest(riderRows), part{"xl/workbook.xml", ""})) }, `season.xlsx: found "xl/workbook.xml" twice inside, expected each file once`},
		{"many files", func(t testing.TB) []byte {
			parts := smallest(riderRows)
			for i := range 3000 {
				parts = append(parts, part{fmt.Sprintf("x/%d", i), ""})
			}
			return zipped(t, parts)
		}, `season.xlsx: found 3006 files inside, expected at most 2000`},
		{"a zip that lies about a size", func(t testing.TB) []byte { return lie(t, zipped(t, smallest(riderRows))) }, `season.xlsx: found xl/worksheets/sheet1.xml damaged (unexpected EOF), expected a whole .xlsx`},
		{"an OpenDocument file", func(t testing.TB) []byte {
			return zipped(t, []part{{"mimetype", "application/vnd.oasis.opendocument.spreadsheet"}, {"content.xml", "<a/>"}})
		}, `season.xlsx: found an OpenDocument spreadsheet, expected it saved as .xlsx`},
		{"an old or locked file", func(testing.TB) []byte { return []byte("\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1 and more") }, `season.xlsx: found an old .xls or one with a password, expected .xlsx without a password`},
		{"no spreadsheet at all", func(testing.TB) []byte { return []byte("a,b,c\n") }, `season.xlsx: found no spreadsheet, expected .xlsx or a folder of CSV files`},
		{"an empty file", func(testing.TB) []byte { return nil }, `season.xlsx: found an empty file, expected a spreadsheet (.xlsx)`},
		{"half a file", func(t testing.TB) []byte { z := zipped(t, smallest(riderRows)); return z[:len(z)/2] }, `season.xlsx: found a damaged spreadsheet, expected a whole .xlsx`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			_, err := readBytes(t, c.file(t), seasonfile.Limits{})
			require.EqualError(t, err, c.want)
			require.ErrorIs(t, err, seasonfile.ErrRefused)
			require.NotContains(t, err.Error(), "\n")
		})
	}
}

// lie sets the size of the sheet in the directory of the zip one too high.
func lie(t testing.TB, data []byte) []byte {
	t.Helper()
	name := []byte("xl/worksheets/sheet1.xml")
	at := bytes.LastIndex(data, name) - 46 // the directory's entry begins 46 bytes before its name
	require.Equal(t, "PK\x01\x02", string(data[at:at+4]))
	size := data[at+24 : at+28]
	binary.LittleEndian.PutUint32(size, binary.LittleEndian.Uint32(size)+1)
	return data
}

// TestBombStaysSmall: fifty megabytes of cells packed into a few kilobytes stop at the
// number of cells, a gigabyte at its size, both without the memory.
func TestBombStaysSmall(t *testing.T) {
	row := `<row><c t="inlineStr"><is><t>x</t></is></c></row>`
	bomb := zipped(t, smallest(strings.Repeat(row, 60<<20/len(row))))
	require.Less(t, len(bomb), 1<<20)
	runtime.GC()
	peak := watchHeap()
	_, err := readBytes(t, bomb, seasonfile.Limits{Cells: 500_000})
	require.EqualError(t, err, "season.xlsx, sheet riders, A500001: found more than 500000 cells in the workbook, expected less")
	require.Less(t, peak(), uint64(200e6), "bounded memory")
}

// TestFormulas: of a formula the value stored with it is taken and marked, whatever it is; a
// text may be nothing; one that was never calculated is a fault in its cell, beside others.
func TestFormulas(t *testing.T) {
	t.Parallel()
	in, err := readBytes(t, zipped(t, smallest(riderRows+`<row r="3"><c r="A3" t="str"><f>A2&amp;"X"</f><v>YMX</v></c><c r="B3" t="str"><f>IF(A9="","",A9)</f><v></v></c></row>`+
		`<row r="4"><c r="A4"><f>1+1</f><v>2</v></c><c r="B4"><f>B3</f></c></row><row r="5"><c r="A5"><f>B2</f><v/></c><c r="B5" t="e"><f>1/0</f><v>#DIV/0!</v></c></row>`)), seasonfile.Limits{})
	require.NoError(t, err)
	none := workbook.Cell{Type: workbook.CellError, Text: workbook.NoStoredValue, Formula: true}
	rows := in.Sheets[0].Rows[2:]
	require.Equal(t, []workbook.Cell{{Text: "YMX", Formula: true}}, rows[0].Cells)
	require.Equal(t, []workbook.Cell{{Text: "2", Type: workbook.CellNumber, Formula: true}, none}, rows[1].Cells)
	require.Equal(t, []workbook.Cell{none, {Text: "#DIV/0!", Type: workbook.CellError, Formula: true}}, rows[2].Cells)

	parsed, faults := workbook.Parse(in, nil)
	require.Contains(t, parsed.Notes, "season.xlsx, sheet riders: formulas in A3, A4: the values stored with them were taken, as they were last calculated")
	require.Equal(t, []string{
		`season.xlsx, sheet riders, B4 (name): found "a formula without a stored value", expected a name (a spreadsheet program stores it when it saves the file)`,
		`season.xlsx, sheet riders, A5 (rider): found "a formula without a stored value", expected the code of the rider (a spreadsheet program stores it when it saves the file)`,
		`season.xlsx, sheet riders, B5 (name): found "#DIV/0!", expected a name`,
	}, faults.Lines())
}

// TestHostileFolders: CSV files that are no such thing.
func TestHostileFolders(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ name, file, text, want string }{
		{"UTF-16", "riders.csv", "\xff\xfer\x00i\x00", `demo/riders.csv: found UTF-16 text, expected it saved as "CSV UTF-8"`},
		{"an old code page", "riders.csv", "rider,name\nYM,Ysold\xe9\n", `demo/riders.csv, line 2: found text that is not UTF-8, expected it saved as "CSV UTF-8"`},
		{"a quote that stays open", "riders.csv", "rider,name\nYM,\"Ysolde\n", `demo/riders.csv, line 2: found extraneous or missing " in quoted-field, expected text in double quotes with inner quotes doubled`},
		{"a thousand columns", "riders.csv", strings.Repeat("a,", 1000) + "b\n", `demo/riders.csv, line 1: found 1001 columns, expected at most 200`},
		{"a long cell", "riders.csv", "rider\n" + strings.Repeat("x", 1<<20) + "\n", `demo/riders.csv, line 2: found a cell of 1048576 bytes, expected at most 131072`},
		{"no sheet", "shirts.csv", "a\n", `demo: found no CSV file of the season, expected files such as season.csv`},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			folder := filepath.Join(t.TempDir(), "demo")
			require.NoError(t, os.Mkdir(folder, 0o700))
			require.NoError(t, os.WriteFile(filepath.Join(folder, c.file), []byte(c.text), 0o600))
			_, err := seasonfile.Read(folder, seasonfile.Limits{})
			require.EqualError(t, err, c.want)
			require.ErrorIs(t, err, seasonfile.ErrRefused)
		})
	}
	_, err := seasonfile.Read(filepath.Join(t.TempDir(), "none"), seasonfile.Limits{})
	require.ErrorContains(t, err, "found no such file or folder")
}
