package check

import (
	"fmt"
	"math"
	"strconv"
)

// differs compares an answer with what is wanted and words the first difference, "" for
// none.
func differs(got, want node, tol float64) string {
	for _, name := range want.dict.names {
		if name == "error" {
			continue // settled before: it is about the input, not a field
		}
		value, _ := got.get(name)
		if d := compare(name, value, want.dict.of[name], tol); d != "" {
			return d
		}
	}
	return ""
}

// compare compares one value; what is absent is null.
func compare(path string, got, want node, tol float64) string {
	if want.kind != got.kind {
		return fmt.Sprintf("%s: got %s, want %s", path, got.shown(), want.shown())
	}
	switch want.kind {
	case number:
		g, gotErr := strconv.ParseFloat(got.text, 64)
		w, wantErr := strconv.ParseFloat(want.text, 64)
		if gotErr != nil || wantErr != nil || !(math.Abs(g-w) <= tol*max(1, math.Abs(w))) {
			return fmt.Sprintf("%s: got %s, want %s within %v", path, got.text, want.text, tol)
		}
	case text, boolean:
		if got.text != want.text {
			return fmt.Sprintf("%s: got %s, want %s", path, got.shown(), want.shown())
		}
	case list:
		if len(got.list) != len(want.list) {
			return fmt.Sprintf("%s: got %s, want %s", path, got.shown(), want.shown())
		}
		for i := range want.list {
			if d := compare(fmt.Sprintf("%s[%d]", path, i), got.list[i], want.list[i], tol); d != "" {
				return d
			}
		}
	case object:
		for _, name := range want.dict.names {
			value, _ := got.get(name)
			if d := compare(path+"."+name, value, want.dict.of[name], tol); d != "" {
				return d
			}
		}
	}
	return ""
}
