package line

import (
	"fmt"
	"slices"
	"time"
)

func sorted(ds []time.Duration) []time.Duration {
	s := slices.Clone(ds)
	slices.Sort(s)
	return s
}

// validate refuses a line that cannot be run, naming the entry at fault.
func (cfg *Config) validate() error {
	if cfg.Batches < 1 || cfg.Batches > 1<<22 {
		return fmt.Errorf("batches: %d to lay; give 1 to %d", cfg.Batches, 1<<22)
	}
	for _, c := range []struct {
		name        string
		got, lo, hi int
	}{
		{"mixers", len(cfg.Mixers), 1, MaxMixers},
		{"runners", cfg.Runners, 1, MaxRunners},
		{"buckets", cfg.Buckets, 1, MaxBuckets},
		{"rollers", cfg.Rollers, 0, MaxRollers},
		{"casters", cfg.Casters, 0, MaxCasters},
	} {
		if c.got < c.lo || c.got > c.hi {
			return fmt.Errorf("%s: %d; give %d to %d", c.name, c.got, c.lo, c.hi)
		}
	}
	if err := cfg.validateTimes(); err != nil {
		return err
	}
	for _, l := range []struct {
		name string
		got  int
		one  bool
	}{
		{"full walks", len(cfg.Full), true},
		{"empty walks", len(cfg.Empty), true},
		{"rests", len(cfg.Rest), true},
		{"batch volumes", len(cfg.VolL), true},
		{"turns", len(cfg.Turn), false},
	} {
		if l.got != 0 && l.got < cfg.Batches && !(l.one && l.got == 1) {
			return fmt.Errorf("%s: %d given for %d batches; give one for each", l.name, l.got, cfg.Batches)
		}
	}
	for i, m := range cfg.Moves {
		if m.Before < 0 || m.Took < 0 || m.Took > maxSpan || i > 0 && m.Before <= cfg.Moves[i-1].Before {
			return fmt.Errorf("move %d: before batch %d, taking %v; list moves by batch, each 0 to %v long", i, m.Before, m.Took, maxSpan)
		}
	}
	if cfg.Shared > RollAndBroadcast {
		return fmt.Errorf("shared: %d names no two posts", cfg.Shared)
	}
	return nil
}

func (cfg *Config) validateTimes() error {
	for i, m := range cfg.Mixers {
		if err := m.Mix.check(fmt.Sprintf("mixer %d, mix", i)); err != nil {
			return err
		}
		if err := m.Clear.check(fmt.Sprintf("mixer %d, clear", i)); err != nil {
			return err
		}
	}
	for _, d := range []struct {
		name string
		d    Dist
	}{{"pour", cfg.Pour}, {"rake", cfg.Rake}, {"roll", cfg.Roll}, {"broadcast", cfg.Broadcast}} {
		if err := d.d.check(d.name); err != nil {
			return err
		}
	}
	if err := cfg.WalkShape.check("walk shape"); err != nil {
		return err
	}
	if err := LogNormal(time.Second, cfg.WalkSpread).check("walk spread"); err != nil {
		return err
	}
	named := map[string][]time.Duration{
		"headway": {cfg.Headway}, "start interval": {cfg.StartInterval}, "edge margin": {cfg.EdgeMargin},
		"bucket life": {cfg.BucketLife, cfg.BucketMargin}, "reaction after": {cfg.ReactionAfter},
		"planned dwell": {cfg.PlannedDwell}, "full walk": cfg.Full, "empty walk": cfg.Empty, "turn": cfg.Turn, "rest": cfg.Rest,
	}
	for _, name := range []string{"headway", "start interval", "edge margin", "bucket life", "reaction after", "planned dwell", "full walk", "empty walk", "turn", "rest"} {
		for i, d := range named[name] {
			if d < 0 || d > maxSpan {
				return fmt.Errorf("%s %d: %v; give 0 to %v", name, i, d, maxSpan)
			}
		}
	}
	return nil
}

// fits refuses a day that could outgrow the tick counter. Short days are summed
// with every step at the top of its table, one after the other. Long ones go at
// the pace of the slowest post, or of the worst loop of runners and buckets (for
// exponential times an upper bound; Hopp and Spearman's practical worst case,
// from memory), with a quarter more and 50 steps at the top for luck. A day that
// still outgrows it is reported by the run.
func (p *program) fits(cfg *Config) error {
	t, n := p.tables, float64(p.n)
	var mixTop, mixMean, walkMs, turnMs float64
	for i := range p.mixers {
		mixTop = max(mixTop, float64(t.mix[i][Cells-1]+t.clear[i][Cells-1]))
		mixMean = max(mixMean, t.mix[i].mean()+t.clear[i].mean())
	}
	for _, b := range p.batch {
		walkMs += float64(b.full + b.empty)
		turnMs += float64(b.turn + b.rest)
	}
	lag := float64(p.headway + max(0, p.interval))
	tops := mixTop + float64(t.pour[Cells-1]+t.rake[Cells-1]+t.roll[Cells-1]+t.cast[Cells-1]) + lag +
		walkMs/n*float64(t.walk[Cells-1])/(1<<fracBits)
	carry := t.pour.mean() + walkMs/n*t.walk.mean()/(1<<fracBits)
	slowest := max(mixMean/float64(min(p.mixers, p.buckets)), t.pour.mean()+t.rake.mean(),
		t.roll.mean()/float64(p.rollers), t.cast.mean()/float64(p.casters), lag)
	mean := slowest + max(carry/float64(min(p.runners, p.buckets)), (mixMean+carry)/float64(p.buckets))
	if p.shared != OwnPeople {
		mean += t.rake.mean() + t.roll.mean() + t.cast.mean()
	}
	total := min(n*tops, 1.25*n*mean+50*tops) + turnMs + msOf(maxSpan)
	for _, m := range cfg.Moves {
		total += float64(ticks(m.Took))
	}
	if total > maxDay {
		return fmt.Errorf("batches: %d could take %.0f days, but a study ends after %.0f; forecast a shorter stretch", p.n, total/86400e3, float64(maxDay)/86400e3)
	}
	return nil
}
