package check

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/testdata"
)

// fuzzWork is the budget of work of a fuzzed case. There is no clock here: a shared machine
// would make it lie; the fuzzer itself takes ten seconds for a hang.
const fuzzWork = 1e8

// Whatever a line says, it is one result on one line, in bounded time: no panic, valid
// JSON, and either an answer or a reason.
func FuzzCase(f *testing.F) {
	text, err := fs.ReadFile(testdata.Checks, "checks/published.jsonl")
	require.NoError(f, err)
	for line := range bytes.Lines(text) {
		if len(line) < 2000 { // long lines teach a fuzzer little
			f.Add(bytes.TrimSpace(line))
		}
	}
	for _, line := range hostile {
		f.Add([]byte(line))
	}
	f.Fuzz(func(t *testing.T, line []byte) {
		r := runLine(line, 1, fuzzWork)
		require.True(t, json.Valid(r.Got))
		require.True(t, json.Valid(r.Want))
		_, err := json.Marshal(r)
		require.NoError(t, err)
		if r.Error != nil {
			require.NotContains(t, *r.Error, "\n")
			require.Equal(t, "null", string(r.Got))
		} else {
			require.NotEqual(t, "null", string(r.Got))
		}
		if !r.Pass {
			require.NotEmpty(t, r.Differs)
		}
	})
}

// hostile cases are small texts that ask for much.
var hostile = []string{
	`{"calc":"compound","in":{"count":{"dist":"poisson","mean":1000000},"size":{"dist":"poisson","mean":1000000}},"want":{}}`,
	`{"calc":"compound","in":{"count":{"dist":"compound","count":{"dist":"compound","count":{"dist":"compound","count":{"dist":"compound","count":{"dist":"poisson","mean":1e6},"size":{"dist":"poisson","mean":1e6}},"size":{"dist":"poisson","mean":1e6}},"size":{"dist":"poisson","mean":1e6}},"size":{"dist":"poisson","mean":1e6}},"size":{"dist":"poisson","mean":1e6}},"want":{}}`,
	`{"calc":"compound","in":{"count":{"dist":"compound","count":{"dist":"poisson","mean":100},"size":{"dist":"poisson","mean":100}},"size":{"dist":"poisson","mean":100}},"want":{}}`,
	`{"calc":"compound","in":{"count":{"dist":"beta-binomial","n":100000,"a":1,"b":1},"size":{"dist":"discrete","p":[0.5,0.25,0.25]}},"want":{}}`,
	`{"calc":"compound","in":{"count":{"dist":"binomial","n":1000000,"p":0.5},"size":{"dist":"negative-binomial","r":0.01,"p":0.0001}},"want":{}}`,
	`{"calc":"negative-binomial","in":{"r":1000000,"p":0.0001,"x":[0],"q":[0.5]},"want":{}}`,
	`{"calc":"negative-binomial","in":{"r":0.000001,"p":0.0001,"x":[0],"q":[0.999999]},"want":{}}`,
	`{"calc":"gamma-poisson","in":{"alpha":0.5,"beta":1,"counts":[],"exposures":[],"exposure":1e15,"rate_q":[0.5]},"want":{}}`,
	`{"calc":"gamma-poisson","in":{"alpha":1e-9,"beta":1e9,"counts":[],"exposures":[],"exposure":1,"rate_q":[1e-300,0.5]},"want":{}}`,
	`{"calc":"beta-binomial-update","in":{"a":1e-9,"b":1e9,"trials":0,"successes":0,"next":100000,"chance_q":[1e-12,0.5,0.999999999999]},"want":{}}`,
	`{"calc":"beta-binomial","in":{"n":100000,"a":1e-300,"b":1e-300,"x":[0,50000]},"want":{}}`,
	`{"calc":"convert","in":{"value":1e-999999999,"from":"psi","to":"kPa"},"want":{"value":0}}`,
	`{"calc":"fifo","in":{"moves":[{"in":1e-300,"unit_cost":1e-300},{"out":1e-300}]},"want":{}}`,
	`{"calc":"need","in":{"wet":[0.5],"services":[{"jobs":[1000000],"lines":[{"min":0,"max":1000000000}]}],"step":0.001},"want":{}}`,
	`{"calc":"need","in":{"wet":[0.5],"services":[{"jobs":[1000000],"lines":[{"min":80,"typical":85,"max":100,"allowance":0.05}]}],"step":0.01},"want":{}}`,
	`{"calc":"need","in":{"wet":[0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5],"services":[{"jobs":[1,2,4,8,16,32,64,128,256,512,1024,2048,4096,8192,16384,32768,65536,131072,262144,524288],"lines":[{"quantity":1,"dry":{"a":1,"b":1},"wet":{"a":1,"b":2}}]}]},"want":{}}`,
	`{"calc":"need","in":{"wet":[0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5],"services":[{"exposure":[1.01,2.02,4.04,8.09,16,32.1,64,128,256,512,1024,2048,4096,8192,16384,32768,65536],"rate":{"alpha":1,"beta":1000000000},"wet_factor":3,"lines":[{"quantity":1}]}]},"want":{}}`,
	`{"calc":"readiness","in":{"wet":[0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5],"services":[{"exposure":[1,2,3,4,5,6,7,8,9,10],"rate":1000,"lines":[{"part":"a","quantity":1,"dry":0.1,"wet":0.2},{"part":"b","quantity":1,"dry":0.1,"wet":0.2}]}],"stock":{"a":100000,"b":100000}},"want":{}}`,
	`{"calc":"readiness","in":{"wet":[0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5],"services":[{"exposure":[1,2,4,8.1,16,32,64,128,256,512],"rate":0.02,"wet_factor":1.1,"lines":[{"part":"a","quantity":1,"dry":0.1,"wet":0.2},{"part":"b","quantity":1,"dry":0.1,"wet":0.2}]}],"stock":{"a":100000,"b":100000}},"want":{}}`,
	`{"calc":"readiness","in":{"wet":[0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5,0.5],"services":[{"exposure":[1.01,2.02,4.04,8.09,16,32.1,64,128,256,512,1024,2048,4096,8192,16384,32768,65536],"rate":1e-9,"lines":[{"part":"a","quantity":1,"dry":0.1,"wet":0.2}]}],"stock":{"a":1}},"want":{}}`,
	`{"calc":"open-kits","in":{"full":{"dist":"poisson","mean":1e6},"components":[{"need":{"dist":"negative-binomial","r":1000,"p":0.0001},"loose":0,"per_kit":1}]},"want":{}}`,
	`{"calc":"springs","in":{"rounds":[[{"chance":1,"riders":[]}],[]]},"want":{}}`,
	`{"calc":"viscosity","in":{"points":[{"c":249,"cst":1000000},{"c":250,"cst":0.3}],"c":-60},"want":{}}`,
	`{"calc":"sample","in":{"values":[1e15,-1e15]},"want":{}}`,
	`{"calc":"intermittent","in":{"method":"croston","series":[1e9,1e-300,0,5],"size_weight":1,"interval_weight":1},"want":{}}`,
}

// What asks for much is answered or refused within the budget (thirty seconds here,
// for a busy machine).
func TestHostile(t *testing.T) {
	t.Parallel()
	for _, line := range hostile {
		r := RunLine([]byte(line), 1) // ends: a hang is caught by the test's own limit
		if r.Error != nil {
			require.NotContains(t, *r.Error, "\n")
		}
		t.Logf("%.150s -> %.200s %v", line, r.Got, deref(r.Error))
	}
}

func deref(s *string) string {
	if s == nil {
		return ""
	}
	return *s
}
