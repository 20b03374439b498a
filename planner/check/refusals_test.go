package check_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/check"
)

// Inputs that must be refused, and what the one line must say: the field, what was found,
// what was expected. By the rules of the check contract.
func TestRefusals(t *testing.T) {
	t.Parallel()
	deep := func(levels int) string {
		return strings.Repeat(`{"dist":"sum","of":[`, levels) + `{"dist":"poisson","mean":1}` + strings.Repeat(`]}`, levels)
	}
	tests := []struct {
		calc, in string
		says     []string
	}{
		{"abacus", `{}`, []string{`unknown calc "abacus"`, "expected one of poisson, binomial,"}},
		{"", `{}`, []string{`unknown calc ""`}},
		{"Poisson", `{"mean":1}`, []string{`unknown calc "Poisson"`}},

		// Field by field: missing, unknown, of the wrong type, out of range.
		{"poisson", `{"x":[0]}`, []string{"mean: found nothing, expected a number"}},
		{"poisson", `{"mean":2,"means":3}`, []string{"means: found an unknown field, expected one of mean, q, x"}},
		{"poisson", `{"mean":"2"}`, []string{`mean: found "2", expected a number`}},
		{"poisson", `{"mean":null}`, []string{"mean: found null, expected a number"}},
		{"poisson", `{"mean":true}`, []string{"mean: found true, expected a number"}},
		{"poisson", `{"mean":[2]}`, []string{"mean: found a list of 1, expected a number"}},
		{"poisson", `{"mean":{}}`, []string{"mean: found an object, expected a number"}},
		{"poisson", `{"mean":-1}`, []string{"mean: found -1, expected a number from 0 to 1e+06"}},
		{"poisson", `{"mean":1000001}`, []string{"mean: found 1000001"}},
		{"poisson", `{"mean":1e400}`, []string{"mean: found 1e400, expected a number of at most 1e+15 in size"}},
		{"poisson", `{"mean":2,"x":[1e16]}`, []string{"x[0]: found 1e16, expected a number of at most 1e+15 in size"}},
		{"poisson", `{"mean":2,"x":[0,0.5]}`, []string{"x[1]: found 0.5, expected a whole number"}},
		{"poisson", `{"mean":2,"x":1}`, []string{"x: found 1, expected a list"}},
		{"poisson", `{"mean":2,"x":["1"]}`, []string{`x[0]: found "1", expected a number`}},
		{"poisson", `{"mean":2,"x":[null]}`, []string{"x[0]: found null"}},
		{"poisson", `{"mean":2,"x":null}`, []string{"x: found null, expected a list"}},
		{"poisson", `{"mean":2,"q":[0]}`, []string{"q[0]: found 0, expected a number above 0 to below 1"}},
		{"poisson", `{"mean":2,"q":[1]}`, []string{"q[0]: found 1"}},
		{"poisson", `{"mean":2,"mean":3}`, []string{"mean: found it twice, expected it once"}},
		{"binomial", `{"n":3,"p":1.2}`, []string{"p: found 1.2, expected a number from 0 to 1"}},
		{"binomial", `{"n":2.5,"p":0.5}`, []string{"n: found 2.5, expected a whole number from 0 to 1e+06"}},
		{"binomial", `{"n":-3,"p":0.5}`, []string{"n: found -3"}},
		{"binomial", `{"p":-0.1,"N":3}`, []string{"n: found nothing", "p: found -0.1", "N: found an unknown field"}},
		{"negative-binomial", `{"r":0,"p":0.5}`, []string{"r: found 0, expected a number above 0 to 1e+06"}},
		{"negative-binomial", `{"r":1,"p":0.00001}`, []string{"p: found 0.00001, expected a number from 0.0001 to 1"}},
		{"beta-binomial", `{"n":100001,"a":1,"b":1}`, []string{"n: found 100001, expected a whole number from 0 to 100000"}},
		{"beta-binomial", `{"n":1,"a":0,"b":1}`, []string{"a: found 0, expected a number above 0 to 1e+09"}},
		{"poisson-binomial", `{"p":[0.5,2]}`, []string{"p[1]: found 2"}},
		{"discrete", `{"p":[]}`, []string{"p: found no entries, expected at least one"}},
		{"discrete", `{"p":[0.5,0.4]}`, []string{"p: found a sum of 0.9, expected 1 within 1e-09"}},

		// Distributions inside others.
		{"compound", `{"count":{"dist":"poisson","mean":1}}`, []string{"size: found nothing, expected an object"}},
		{"compound", `{"count":{"mean":1},"size":{"dist":"discrete","p":[0,1]}}`, []string{"count.dist: found nothing, expected text"}},
		{"compound", `{"count":{"dist":"normal"},"size":{"dist":"discrete","p":[0,1]}}`, []string{`count.dist: found "normal", expected one of poisson, binomial,`}},
		{"compound", `{"count":{"dist":"poisson","mean":-1},"size":{"dist":"discrete","p":[0.5]}}`, []string{"count.mean: found -1"}},
		{"compound", `{"count":{"dist":"poisson","mean":1},"size":{"dist":"discrete","p":[0.5]}}`, []string{"size.p: found a sum of 0.5"}},
		{"compound", `{"count":{"dist":"poisson","mean":1,"x":[0]},"size":{"dist":"discrete","p":[1]}}`, []string{"count.x: found an unknown field"}},
		{"sum", `{"of":[]}`, []string{"of: found an empty list, expected at least one distribution"}},
		{"sum", `{"of":[{"dist":"poisson","mean":1},3]}`, []string{"of[1]: found 3, expected an object"}},
		{"sum", `{"of":[` + deep(5) + `]}`, []string{"a distribution 6 deep, expected at most 5 inside one another"}},

		// Learning.
		{"gamma-poisson", `{"alpha":1,"beta":1,"counts":[1,2],"exposures":[1],"exposure":1}`, []string{"exposures: found a list of 1, expected 2, one for each of counts"}},
		{"gamma-poisson", `{"alpha":1,"beta":1,"counts":[1],"exposures":[0],"exposure":1}`, []string{"exposures, entry 1: found 0 with a count of 1"}},
		{"gamma-poisson", `{"alpha":0,"beta":1,"counts":[0],"exposures":[1],"exposure":1}`, []string{"posterior: found alpha 0"}},
		{"gamma-poisson", `{"alpha":1,"beta":1,"counts":[0.5],"exposures":[1],"exposure":1}`, []string{"counts[0]: found 0.5"}},
		{"beta-binomial-update", `{"a":1,"b":1,"trials":2,"successes":3,"next":1}`, []string{"successes: found 3, expected a whole number from 0 to 2"}},
		{"beta-binomial-update", `{"a":0,"b":1,"trials":2,"successes":0,"next":1}`, []string{"posterior: found a 0"}},

		// Need.
		{"need", `{"wet":[0.5],"services":[{"jobs":[1,2],"lines":[{"quantity":1}]}]}`, []string{"services[0].jobs: found a list of 2, expected 1, one for each of wet"}},
		{"need", `{"wet":[0.5],"services":[{"jobs":[1],"lines":[{"min":3,"typical":2,"max":5}]}]}`, []string{"services[0].lines[0].typical: found 2, expected at least min"}},
		{"need", `{"wet":[0.5],"services":[{"jobs":[1],"lines":[{"min":3,"max":2}]}]}`, []string{"lines[0].min: found 3, expected at most max"}},
		{"need", `{"wet":[0.5],"services":[{"jobs":[1],"lines":[{"quantity":1,"wet":0.5}]}]}`, []string{"lines[0].dry: found nothing, expected a number"}},
		{"need", `{"wet":[0.5],"services":[{"jobs":[1],"lines":[{"quantity":1,"min":0,"max":1}]}]}`, []string{"lines[0].quantity: found an unknown field"}},
		{"need", `{"wet":[0.5],"services":[{"jobs":[1],"lines":[{"quantity":1,"dry":{"a":1}}]}]}`, []string{"lines[0].dry.b: found nothing"}},
		{"need", `{"wet":[0.5],"services":[{"jobs":[1],"exposure":[1],"rate":1,"lines":[]}]}`, []string{"services[0].jobs: found it with exposure, expected one of them"}},
		{"need", `{"wet":[0.5],"services":[{"lines":[]}]}`, []string{"services[0].jobs: found nothing, expected it (planned), or exposure (unplanned)"}},
		{"need", `{"wet":[0.5],"services":[{"exposure":[1],"lines":[]}]}`, []string{"services[0].rate: found nothing"}},
		{"need", `{"wet":[0.5],"services":[{"exposure":[1],"rate":1,"lines":[{"quantity":1,"dry":{"a":1,"b":1}}]}]}`, []string{"dry: found an unknown chance in an unplanned job"}},
		{"need", `{"wet":[1.5],"services":[]}`, []string{"wet[0]: found 1.5"}},
		{"need", `{"wet":[0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0,0],"services":[]}`, []string{"wet: found a list of 21, expected at most 20 rounds"}},
		{"need", `{"wet":[],"services":[],"step":0}`, []string{"step: found 0, expected a number from 0.001 to 1e+06"}},
		{"need", `{"wet":[],"services":[],"x":[-1]}`, []string{"x[0]: found -1"}},
		{"springs", `{"rounds":[[{"chance":0.5,"riders":[]}]]}`, []string{"rounds[0]: found chances that sum to 0.5, expected 1 within 1e-9"}},
		{"springs", `{"rounds":[[{"chance":1,"riders":[{"p":1,"bikes":101}]}]]}`, []string{"rounds[0][0].riders[0].bikes: found 101"}},
		{"open-kits", `{"full":{"dist":"poisson","mean":1},"components":[{"need":{"dist":"poisson","mean":1},"loose":0,"per_kit":0}]}`, []string{"components[0].per_kit: found 0"}},

		// History.
		{"intermittent", `{"method":"holt","series":[1],"size_weight":0.1,"interval_weight":0.1}`, []string{`method: found "holt", expected one of croston, sba, tsb`}},
		{"intermittent", `{"method":"tsb","series":[1],"size_weight":0.1,"interval_weight":0.1}`, []string{"chance_weight: found nothing", "interval_weight: found an unknown field"}},
		{"intermittent", `{"method":"sba","series":[],"size_weight":0.1,"interval_weight":0.1}`, []string{"series: found an empty list"}},
		{"sample", `{"values":[1]}`, []string{"values: found 1, expected at least two"}},

		// Oil, units, codes, cost.
		{"convert", `{"value":1,"from":"fl oz","to":"ml"}`, []string{"from: unit: found \"fl oz\", expected US fl oz (29.57 ml) or UK fl oz (28.41 ml)"}},
		{"convert", `{"value":1,"from":"N/mm","to":"ml"}`, []string{"to: unit: found ml, a volume, expected a spring rate"}},
		{"convert", `{"value":1,"from":"ml","to":1}`, []string{"to: found 1, expected text"}},
		{"viscosity", `{"points":[{"c":40,"cst":32}],"c":20}`, []string{"points: found a list of 1, expected a list of 2"}},
		{"viscosity", `{"points":[{"c":40,"cst":5},{"c":100,"cst":6}],"c":20}`, []string{"expected the hotter to be thinner"}},
		{"viscosity", `{"points":[{"c":40,"cst":5},{"c":300,"cst":1}],"c":20}`, []string{"points[1].c: found 300, expected a number from -60 to 250"}},
		{"viscosity-index", `{"cst40":3,"cst100":1.5}`, []string{"cst100: found 1.5, expected 2 to 1e+06 cSt"}},
		{"viscosity-index", `{"cst40":5,"cst100":5}`, []string{"cst40: found 5, expected more than cst100 (5)"}},
		{"iso-grade", `{"cst40":0.1}`, []string{"cst40: found 0.1"}},
		{"blend", `{"oils":[{"cst":15,"volume":0}]}`, []string{"oils: found no volume at all"}},
		{"blend-target", `{"light":16,"heavy":33,"target":40,"volume":100}`, []string{"target: found 40, expected 16 to 33"}},
		{"volume", `{"density15":850,"c":20,"grams":1,"ml":1}`, []string{"grams: found it and ml, expected one of them or neither"}},
		{"volume", `{"c":20}`, []string{"density15: found nothing, expected it, or density with density_c"}},
		{"volume", `{"c":20,"density":850}`, []string{"density_c: found density or density_c alone, expected both"}},
		{"volume", `{"c":20,"density15":850,"density":850,"density_c":20}`, []string{"density15: found it with density or density_c"}},
		{"volume", `{"c":20,"density":500,"density_c":20}`, []string{"density: found 500 at 20 C, expected 796.9 to 1160.9 kg/m3"}},
		{"storage-life", `{"rubber":"unknown","cured":"2018-Q1","rule":"ISO 2230"}`, []string{`rubber: found "unknown"`}},
		{"storage-life", `{"rubber":"NBR","cured":"2018-Q5","rule":"ISO 2230"}`, []string{`cured: found "2018-Q5", expected a quarter such as 2016-Q3`}},
		{"storage-life", `{"rubber":"NBR","cured":"2018-Q1","rule":"ISO 3601"}`, []string{`rule: found "ISO 3601", expected one of ISO 2230, ARP5316`}},
		{"check-digit", `{"digits":"62910415002X"}`, []string{`digits: code: found "62910415002X", expected digits only`}},
		{"check-digit", `{"digits":629104150021}`, []string{"digits: found 629104150021, expected text"}},
		{"check-digit", `{"digits":"1234567","code":"12345670"}`, []string{"digits: found it and code, expected one of them"}},
		{"check-digit", `{}`, []string{"digits: found nothing, expected text"}},
		{"road-points", `{"goods":[{"category":5,"quantity":1}]}`, []string{"goods[0].category: found 5, expected a whole number from 0 to 4"}},
		{"road-points", `{"goods":[{"category":2,"quantity":1,"note_a":true}]}`, []string{"goods[0].note_a: found true in category 2"}},
		{"road-points", `{"goods":[{"category":2,"quantity":1,"note_a":1}]}`, []string{"goods[0].note_a: found 1, expected true or false"}},
		{"fifo", `{"moves":[{"in":1,"unit_cost":2},{"out":3}]}`, []string{"move 2: found out 3, expected at most the 1 there"}},
		{"fifo", `{"moves":[{"in":1,"out":3}]}`, []string{"moves[0].in: found it with out, expected one of them"}},
		{"weighted-average", `{"moves":[{"in":0,"unit_cost":2}]}`, []string{"moves[0].in: found 0, expected a number above 0"}},
		{"variance", `{"actual_quantity":1,"actual_price":1,"standard_quantity":1}`, []string{"standard_price: found nothing"}},
	}
	for i, tt := range tests {
		t.Run(fmt.Sprintf("%d %s", i, tt.calc), func(t *testing.T) {
			t.Parallel()
			line := fmt.Sprintf(`{"id":"x","calc":%q,"in":%s,"want":{"error":true}}`, tt.calc, tt.in)
			r := check.RunLine([]byte(line), 7)
			require.NotNil(t, r.Error, "accepted: %s", r.Got)
			for _, says := range tt.says {
				require.Contains(t, *r.Error, says)
			}
			require.NotContains(t, *r.Error, "\n")
			require.Equal(t, "null", string(r.Got))
			require.True(t, r.Pass)
		})
	}
}

