package load

import (
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/day"
	"roundkit/planner/demand"
	"roundkit/planner/units"
)

// A seal kit with its loose parts is enough exactly where the kits wanted are at most the
// kits there: planner/demand's own kits wanted, at several stocks.
func TestKitBlockAgreesWithKitsWanted(t *testing.T) {
	t.Parallel()
	p, _ := packedFor(t, day.Of(2027, 7, 20), Options{Trip: "TR-TES"})
	b, ok := p.blockOf(p.at["KIT-DMP40"]).(kitBlock)
	require.True(t, ok)
	require.Len(t, b.inside, 4)
	none := make([]bool, len(p.parts))
	for kits := units.Quantity(3); kits < 8; kits++ {
		for loose := units.Quantity(0); loose < 4; loose++ {
			have := p.haves()
			have[b.kit] = kits
			var of []demand.Component
			for k, i := range b.inside {
				have[i] = loose
				of = append(of, demand.Component{Need: p.parts[i].line.Dist.PMF, Loose: int(loose), PerKit: b.perKit[k]})
			}
			want, err := demand.OpenKits(p.parts[b.kit].line.Dist.PMF, of)
			require.NoError(t, err)
			require.InDelta(t, want.CDF(int(kits)), b.chance(p.mixed(), have, none), 1e-12, "%d kits, %d loose", kits, loose)
		}
	}
}

// Each rate of a spring block alone has the chance that the forecast gives it; together
// they are below the product of the certain bounds and, where riders exclude one rate by
// the other, not the product.
func TestSpringBlockAgreesWithTheForecast(t *testing.T) {
	t.Parallel()
	p, _ := packedFor(t, day.Of(2027, 5, 31), Options{Trip: "TR-ALP"})
	b, ok := p.blockOf(p.at["SPF-67"]).(*springBlock)
	require.True(t, ok)
	require.Len(t, b.rates, 6)
	for _, i := range b.rates {
		others := make([]bool, len(p.parts))
		for _, k := range b.rates {
			others[k] = k != i
		}
		for n := units.Quantity(0); n < 8; n++ {
			have := p.haves()
			have[i] = n
			require.InDelta(t, p.parts[i].line.Need.Cover(n), b.chance(view{}, have, others), 1e-12, "%s %d", p.parts[i].Code, n)
		}
	}
	have, none := p.haves(), make([]bool, len(p.parts))
	joint, product, least := b.chance(view{}, have, none), 1.0, 1.0
	for _, i := range b.rates {
		c := p.parts[i].line.Need.Cover(have[i])
		product, least = product*c, min(least, c)
	}
	require.LessOrEqual(t, joint, least+1e-12)
	require.NotEqual(t, product, joint)
}

// A part and its alternative: 1 and 1 there, needs of 0, 1, 2 with chances a half, a
// quarter, a quarter and no need of the alternative itself: enough up to 2, for certain;
// without the alternative 3/4. By hand.
func TestAlternativeCountsForThePart(t *testing.T) {
	t.Parallel()
	p, _ := packedFor(t, day.Of(2027, 5, 31), Options{Trip: "TR-ALP"})
	b, ok := p.blockOf(p.at["OSL-40"]).(standInBlock)
	require.True(t, ok)
	v, have, none := p.mixed(), p.haves(), make([]bool, len(p.parts))
	need, err := demand.Discrete([]float64{0.5, 0.25, 0.25})
	require.NoError(t, err)
	v.need[b.part].Dist.PMF, v.need[b.part].Step = need, 1
	have[b.part], have[b.alts[0]] = 1, 1
	require.InDelta(t, 1, b.chance(v, have, none), 1e-15)
	have[b.alts[0]] = 0
	require.InDelta(t, 0.75, b.chance(v, have, none), 1e-15)
}
