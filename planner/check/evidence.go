package check

import "strings"

// Evidence says what a case rests on: who else has the value that is wanted.
type Evidence string

// The kinds of evidence, the strongest first. A case of a person's own file that does
// not say how it was verified has none.
const (
	ValueRead   Evidence = "published value"
	InputsRead  Evidence = "published inputs, value computed by two programs"
	Definition  Evidence = "a definition's exact value"
	FromMemory  Evidence = "source cited from memory, value computed by two programs"
	Season      Evidence = "the invented season, computed by another program"
	OwnInstance Evidence = "our own instance, computed by two programs"
	ByHand      Evidence = "worked out by hand"
	BadInput    Evidence = "bad input that must be refused"
)

// Evidences lists the kinds, the strongest first.
func Evidences() []Evidence {
	return []Evidence{ValueRead, InputsRead, Definition, FromMemory, Season, OwnInstance, ByHand, BadInput}
}

// saidOf are the first words of a case's "verified", or of its source where it has none.
var saidOf = []struct {
	words string
	is    Evidence
}{
	{"source value read", ValueRead},
	{"inputs read", InputsRead},
	{"plan as in the source", InputsRead},
	{"recomputed", InputsRead},
	{"definition", Definition},
	{"source cited from memory", FromMemory},
	{"scenario figure", Season},
	{"no published value", OwnInstance},
	{"computed by the independent reference and by hand", ByHand},
	{"by hand", ByHand},
}

// evidence classes a case by what it says of itself, "" where it says nothing.
func evidence(verified, source string, refused bool) Evidence {
	if refused {
		return BadInput
	}
	if verified == "" {
		verified = source
	}
	for _, s := range saidOf {
		if strings.HasPrefix(verified, s.words) {
			return s.is
		}
	}
	return ""
}