// Lines that are no case are one failed result each and stop nothing.
func TestNoCase(t *testing.T) {
	t.Parallel()
	file := strings.Join([]string{
		`{"id":"a","calc":"poisson","in":{"mean":0},"want":{"mean":0},"source":"by hand"}`,
		``,
		`mean 2`,
		`{"id":"c","calc":"poisson","in":{"mean":NaN},"want":{"mean":0}}`,
		`{"id":"d","calc":"poisson","in":{"mean":0}} {}`,
		`[]`,
		`{"id":"f","calc":"poisson","in":{"mean":0}}`,
		`{"id":"g","in":{"mean":0},"want":{}}`,
		`{"id":"h","calc":"poisson","in":[],"want":{}}`,
		`{"id":"i","calc":"poisson","in":{"mean":0},"want":{},"tol":-1}`,
		`{"id":"j","calc":"poisson","in":{"mean":0},"want":{"error":"yes"}}`,
		`{"id":"k","calc":"poisson","in":{"mean":` + strings.Repeat("[", 20_000) + strings.Repeat("]", 20_000) + `},"want":{"error":true}}`,
		`{"id":"l","calc":"poisson","in":{"mean":0},"want":{"error":true}}`,
		`{"id":"m","calc":"poisson","in":{"mean":-1},"want":{"mean":0}}`,
		`{"calc":"poisson","in":{"mean":1},"want":{"mean":1}}`,
		`{"id":"o","calc":"poisson","calc":"sum","in":{"mean":1},"want":{"mean":1}}`,
	}, "\r\n")
	wants := []struct {
		id, differs string
	}{
		{"a", ""},
		{"line 3", "line 3: not JSON:"},
		{"line 4", "line 4: not JSON:"},
		{"line 5", "line 5: not JSON: found more behind the first value"},
		{"line 6", "line 6: found a list of 0, expected an object with calc, in and want"},
		{"f", "line 7: want: found nothing, expected an object"},
		{"g", "line 8: calc: found nothing, expected text"},
		{"h", "line 9: in: found a list of 0, expected an object"},
		{"i", "line 10: tol: found -1"},
		{"j", `line 11: want.error: found "yes", expected true or false`},
		{"line 12", "line 12: "},
		{"l", "accepted, expected it to be refused"},
		{"m", "refused: mean: found -1"},
		{"line 15", ""},
		{"o", "line 16: calc: found it twice, expected it once"},
	}
	var got []check.Result
	check.RunAll([]byte("\ufeff"+file), func(r check.Result) { got = append(got, r) })
	require.Len(t, got, len(wants))
	for i, want := range wants {
		require.Equal(t, want.id, got[i].ID)
		require.Equal(t, want.differs == "", got[i].Pass, "%s: %s", want.id, got[i].Differs)
		require.Contains(t, got[i].Differs, want.differs)
		require.NotContains(t, got[i].Differs, "\n")
	}
}
