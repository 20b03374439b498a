package ledger

import "roundkit/planner"

// Chances returns the lines of a service that are used only when inspection says so: a job
// does not take them by itself, somebody has to say.
func Chances(lines []planner.ServiceLine, service string) (out []planner.ServiceLine) {
	for _, l := range lines {
		if _, usual := Usual(l); l.Service == service && !usual && l.Part != "" && l.Quantity != nil && (l.OnSite == nil || !*l.OnSite) {
			out = append(out, l)
		}
	}
	return out
}
