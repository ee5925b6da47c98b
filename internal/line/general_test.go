package line

import (
	"context"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"floorpace/internal/worked"
)

// crewRow is one crew of testdata/general.csv.
type crewRow struct{ worked.Row }

func (r crewRow) f(t *testing.T, key string) float64 { return r.Num(t, key) }

func (r crewRow) s(t *testing.T, key string) time.Duration { return secs(r.f(t, key)) }
func (r crewRow) n(t *testing.T, key string) int           { return int(r.f(t, key)) }

func secs(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// readStep reads a step's times, as general.py writes them.
func readStep(t *testing.T, text string) Dist {
	t.Helper()
	f := strings.Fields(text)
	var v []float64
	for _, w := range f[1:] {
		x, err := strconv.ParseFloat(w, 64)
		if err != nil {
			t.Fatal(err)
		}
		v = append(v, x)
	}
	switch f[0] {
	case "lognormal":
		return LogNormal(secs(v[0]), v[1])
	case "triangular":
		return Triangular(secs(v[0]), secs(v[1]), secs(v[2]))
	case "seen":
		var times []time.Duration
		for _, x := range v {
			times = append(times, secs(x))
		}
		return Observed(times)
	}
	t.Fatalf("step %q", text)
	return Dist{}
}

// lineOf is the line and first state of a crew.
func lineOf(t *testing.T, r crewRow) (Config, Start) {
	t.Helper()
	n, litres := r.n(t, "batches"), r.f(t, "litres")
	cfg := Config{
		Batches: n, Runners: r.n(t, "runners"), Buckets: r.n(t, "buckets"),
		Full: []time.Duration{r.s(t, "full")}, Empty: []time.Duration{r.s(t, "empty")}, WalkSpread: r.f(t, "walk_spread"),
		Headway: r.s(t, "headway"), Pour: readStep(t, r.Row["pour"]), Rake: readStep(t, r.Row["rake"]), Roll: readStep(t, r.Row["roll"]),
		StartInterval: r.s(t, "interval"), ReactionAfter: r.s(t, "reaction"), VolL: []float64{litres},
		EdgeMargin: r.s(t, "margin"), BucketLife: r.s(t, "life"), BucketMargin: r.s(t, "bucket_margin"), PlannedDwell: r.s(t, "planned"),
	}
	clears := strings.Split(r.Row["clear"], "|")
	for i, m := range strings.Split(r.Row["mix"], "|") {
		cfg.Mixers = append(cfg.Mixers, Mixer{Mix: readStep(t, m), Clear: readStep(t, clears[i])})
	}
	if row := r.n(t, "row"); row > 0 {
		cfg.Turn = make([]time.Duration, n)
		for k := row; k < n; k += row {
			cfg.Turn[k] = r.s(t, "turn")
		}
	}
	span := r.f(t, "span")
	for v := span; v < float64(n)*litres-1e-9; v += litres / 8 {
		cfg.Checks = append(cfg.Checks, Check{CloseL: v, SpanL: span, EdgeLife: r.s(t, "edge_life")})
	}
	return cfg, stateOf(t, r.Row["state"], len(cfg.Mixers))
}

// stateOf reads the first state: "carried=reaction;since mixing=mixer:since rake=s".
func stateOf(t *testing.T, text string, mixers int) (st Start) {
	t.Helper()
	num := func(s string) float64 {
		x, err := strconv.ParseFloat(s, 64)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	for _, w := range strings.Fields(text) {
		key, val, _ := strings.Cut(w, "=")
		a, b, _ := strings.Cut(strings.ReplaceAll(val, ":", ";"), ";")
		switch key {
		case "carried":
			st.Flight = append(st.Flight, Flight{Where: Carried, At: -secs(num(b)), Reaction: secs(num(a))})
		case "mixing":
			if st.Mixers == nil {
				st.Mixers = make([]MixerAt, mixers)
			}
			st.Mixers[int(num(a))] = MixerAt{Mixing: true, Started: -secs(num(b))}
		case "rake":
			st.RakeFree = secs(num(a))
		}
	}
	return st
}

// The line against a general simulation of the same crews, written as processes
// that wait for each other, in another language, on other luck, with the step times
// themselves in place of tables: chances, finish and last post within 4 standard
// errors of the difference. Source of the right values: testdata/general.py.
func TestLineAgainstGeneralSimulation(t *testing.T) {
	open := 0
	for _, row := range worked.Rows(t, "testdata/general.csv") {
		r := crewRow{row}
		t.Run(r.Row["crew"], func(t *testing.T) {
			cfg, st := lineOf(t, r)
			const days = 10000
			got, err := Study(context.Background(), cfg, st, Run{Days: days, Seed: 11, Workers: 2})
			if err != nil {
				t.Fatal(err)
			}
			per := 1/float64(days) + 1/r.f(t, "days")
			for key, p := range map[string]float64{"edges_hold": got.EdgesHold, "buckets_hold": got.BucketsHold, "both_hold": got.Both} {
				want := r.f(t, key)
				mean := (p + want) / 2
				off := (p - want) / math.Sqrt(mean*(1-mean)*per)
				t.Logf("%s: %.4f, by the general simulation %.4f: %+.1f standard errors", key, p, want, off)
				if math.Abs(off) > 4 {
					t.Errorf("%s: %.4f, by the general simulation %.4f: %.1f standard errors apart", key, p, want, off)
				}
				if key == "edges_hold" && want > 0.1 && want < 0.9 {
					open++
				}
			}
			// The standard error of a quantile of something about normal:
			// sd · √(p(1−p)) / φ(z) · √per, 1.2533 at the middle, 1.7094 at a tenth.
			near := func(what string, d time.Duration, want, sd, f float64) {
				if off := math.Abs(d.Seconds() - want); off > 4*f*sd*math.Sqrt(per)+0.001 {
					t.Errorf("%s: %.2f s, by the general simulation %.2f", what, d.Seconds(), want)
				}
			}
			sd := r.f(t, "laid_sd")
			near("laid in the middle", got.Laid.P50, r.f(t, "laid50"), sd, 1.2533)
			near("laid at the latest tenth", got.Laid.P90, r.f(t, "laid90"), sd, 1.7094)
			near("laid at the first tenth", got.Laid.P10, r.f(t, "laid10"), sd, 1.7094)
			near("through every post", got.Done.P50, r.f(t, "done50"), r.f(t, "done_sd"), 1.2533)
		})
	}
	if open < 5 {
		t.Errorf("the edge is open in %d crews, want 5", open)
	}
}
