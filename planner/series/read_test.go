package series

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRead(t *testing.T) {
	t.Parallel()
	want := []Part{{"A", []int32{3, 0, 2}}, {"B", []int32{1}}}
	for what, text := range map[string]string{
		"plain":                        "part,period,quantity\nA,2026-01,3\nA,2026-03,2\nB,2026-03,1\n",
		"other order, and a column":    "quantity,notes,part,period\n1,,B,2026-03\n2,x,A,2026-03\n3,\"a, b\",A,2026-01\n",
		"carriage returns, a BOM":      "\uFEFFpart,period,quantity\r\nA,2026-01,3\r\nA,2026-03,2\r\nB,2026-03,1\r\n",
		"semicolons":                   "part;period;quantity\nA;2026-01;3\nA;2026-03;2.0\nB;2026-03;1\n",
		"spaces, headings in capitals": "Part, Period, Quantity\nA , 2026-01, 3\nA, 2026-03, 2\n\nB, 2026-03, 1",
	} {
		table, err := Read("use.csv", strings.NewReader(text))
		require.NoError(t, err, what)
		require.Equal(t, want, table.Parts, what)
		require.Equal(t, "2026-03", table.Last.Name(table.Length), what)
		require.Equal(t, 1, table.Filled, what)
	}
}

func TestWhatIsWrongInAHistory(t *testing.T) {
	t.Parallel()
	const head = "part,period,quantity\n"
	for text, want := range map[string]string{
		"":                       "use.csv: found nothing, expected a first line with the columns part, period, quantity",
		"part,month,quantity\n":  "use.csv, line 1: found no column period, expected part, period, quantity",
		head[:5] + head:          "use.csv, line 1: found column part twice, expected it once",
		head:                     "use.csv: found no rows, expected at least one period of one part",
		head + "A,2026-01,1.5\n": `use.csv, line 2, column quantity: found "1.5", expected a whole number`,
		head + "A,2026-01,-1\n":  `use.csv, line 2, column quantity: found "-1", expected a whole number from 0 to 1000000000`,
		head + "A,2026-01,1e3\n": `use.csv, line 2, column quantity: found "1e3", expected a whole number from 0 to 1000000000`,
		head + "A,2026-01,\n":    `use.csv, line 2, column quantity: found "", expected a whole number from 0 to 1000000000`,
		head + "A,2026-01,9999999999999999999999\n": `use.csv, line 2, column quantity: found "9999999999999999999999", expected a whole number from 0 to 1000000000`,
		head + "A,2026-01\n":                        "use.csv, line 2, column 3: found 2 cells, expected at least 3",
		head + "\n,2026-01,1\n":                     `use.csv, line 3, column part: found "", expected a code of 1 to 100 characters`,
		head + "A,2026-13,1\n":                      `use.csv, line 2, column period: found "2026-13", expected a month from 01 to 12`,
		head + "A,2026-01,1\nA,2026-W02,1\n":        `use.csv, line 3, column period: found the week "2026-W02", expected a month as in the rows before`,
		head + "A,2026-01,1\nB,0026-01,1\n":         `use.csv, line 3, column period: found "0026-01", expected all periods within 1200 of each other`,
		head + "A,2026-01,1\nA,2026-01,1\n":         "use.csv, line 3: found A 2026-01 again, expected it once: it stands on line 2",
		head + "A,\"2026-01,1\n":                    `use.csv, line 2, column 14: extraneous or missing " in quoted-field`,
	} {
		_, err := Read("use.csv", strings.NewReader(text))
		require.EqualError(t, err, want, "%q", text)
	}
	_, err := Read("use.csv", strings.NewReader(head+strings.Repeat("A,2026-01,x\n", 100)))
	require.Len(t, strings.Split(err.Error(), "\n"), mostFaults+1, "the first of many")
}
