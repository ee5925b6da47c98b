package line

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// TestRecursionEqualsEvents runs random lines from random states on both
// engines: every instant of every batch has to be the same tick.
func TestRecursionEqualsEvents(t *testing.T) {
	lines := 10000
	if testing.Short() || raceDetector {
		lines = 1000
	}
	r := rand.New(rand.NewPCG(1, 2))
	var seen struct{ runs, moves, flights, mixing, bucketless, paced, down, held, lost int }
	var strides struct{ alike, each [5]int } // lines with batches laid by stride, by mixers; each: not alike
	chunks := 0                              // of them with more batches than one chunk
	for i := range lines {
		cfg, start := randomLine(r)
		if i%3 == 0 {
			usual(r, &cfg)
			start = Start{}
			randomChecks(r, &cfg, &start, time.Second, func(n int) time.Duration { return time.Duration(r.IntN(n)) * time.Second })
		}
		p, err := compile(&cfg, &start)
		if err != nil {
			t.Fatalf("line %d: %v\n%+v\n%+v", i, err, cfg, start)
		}
		luck := newStream(uint64(i), i)
		w := p.newWorker()
		w.stamps = make([]stamp, p.n)
		got := w.day(luck, true)
		stamps := w.stamps
		o := p.newWorker()
		d := p.dayByEvents(luck)
		o.total.mixing += d.mixing
		o.total.clear += d.clear
		want := p.outcome(d.stamps, o.rows, &o.total)
		if !slices.Equal(d.stamps, stamps) || want != got || o.total != w.total || !slices.Equal(o.rows, w.rows) {
			opt := cmp.AllowUnexported(stamp{}, outcome{}, sums{}, row{})
			t.Fatalf("line %d, events (-) against recursion (+):\n%s%s%s%s\n%+v\n%+v", i, cmp.Diff(d.stamps, stamps, opt),
				cmp.Diff(want, got, opt), cmp.Diff(o.total, w.total, opt), cmp.Diff(o.rows, w.rows, opt), cfg, start)
		}
		if w.draws[0].key != 0 { // the chain ran
			by := &strides.each
			if p.alike {
				by = &strides.alike
			}
			by[p.mixers]++
			chunks += count(p.n > 2*chunk)
		}
		seen.runs++
		seen.moves += count(len(p.moves) > 0)
		seen.flights += count(len(p.flights) > 0)
		seen.mixing += count(p.inMixers > 0)
		seen.bucketless += count(p.buckets < p.mixers)
		seen.paced += count(p.interval > 0)
		seen.down += count(p.down != 0)
		seen.lost += count(got.firstLost < int32(p.n))
		seen.held += count(got.firstLost == int32(p.n))
	}
	t.Logf("lines run: %+v, in strides %+v, of them longer than two chunks %d", seen, strides, chunks)
	for m := 1; m <= 4; m++ { // four mixers are never treated alike
		if m <= 3 && strides.alike[m] < lines/50 || strides.each[m] < lines/400 {
			t.Errorf("%d mixers: only %d equal and %d unequal lines ran in strides", m, strides.alike[m], strides.each[m])
		}
	}
	if chunks < lines/20 {
		t.Errorf("only %d lines were longer than two chunks", chunks)
	}
	for name, n := range map[string]int{"moves": seen.moves, "flights": seen.flights, "mixing": seen.mixing, "fewer buckets than mixers": seen.bucketless, "paced": seen.paced, "down": seen.down, "lost": seen.lost, "held": seen.held} {
		if n < lines/50 {
			t.Errorf("only %d of %d lines had %s: the comparison is too narrow", n, lines, name)
		}
	}
}

