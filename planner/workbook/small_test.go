package workbook_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"roundkit/planner/workbook"
)

// smallSeason is a valid workbook of a few rows, invented; every test of one fault changes
// one thing of it. Cells are divided by |, the first line of a sheet is its heading.
const smallSeason = `
season
season|name|country|time zone|currency|first day|last day|confidence %
2027|Small season|AT|Europe/Vienna|EUR|2027-02-08|2027-10-15|95

parts
part|name|kind|unit|contents|tare g|mass g|home in workshop
OIL-A|bath oil|oil|ml|1000|92||W1
OIL-D|damper oil|oil|ml|1000|92||W1
SEAL|wiper|seal|pc|1||9|W1
RING|o-ring|seal|pc|1||0.3|W1
KIT|damper kit|seal kit|pc|1||38|W1
SPR1|spring soft|spring|pc|1||348|W1
SPR2|spring hard|spring|pc|1||363|W1
GREASE|grease|grease|g|500|60||W1

services
service|name|model kind|minutes|planned
FSS|seal service|fork|60|yes
DMP|damper rebuild|fork|55|yes
CRA|crash repair|fork||no
SWF|swap spring|fork|20|yes
WSH|wash|bike|20|yes

service-lines
service|part|own part|quantity|min|typical|max|allowance %|chance dry %|chance wet %|beta dry a|beta dry b
FSS|SEAL||2||||||||
FSS|OIL-A|||32|40|48|8||||
FSS|RING||1|||||25|70||
DMP|KIT||1||||||||
DMP||damper oil||170|185|200|15||||
DMP|RING||1|||||||2|8
SWF||fork spring|1||||||||
CRA|SEAL||1|||||10|||
WSH|GREASE||2||||||||

rounds
round|name|kind|trip|first day|last day|country|currency|steepness|wet chance %|riding days|weather|weather seen on
SER|Serra|race|TR1|2027-04-22|2027-04-25|IT|EUR|3|20|3|dry|2027-04-25
KAR|Kargratkogel|race||2027-06-10|2027-06-13|AT|EUR|4|35|3||

planned-jobs
round|service|assembly|jobs
SER|FSS||8
SER|DMP|F01|1
KAR|WSH||4

stock
place|part|lot|tag|quantity|unit|counted on
W1|OIL-A|||2500|ml|2027-02-08
W1|SEAL|L1||40|pc|2027-02-08
W1|SPR1|L2|SPR1#1|1|pc|2027-02-08
W1|OIL-D|L3|B1|800|ml|2027-02-08

people
person|name|role
u1|Dunja Felsch|mechanic

riders
rider|name|kitted mass kg
YM|Ysolde Marrick|68

models
model|name|kind
FK|fork, 40 mm|fork
BK|bike|bike

assemblies
assembly|model|rider|on bike|damper oil
B-A|BK|YM||
F01|FK|YM|B-A|OIL-D
F02|FK|YM||

spring-choices
rider|model|spring|steepness 1 %|steepness 3 %
YM|FK|SPR1|100|60
YM|FK|SPR2|0|40

trips
trip|name|goes by|truck|pack by|leaves|back|limit kg
TR1|Serra|truck|TRK|2027-04-20|2027-04-20|2027-04-27|900

top-ups
trip|date|round|from|how
TR1|2027-04-24|SER|W1|van

unplanned-rates
service|rate per bike-day|gamma a|gamma b bike-days|wet factor
CRA|0.11|||1.3

liquids
part|viscosity at 40 C cSt|viscosity at 100 C cSt|density at 20 C g/ml
OIL-A|68|10.4|0.872

springs
part|model|rate|rate unit|breaks per riding day
SPR1|FK|38|lb/in|0.01
SPR2|FK|43|lb/in|0.01

kit-contents
kit|part|quantity
KIT|RING|2

alternatives
part|alternative|preference
SEAL|RING|1

suppliers
supplier|name|country|currency|cut-off day|cut-off time
SRN|Sarnbeck Seals|SE|EUR|Tuesday|12:00

offers
supplier|part|preference|supplier number|pack|unit|price per pack|currency|minimum packs|lead days|lead days 95 %
SRN|SEAL|1|04022|10|pc|68.00|EUR|1|9|13

price-breaks
supplier|part|from packs|price per pack
SRN|SEAL|5|63.20
SRN|SEAL|10|60.00

closures
supplier|first day|last day
SRN|2027-07-05|2027-07-25

collections
supplier|round
SRN|SER

allocations
supplier|part|free quantity|unit|beyond % of list|first day|last day
SRN|KIT|36|pc|55|2027-01-01|2027-12-31

places
place|name|in|kind
W1|workshop||workshop
D1|drawer|W1|drawer
TRK|race truck||truck
FC1|case||case
L-1|neighbours||lent

cases
case|limit kg|tare kg|fixed content kg
FC1|23|5.20|1

lots
lot|part|supplier|order|from lot|received|expires|quantity|unit|cost|currency
L1|SEAL|SRN|||2027-01-15|2032-01-15|60|pc|408.00|EUR
L2|SPR1||||2027-01-18||1|pc|44.00|EUR
L3|OIL-D||||2027-01-12||1000|ml|24.00|EUR
L4|SEAL|SRN|PO1|L1|2027-04-12||10|pc|68.00|EUR

tags
tag|lot|part|tare g|contents|opened on|measured rate N/mm
SPR1#1|L2|SPR1||||6.64
B1|L3|OIL-D|92|1000||

orders
order|supplier|placed|due|ship to|arrived|state|currency
PO1|SRN|2027-03-30|2027-04-12|W1|2027-04-12|here|EUR

order-lines
order|part|packs|quantity|unit|price per pack
PO1|SEAL|6|60|pc|68.00

job-log
job|done at|person|round|service|assembly|undone at|undone by
J1|2027-04-23 08:00|u1|SER|FSS|F01||

job-parts
job|part|lot|tag|from|to|quantity|unit
J1|SEAL|L1||W1|used|2|pc
J1|OIL-D|L3|B1|W1|used|40.5|ml

movements
movement|when|person|part|lot|tag|from|to|quantity|unit|reason|reference|undoes
M1|2027-04-12 11:00|u1|SEAL|L4||supplier|W1|10|pc|receipt|PO1|
M2|2027-04-20 09:00|u1|SEAL|L1||W1|FC1|4|pc|pack|TR1|

counts
count|when|person|place|part|counted|unit|book
C1|2027-04-26 09:00|u1|W1|SEAL|33|pc|34

weighings
weighing|when|person|tag|gross g|bench C
G1|2027-04-26 11:00|u1|B1|700|20

budget
line|round|amount|currency
parts||5200.00|EUR

charges
charge|date|line|round|amount|currency
CH1|2027-04-26|freight|SER|100.00|EUR

exchange-rates
currency|from day|rate to home currency
GBP|2027-01-01|1.16
`

