package screen

import (
	"fmt"
	"io"
	"strings"

	"github.com/google/uuid"

	"roundkit/reports/answer"
	"roundkit/reports/term"
)

// Jobs prints jobs done.
func Jobs(w io.Writer, look term.Look, jobs []answer.Job, said string) error {
	if err := look.Say(w, said); err != nil || len(jobs) == 0 {
		return err
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "when"}, {Title: "who"}, {Title: "round"}, {Title: "service"}, {Title: "on"}, {Title: "record"}, {Title: "", Wrap: true, Drop: 1}}}
	for _, j := range jobs {
		name, note := RecordName(j.Code, j.ID), j.Notes
		if j.UndoneAt != nil {
			name = look.Warn(name + " undone") // where the name stands: the note may have no room
			said := "undone " + j.UndoneAt.Format("2006-01-02 15:04") + " by " + orNobody(j.UndoneBy)
			if j.RedoneBy != nil {
				said += ", put back as " + RecordName("", *j.RedoneBy)
			}
			note = look.Warn(said)
		}
		if j.Redoes != nil {
			note = strings.TrimSuffix("puts back "+RecordName("", *j.Redoes)+"; "+note, "; ")
		}
		t.Rows = append(t.Rows, []string{j.When.Format("2006-01-02 15:04"), j.Person, j.Round, j.Service, j.Assembly, name, note})
	}
	return look.Print(w, t)
}

// recordLetters are as many of a record's id as people type: its last ones, which are drawn
// at random, so that two of a season hardly ever share them.
const recordLetters = 6

// RecordName is how a screen names a record: by its code in a workbook, else by the end of
// its id.
func RecordName(code string, id uuid.UUID) string {
	if code != "" {
		return code
	}
	text := id.String()
	return text[len(text)-recordLetters:]
}