// randomLine draws a line and a state it could be in. Times are small whole
// milliseconds as often as not, so that many things happen at the same tick.
func randomLine(r *rand.Rand) (Config, Start) {
	unit := time.Millisecond
	if r.IntN(2) == 0 {
		unit = 3 * time.Second
	}
	ms := func(n int) time.Duration { return time.Duration(r.IntN(n)) * unit }
	dist := func(n int) Dist {
		switch r.IntN(6) {
		case 0:
			return Dist{}
		case 1:
			return Fixed(ms(n))
		case 2:
			return LogNormal(unit+ms(n), r.Float64())
		case 3:
			lo := ms(n)
			return Triangular(lo, lo+ms(n), lo+ms(n)+time.Duration(n)*unit)
		case 4:
			return Observed([]time.Duration{ms(n), ms(n), ms(n)})
		}
		return Exponential(ms(n))
	}
	cfg := Config{
		Batches: 1 + r.IntN(40), Runners: 1 + r.IntN(MaxRunners), Buckets: 1 + r.IntN(10),
		Rollers: r.IntN(MaxRollers + 1), Casters: r.IntN(MaxCasters + 1),
		Pour: dist(20), Rake: dist(20), Roll: dist(30), Broadcast: dist(30),
		WalkSpread: float64(r.IntN(2)) * r.Float64(), EdgeMargin: ms(3),
		ReactionAfter: ms(5), BucketLife: ms(200), PlannedDwell: ms(30),
	}
	if r.IntN(3) == 0 {
		cfg.Runners = 1 + r.IntN(2)
	}
	for range 1 + r.IntN(MaxMixers) {
		cfg.Mixers = append(cfg.Mixers, Mixer{Mix: dist(60), Clear: dist(10), Down: r.IntN(8) == 0})
	}
	cfg.Mixers[r.IntN(len(cfg.Mixers))].Down = false
	for range cfg.Batches {
		cfg.Full, cfg.Empty = append(cfg.Full, ms(30)), append(cfg.Empty, ms(30))
		cfg.VolL = append(cfg.VolL, 1+10*r.Float64())
	}
	if r.IntN(2) == 0 {
		cfg.Headway = ms(20)
	}
	if r.IntN(2) == 0 {
		for range cfg.Batches {
			cfg.Turn = append(cfg.Turn, ms(15)*time.Duration(r.IntN(2)))
		}
	}
	if r.IntN(3) == 0 {
		cfg.StartInterval = ms(30)
	}
	if r.IntN(3) == 0 {
		for range cfg.Batches {
			cfg.Rest = append(cfg.Rest, ms(40)*time.Duration(r.IntN(2)))
		}
	}
	if r.IntN(3) == 0 {
		for at := r.IntN(8); at < cfg.Batches; at += 1 + r.IntN(12) {
			cfg.Moves = append(cfg.Moves, Move{at, ms(100)})
		}
	}
	start := Start{}
	if r.IntN(2) == 0 {
		start = randomStart(r, &cfg, ms)
	}
	randomChecks(r, &cfg, &start, unit, ms)
	return cfg, start
}

// usual makes a line the usual case, which the recursion lays in strides: a small
// crew with nobody down, a bucket for everybody, and a long enough day.
func usual(r *rand.Rand, cfg *Config) {
	s := func(n int) time.Duration { return time.Duration(1+r.IntN(n)) * time.Second }
	spread := float64(r.IntN(3)) * 0.15
	equal := r.IntN(4) > 0
	mixers := 1 + r.IntN(3+count(!equal))
	*cfg = Config{
		Batches: 33 + r.IntN(100), Runners: 1 + r.IntN(2+count(!equal)), Buckets: mixers + 1 + r.IntN(6), Rollers: 1, Casters: 1,
		WalkSpread: spread, Headway: time.Duration(r.IntN(2)) * time.Second, EdgeMargin: s(60),
		Pour: LogNormal(s(40), spread), Rake: LogNormal(s(60), spread), Roll: LogNormal(s(80), spread), Broadcast: LogNormal(s(80), spread),
		ReactionAfter: s(20), BucketLife: s(600), PlannedDwell: s(300),
	}
	m := Mixer{Mix: LogNormal(60*time.Second+s(200), spread), Clear: LogNormal(s(60), spread)}
	for range mixers {
		if !equal {
			m = Mixer{Mix: LogNormal(60*time.Second+s(200), spread), Clear: LogNormal(s(60), spread)}
		}
		cfg.Mixers = append(cfg.Mixers, m)
	}
	for range cfg.Batches {
		cfg.Full, cfg.Empty = append(cfg.Full, s(60)), append(cfg.Empty, s(60))
		cfg.Turn = append(cfg.Turn, s(30)*time.Duration(r.IntN(2)))
		cfg.VolL = append(cfg.VolL, 1+10*r.Float64())
	}
	if r.IntN(2) == 0 {
		cfg.StartInterval = s(200)
	}
	if r.IntN(2) == 0 {
		for range cfg.Batches {
			cfg.Rest = append(cfg.Rest, s(90))
		}
	}
}

