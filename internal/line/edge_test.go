package line

import (
	"math/rand/v2"
	"testing"
	"time"
)

// The corners against every edge, on rows of any length, along a straight front, on
// crooked ones and with lives that differ: by batch the oldest is the same to 2^-15
// of the two batches, and of a straight front two are left of dozens.
func TestCornersAgainstEveryEdge(t *testing.T) {
	const n, vol, longest = 40, 13.2, 200_000 // ms to rake a batch
	r := rand.New(rand.NewPCG(15, 1))
	for front := range 60 {
		cfg := Config{Batches: n, VolL: []float64{vol}}
		span, bend, lives := 10+60*r.Float64(), float64(front%3)*5*r.Float64(), front%2
		for at := 81.0; at < n*vol; at += 0.1 + 2*r.Float64() {
			cfg.Checks = append(cfg.Checks, Check{
				CloseL: at, SpanL: span + bend*r.Float64(),
				EdgeLife: 8*time.Minute + time.Duration(lives*r.IntN(3))*time.Minute,
				Turn:     time.Duration(lives*r.IntN(2)) * 30 * time.Second,
			})
		}
		lo, err := newLayout(&cfg, &Start{})
		if err != nil {
			t.Fatal(err)
		}
		all, _, err := lo.edges(cfg.Checks, 0)
		if err != nil {
			t.Fatal(err)
		}
		few := corners(all)
		if most := 2 * 3 * n; bend == 0 && lives == 0 && len(few) > most { // a span opens in two batches, three where it is crossed
			t.Errorf("front %d: %d corners of %d edges on a straight front, want at most %d", front, len(few), len(all), most)
		}
		for range 20 {
			rows := make([]row, n)
			at := int64(0)
			for i := range rows {
				rows[i] = row{start: at, takes: uint32(r.IntN(longest)), spent: uint32(r.IntN(1 << fracBits))}
				at += int64(rows[i].takes) + int64(r.IntN(longest))
			}
			want, got := worstBy(all, rows), worstBy(few, rows)
			for k := range want {
				if d := want[k] - got[k]; d < 0 || d > 2*longest>>fracBits+1 {
					t.Fatalf("front %d, batch %d: worst %d ms over, of every edge %d", front, k, got[k], want[k])
				}
			}
		}
	}
}

// worstBy is the worst age over life of the edges closed by each batch.
func worstBy(list []edges, rows []row) []int64 {
	worst := make([]int64, len(rows))
	for i := range worst {
		worst[i] = noWorst
	}
	for _, e := range list {
		worst[e.close] = max(worst[e.close], e.over(rows))
	}
	return worst
}
