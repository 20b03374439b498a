package screen

import (
	"fmt"
	"io"

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
		name, note := j.Code, j.Notes
		if name == "" {
			name = j.ID.String()
		}
		if j.UndoneAt != nil {
			note = look.Warn("undone " + j.UndoneAt.Format("2006-01-02 15:04") + " by " + orNobody(j.UndoneBy))
		}
		t.Rows = append(t.Rows, []string{j.When.Format("2006-01-02 15:04"), j.Person, j.Round, j.Service, j.Assembly, name, note})
	}
	return look.Print(w, t)
}
