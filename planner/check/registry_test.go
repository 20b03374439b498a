package check

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/testdata"
)

// What the list says of a calculation is what it reads: every field asked for is listed,
// every listed one is asked for, and those not optional are missed when absent.
func TestListedInputs(t *testing.T) {
	t.Parallel()
	for _, c := range List() {
		asked := map[string]bool{}
		for _, start := range []string{`{}`, `{"method":"tsb"}`, `{"code":"1"}`} {
			n, err := parse([]byte(start))
			require.NoError(t, err)
			in := newInput(n, &faults{}, &budget{limit: maxWork})
			_, err = c.run(in)
			require.Error(t, err, c.Name)
			maps.Copy(asked, in.asked)
			if start != `{}` {
				continue
			}
			for _, f := range c.In {
				if !f.Optional {
					require.ErrorContains(t, namedAll(in.faults), f.Name+": found nothing", c.Name)
				}
			}
		}
		var listed []string
		for _, f := range c.In {
			require.NotEmpty(t, f.What)
			listed = append(listed, f.Name)
		}
		require.ElementsMatch(t, listed, slices.Collect(maps.Keys(asked)), c.Name)
		require.NotEmpty(t, c.About)
	}
}

// namedAll words every fault, however many.
func namedAll(f *faults) error {
	all := &faults{}
	var err error
	for _, line := range f.lines {
		all.lines = []string{line}
		if err == nil {
			err = all.err()
			continue
		}
		err = named(err.Error(), all.err())
	}
	return err
}

// What comes out is listed, and what is listed without being optional comes out.
func TestListedOutputs(t *testing.T) {
	t.Parallel()
	text, err := fs.ReadFile(testdata.Checks, "checks/published.jsonl")
	require.NoError(t, err)
	given := map[string]map[string]bool{}
	for line := range bytes.Lines(text) {
		c, err := ParseCase(bytes.TrimSpace(line))
		require.NoError(t, err)
		calc, built := find(c.Calc)
		r := run(c, maxWork)
		if !built || r.Error != nil {
			continue
		}
		var got map[string]any
		require.NoError(t, json.Unmarshal(r.Got, &got))
		for _, f := range calc.Out {
			if !f.Optional {
				require.Contains(t, got, f.Name, c.ID)
			}
		}
		if given[c.Calc] == nil {
			given[c.Calc] = map[string]bool{}
		}
		for name := range got {
			given[c.Calc][name] = true
			require.True(t, slices.ContainsFunc(calc.Out, func(f Field) bool { return f.Name == name }), "%s gives %s unlisted", c.Calc, name)
		}
	}
	require.Len(t, given, len(List()))
}

// The rules of comparison, by the check contract.
func TestCompare(t *testing.T) {
	t.Parallel()
	tests := []struct {
		got, want string
		tol       float64
		same      bool
	}{
		{`{"a":1.0000000009}`, `{"a":1}`, 1e-9, true},
		{`{"a":1.0000000011}`, `{"a":1}`, 1e-9, false},
		{`{"a":1e6}`, `{"a":1000000.0009}`, 1e-9, true}, // relative to what is wanted
		{`{"a":1e6}`, `{"a":1000000.0011}`, 1e-9, false},
		{`{"a":1e-12}`, `{"a":0}`, 1e-9, true}, // absolute below 1
		{`{"a":1,"b":2}`, `{"a":1}`, 0, true},  // only what is named
		{`{"a":1}`, `{"a":1,"b":2}`, 0, false},
		{`{"a":1}`, `{"b":null}`, 0, true}, // absent is null
		{`{"a":null}`, `{"a":null}`, 0, true},
		{`{"a":1}`, `{"a":null}`, 0, false},
		{`{"a":null}`, `{"a":0}`, 0, false},
		{`{"a":[1,2]}`, `{"a":[1,2]}`, 0, true},
		{`{"a":[1,2]}`, `{"a":[1]}`, 0, false},
		{`{"a":[1]}`, `{"a":[1,2]}`, 0, false},
		{`{"a":[1,3]}`, `{"a":[1,2]}`, 0, false},
		{`{"a":[1]}`, `{"a":1}`, 0, false},
		{`{"a":"B"}`, `{"a":"B"}`, 0, true},
		{`{"a":"B"}`, `{"a":"b"}`, 0, false},
		{`{"a":"1"}`, `{"a":1}`, 0, false},
		{`{"a":true}`, `{"a":true}`, 0, true},
		{`{"a":true}`, `{"a":false}`, 0, false},
		{`{"a":true}`, `{"a":1}`, 0, false},
		{`{"a":{"x":1,"y":2}}`, `{"a":{"y":2}}`, 0, true},
		{`{"a":{"x":1}}`, `{"a":{"y":null}}`, 0, true},
		{`{"a":{"x":1}}`, `{"a":{"x":2}}`, 0, false},
		{`{"a":[{"x":1}]}`, `{"a":[{"x":2}]}`, 0, false},
		{`{"a":1}`, `{}`, 0, true},
	}
	for _, tt := range tests {
		got, err := parse([]byte(tt.got))
		require.NoError(t, err)
		want, err := parse([]byte(tt.want))
		require.NoError(t, err)
		d := differs(got, want, tt.tol)
		require.Equal(t, tt.same, d == "", "got %s, want %s: %s", tt.got, tt.want, d)
	}
}
