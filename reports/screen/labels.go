package screen

import (
	"fmt"
	"io"

	"roundkit/planner/place"
	"roundkit/reports/term"
)

// Labels prints which labels there are.
func Labels(w io.Writer, look term.Look, list []place.Label) error {
	if err := look.Say(w, plural(len(list), "label")+"; --out FILE.xlsx writes them to print"); err != nil {
		return err
	}
	fmt.Fprintln(w)
	t := term.Table{Columns: []term.Column{{Title: "place"}, {Title: "name", Wrap: true}, {Title: "in"}, {Title: "mind", Wrap: true}}}
	for _, l := range list {
		t.Rows = append(t.Rows, []string{l.Code, l.Name, l.In, l.Mind})
	}
	return look.Print(w, t)
}
