package screen

import (
	"fmt"
	"io"

	"roundkit/reports/answer"
	"roundkit/reports/term"
)

// RubberCautions stand under every storage life.
var RubberCautions = []string{
	"For loose seals stored cool, dry, dark and unstretched; not for fitted ones, and not for their life in service.",
	"The maker's word comes first, and a seal past its date is your decision, recorded.",
}

// Rubber prints the storage life of a seal.
func Rubber(w io.Writer, look term.Look, r answer.Rubber) error {
	head := fmt.Sprintf("%s cured %s: ISO 2230 gives no storage life for this rubber", r.Rubber, r.Cured)
	if iso := r.ISO2230; iso != nil {
		state := map[answer.RubberState]string{
			answer.RubberGood: "good until", answer.RubberInspect: look.Warn("inspect now") + ": it was good until", answer.RubberDiscard: look.Warn("discard") + ": it was good until",
		}[r.State]
		head = fmt.Sprintf("%s cured %s: %s %s, after inspection until %s", r.Rubber, r.Cured, state, iso.InspectBy, iso.DiscardBy)
	}
	if err := look.Say(w, head); err != nil {
		return err
	}
	t := term.Table{Columns: []term.Column{{Title: "rule"}, {Title: "group"}, {Title: "years"}, {Title: "last good day"}, {Title: "after inspection"}}}
	if iso := r.ISO2230; iso != nil {
		t.Rows = append(t.Rows, []string{"ISO 2230", iso.Group, fmt.Sprintf("%d + %d", iso.Years, iso.Extension), iso.InspectBy.String(), iso.DiscardBy.String()})
	}
	if arp := r.ARP5316; arp != nil {
		row := []string{"SAE ARP5316", "", "no limit", "no limit", ""}
		if arp.UseBy != nil {
			row = []string{"SAE ARP5316", "", fmt.Sprint(arp.Years), arp.UseBy.String(), ""}
		}
		t.Rows = append(t.Rows, row)
	}
	fmt.Fprintln(w)
	if err := look.Print(w, t); err != nil {
		return err
	}
	return notes(w, look, append([]string{"counted from the last day of the quarter; keep the day you decide on as the lot's \"expires\""}, r.Cautions...))
}
