package frame

// When says which instant an answer is about: the day asked for, or now, by the season
// clock where that is not the computer's.
func (v SeasonView) When(o Options) string {
	switch {
	case o.AsOf != nil:
		return "as of " + o.AsOf.String()
	case v.Clock != "":
		return v.Clock
	}
	return "now"
}
