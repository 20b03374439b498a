package answer

import (
	"time"

	"github.com/google/uuid"
)

// Job is one row of `job list --json`.
type Job struct {
	ID       uuid.UUID  `json:"id"`
	Code     string     `json:"code"` // of a workbook; "" for what was logged here
	When     time.Time  `json:"when"`
	Recorded time.Time  `json:"recorded"`
	Person   string     `json:"person"`
	Round    string     `json:"round"`
	Service  string     `json:"service"`
	Assembly string     `json:"assembly"`
	Notes    string     `json:"notes"`
	UndoneAt *time.Time `json:"undone_at"`
	UndoneBy string     `json:"undone_by"`
	RedoneAt *time.Time `json:"redone_at"` // put back by a job of its own
	RedoneBy *uuid.UUID `json:"redone_by"` // that job
	Redoes   *uuid.UUID `json:"redoes"`    // the job that this one puts back
}