// season is a workbook in memory that a test changes.
type season struct {
	t      *testing.T
	sheets map[string][][]workbook.Cell
	order  []string
	csv    bool
}

func newSeason(t *testing.T) *season {
	t.Helper()
	s := &season{t: t, sheets: map[string][][]workbook.Cell{}}
	for _, block := range strings.Split(strings.TrimSpace(smallSeason), "\n\n") {
		lines := strings.Split(block, "\n")
		s.order = append(s.order, lines[0])
		for _, line := range lines[1:] {
			var row []workbook.Cell
			for _, text := range strings.Split(line, "|") {
				row = append(row, workbook.Cell{Text: text})
			}
			s.sheets[lines[0]] = append(s.sheets[lines[0]], row)
		}
	}
	return s
}

// at finds a cell by its sheet, row (1 is the heading) and heading; it adds the column.
func (s *season) at(sheet string, row int, heading string) *workbook.Cell {
	s.t.Helper()
	require.NotEmpty(s.t, s.sheets[sheet], sheet)
	column := -1
	for i, c := range s.sheets[sheet][0] {
		if c.Text == heading {
			column = i
		}
	}
	if column < 0 {
		column = len(s.sheets[sheet][0])
		s.sheets[sheet][0] = append(s.sheets[sheet][0], workbook.Cell{Text: heading})
	}
	r := &s.sheets[sheet][row-1]
	for len(*r) <= column {
		*r = append(*r, workbook.Cell{})
	}
	return &(*r)[column]
}

func (s *season) set(sheet string, row int, heading, text string) {
	s.t.Helper()
	*s.at(sheet, row, heading) = workbook.Cell{Text: text}
}

// add appends a row; its cells are divided by |.
func (s *season) add(sheet, cells string) {
	var row []workbook.Cell
	for _, text := range strings.Split(cells, "|") {
		row = append(row, workbook.Cell{Text: text})
	}
	s.sheets[sheet] = append(s.sheets[sheet], row)
}

func (s *season) drop(sheet string, row int) {
	s.sheets[sheet] = append(s.sheets[sheet][:row-1:row-1], s.sheets[sheet][row:]...)
}

// input is the workbook as a reader of files hands it over.
func (s *season) input() workbook.Input {
	in := workbook.Input{Name: "season.xlsx", Zone: time.LoadLocation}
	for _, name := range s.order {
		if s.sheets[name] == nil {
			continue
		}
		sheet := workbook.Sheetful{Name: name}
		if s.csv {
			in.Name, sheet.File = "demo", fmt.Sprintf("demo/%s.csv", name)
		}
		for i, cells := range s.sheets[name] {
			sheet.Rows = append(sheet.Rows, workbook.Row{Number: i + 1, Cells: cells})
		}
		in.Sheets = append(in.Sheets, sheet)
	}
	return in
}

// load loads the workbook over nothing, without faults.
func (s *season) load() workbook.Loaded {
	s.t.Helper()
	l, faults := workbook.Load(s.input(), nil)
	require.Empty(s.t, faults.Lines())
	return l
}
