package forecast_test

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"roundkit/planner/day"
	"roundkit/planner/forecast"
	"roundkit/testdata/season"
)

// The whole invented season seen before it began: 62 parts, 13 rounds.
func BenchmarkSeason(b *testing.B) {
	s, err := season.Load(os.DirFS("../../testdata/demo"), day.Of(2027, 2, 9))
	require.NoError(b, err)
	for _, workers := range []int{1, 2} {
		b.Run(map[int]string{1: "one", 2: "two"}[workers], func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				o, err := forecast.New(s)
				require.NoError(b, err)
				_, err = o.Forecast(forecast.Options{Season: true, Workers: workers})
				require.NoError(b, err)
			}
		})
	}
}
