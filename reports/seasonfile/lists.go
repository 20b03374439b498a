package seasonfile

import (
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"roundkit/planner/workbook"
)

const (
	frontName = "read-me"
	listName  = "lists"
	// emptyRows is how many rows below the last one have drop-downs.
	emptyRows = 1000
)

// lists are the words of the drop-downs, one list a column of the hidden sheet.
type lists struct {
	names []string
	words [][]string
	of    map[string]string // the words joined: the list's name
}

// unitChoices are the units people choose from; more are understood.
var unitChoices = []string{"pc", "ml", "L", "g", "kg"}

func listsOf(sheets []workbook.SheetOut) lists {
	l := lists{of: map[string]string{}}
	for _, s := range sheets {
		for _, c := range s.Columns {
			if words := choices(s.Name, c); words != nil {
				l.add(s.Name, c.Heading, words)
			}
		}
	}
	return l
}

func (l *lists) add(sheet, heading string, words []string) {
	key := strings.Join(words, "|")
	if l.of[key] != "" {
		return
	}
	name := "list_" + plainName(heading)
	for _, taken := range l.names {
		if taken == name {
			name = "list_" + plainName(sheet) + "_" + plainName(heading)
		}
	}
	l.of[key] = name
	l.names, l.words = append(l.names, name), append(l.words, words)
}

func plainName(text string) string {
	return strings.Map(func(r rune) rune {
		if r >= 'a' && r <= 'z' || r >= '0' && r <= '9' {
			return r
		}
		return '_'
	}, text)
}

// choices are the words of a column's drop-down, nil for none.
func choices(sheet string, c workbook.Column) []string {
	switch c.Kind {
	case workbook.Word:
		return c.Words
	case workbook.YesNo:
		return []string{"yes", "no"}
	case workbook.Unit:
		if sheet == "parts" {
			return c.Words
		}
		return unitChoices
	}
	return nil
}

// listSheet writes the hidden sheet of lists and gives each a name.
func (b *book) listSheet() error {
	if _, err := b.NewSheet(listName); err != nil {
		return err
	}
	if err := b.page(listName, false); err != nil {
		return err
	}
	for i, name := range b.lists.names {
		column := workbook.ColumnLetter(i)
		if err := b.SetCellStr(listName, column+"1", name); err != nil {
			return err
		}
		for j, word := range b.lists.words[i] {
			if err := b.SetCellStr(listName, fmt.Sprintf("%s%d", column, j+2), word); err != nil {
				return err
			}
		}
		last := len(b.lists.words[i]) + 1
		if err := b.SetCellStyle(listName, column+"1", fmt.Sprintf("%s%d", column, last), b.styles.plain); err != nil {
			return err
		}
		if err := b.SetDefinedName(&excelize.DefinedName{
			Name: name, RefersTo: fmt.Sprintf("%s!$%s$2:$%s$%d", listName, column, column, last),
		}); err != nil {
			return err
		}
	}
	for _, noun := range nouns() {
		// As many rows as the sheet has codes: a fixed range would show its blanks.
		if err := b.SetDefinedName(&excelize.DefinedName{
			Name: "codes_" + noun.noun,
			RefersTo: fmt.Sprintf("OFFSET('%s'!$A$2,0,0,MAX(1,COUNTA('%s'!$A$2:$A$%d)),1)",
				noun.sheet, noun.sheet, 100_000),
		}); err != nil {
			return err
		}
	}
	return b.SetSheetVisible(listName, false)
}

type nounSheet struct{ noun, sheet string }

// nouns are what cells can name, with the sheet whose first column lists their codes.
func nouns() []nounSheet {
	return []nounSheet{
		{"person", "people"}, {"rider", "riders"}, {"model", "models"}, {"assembly", "assemblies"},
		{"supplier", "suppliers"}, {"place", "places"}, {"part", "parts"}, {"service", "services"},
		{"round", "rounds"}, {"trip", "trips"}, {"lot", "lots"}, {"tag", "tags"}, {"order", "orders"},
		{"job", "job-log"}, {"movement", "movements"},
	}
}

// validations gives each column its drop-down and the line that says what it means.
func (b *book) validations(s *workbook.SheetOut) error {
	last := len(s.Rows) + 1 + emptyRows
	for i, c := range s.Columns {
		column := workbook.ColumnLetter(i)
		dv := excelize.NewDataValidation(true)
		dv.SetSqref(fmt.Sprintf("%s2:%s%d", column, column, last))
		dv.SetInput(cut(title(c), 32), cut(c.Help, 255))
		switch words := choices(s.Name, c); {
		case words != nil:
			dv.SetSqrefDropList(b.lists.of[strings.Join(words, "|")])
			// Other ways to write it are understood, so it warns and does not forbid.
			dv.SetError(excelize.DataValidationErrorStyleWarning, c.Heading, cut("Usual here: "+strings.Join(words, ", "), 255))
		case c.Ref != "":
			dv.SetSqrefDropList("codes_" + c.Ref)
			dv.SetError(excelize.DataValidationErrorStyleInformation, c.Heading, "No such "+c.Ref+" yet: add it to its sheet.")
		}
		if err := b.AddDataValidation(s.Name, dv); err != nil {
			return err
		}
	}
	return b.printTitles(s.Name)
}

// title is the heading, with what must be filled marked.
func title(c workbook.Column) string {
	if c.Needed {
		return c.Heading + " (needed)"
	}
	return c.Heading
}

func cut(text string, longest int) string {
	if r := []rune(text); len(r) > longest {
		return string(r[:longest-3]) + "..."
	}
	return text
}
