package demand

import "testing"

func benchmarkSeason(b *testing.B, parts int, quick bool) {
	work := season(parts)
	r := Running{Quick: quick}
	b.ReportAllocs()
	width, tw := 0, 0
	for b.Loop() {
		width, tw = 0, 0
		for _, rounds := range work {
			r.Reset()
			for _, terms := range rounds {
				if err := r.Add(terms); err != nil {
					b.Fatal(err)
				}
				width += len(r.total.p)
				tw += len(r.trip.p)
			}
		}
	}
	n := float64(parts * seasonRounds)
	b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/n, "ns/trip")
	b.ReportMetric(float64(width)/n, "width")
	b.ReportMetric(float64(tw)/n, "tripwidth")
}

func BenchmarkNeedSeason(b *testing.B) {
	b.Run("exact", func(b *testing.B) { benchmarkSeason(b, seasonParts, false) })
	b.Run("quick", func(b *testing.B) { benchmarkSeason(b, seasonParts, true) })
}
