package answer

import "roundkit/planner/left"

// JobsLeft is one row of `job left --json`.
type JobsLeft struct {
	Service       string     `json:"service"`
	Assembly      string     `json:"assembly"`
	Left          *int       `json:"left"`
	LeftAfterPlan *int       `json:"left_after_plan"`
	LimitedBy     string     `json:"limited_by"`
	Next          []PartLeft `json:"next"`
}

// PartLeft is how many jobs one part would do.
type PartLeft struct {
	Part string `json:"part"`
	Left int    `json:"left"`
}

// OfLeft renders how many more jobs can be done.
func OfLeft(rows []left.Jobs) []JobsLeft {
	out := make([]JobsLeft, len(rows))
	for i, j := range rows {
		out[i] = JobsLeft{Service: j.Service, Assembly: j.Assembly, Left: j.Left, LeftAfterPlan: j.LeftAfterPlan, LimitedBy: j.LimitedBy, Next: []PartLeft{}}
		for _, p := range j.Next {
			out[i].Next = append(out[i].Next, PartLeft{Part: p.Part, Left: p.Left})
		}
	}
	return out
}
