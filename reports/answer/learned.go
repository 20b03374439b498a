package answer

import "roundkit/planner/learn"

// Learned is a row of learn --json: one chance of a line, as it is planned and as the log has it.
type Learned struct {
	Service string  `json:"service"`
	Part    string  `json:"part"`
	Weather string  `json:"weather"` // dry, wet or empty for any
	Planned float64 `json:"planned"`
	Worth   float64 `json:"worth"` // jobs that the planned chance counts for
	Used    int     `json:"used"`
	Jobs    int     `json:"jobs"` // logged, of which so many used the part
	Learned float64 `json:"learned"`
	Low     float64 `json:"low"` // the middle 80 %
	High    float64 `json:"high"`
	Drifted bool    `json:"drifted"`
}

// OfLearned renders what the log teaches; an empty list where the chances are known.
func OfLearned(all []learn.Chance) []Learned {
	out := make([]Learned, len(all))
	for i, c := range all {
		out[i] = Learned(c)
	}
	return out
}