// randomChecks puts up to two edges on every batch, some reaching back into the
// history.
func randomChecks(r *rand.Rand, cfg *Config, start *Start, unit time.Duration, ms func(int) time.Duration) {
	reach := 0.0
	if len(start.History) > 0 {
		reach = start.PositionL - start.History[0].FromL
	}
	at := start.PositionL
	for k := range cfg.Batches {
		for range r.IntN(3) {
			closes := at + r.Float64()*cfg.VolL[k]
			cfg.Checks = append(cfg.Checks, Check{CloseL: closes, SpanL: r.Float64() * (closes - start.PositionL + reach), EdgeLife: unit + ms(400), Turn: ms(5)})
		}
		at += cfg.VolL[k]
	}
}

func randomStart(r *rand.Rand, cfg *Config, ms func(int) time.Duration) Start {
	late := ms(30)
	s := Start{Laid: r.IntN(50), RakeFree: ms(30) - late}
	buckets, runners, batches := cfg.Buckets, cfg.Runners, cfg.Batches
	lead := Pouring
	for range r.IntN(4) {
		if buckets == 0 || batches == 0 {
			break
		}
		if lead > Waiting && (r.IntN(2) == 0 || runners == 0 || len(s.Flight) > 0 && lead == Pouring) {
			lead--
		}
		if lead > Waiting && runners == 0 {
			lead = Waiting
		}
		if lead != Waiting {
			runners--
		}
		at := -ms(40)
		s.Flight = append(s.Flight, Flight{lead, at, at - ms(30)})
		buckets--
		batches--
	}
	for range cfg.Mixers {
		m := MixerAt{FreeAt: ms(50) * time.Duration(r.IntN(2)), Clearing: r.IntN(2) == 0}
		if buckets > 0 && r.IntN(2) == 0 {
			buckets--
			m = MixerAt{Mixing: true, Started: -ms(60)}
			if r.IntN(2) == 0 {
				m.Ready = ms(60)
			}
			if r.IntN(2) == 0 {
				m.Reaction = m.Started + ms(10)
			}
		}
		s.Mixers = append(s.Mixers, m)
	}
	for range r.IntN(min(buckets, 3) + 1) {
		s.EmptyBack = append(s.EmptyBack, ms(40))
	}
	for range r.IntN(min(runners, 3) + 1) {
		s.RunnersBack = append(s.RunnersBack, ms(40))
	}
	for range r.IntN(max(1, cfg.Rollers) + 1) {
		s.RollFree = append(s.RollFree, ms(60))
	}
	for range r.IntN(max(1, cfg.Casters) + 1) {
		s.CastFree = append(s.CastFree, ms(60))
	}
	at, t := 10*r.Float64(), -ms(300)
	s.PositionL = at
	for range r.IntN(6) {
		lay := Lay{FromL: at, ToL: at + 1 + 10*r.Float64(), Start: t, End: t + ms(20), Spent: r.Float64() / 2}
		at, t = lay.ToL, lay.End+ms(20)
		s.History = append(s.History, lay)
		s.PositionL = at
	}
	return s
}
