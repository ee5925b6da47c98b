package record

import (
	"fmt"
	"io"
	"path/filepath"
	"strconv"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// Taken is what of a lesson a plan can take, by the keys of its crew file.
func (l *Lesson) Taken() (keys []string) {
	for _, table := range l.crewTables() {
		for _, k := range table.keys {
			keys = append(keys, table.under+k.key)
		}
	}
	return keys
}

// crewKey is one line of a crew file.
type crewKey struct{ key, value, why string }

type crewTable struct {
	name  string
	under string // before the key, in words
	keys  []crewKey
}

// crewTables are the tables of a crew file and what was learned for them; only what
// was seen stands in it, the rest stays as the plan has it. Times with waits in them
// are taken only where they show the crew to be faster than the plan: a wait for
// the console's own call, learned, would make the next call later still.
func (l *Lesson) crewTables() []crewTable {
	crew, spread, rules := crewTable{name: "[crew]"}, crewTable{name: "[crew.spread]", under: "spread."}, crewTable{name: "[rules]"}
	quoted := strconv.Quote
	scrape := l.scrape(&crew)
	busy := l.plan.Sheet.Blends[0].MixTime() + scrape
	if f := l.find("cycle"); f != nil && f.High.V < f.Plan.V && f.Median.Dur() >= busy {
		crew.keys = append(crew.keys, crewKey{"cycle", quoted(f.print(f.Median, l.sys)), l.seen(f)})
	}
	for _, r := range []struct {
		key  string
		kind units.Kind
	}{{"walk_full", units.Speed}, {"rake", units.AreaRate}, {"roll", units.AreaRate}, {"broadcast", units.AreaRate}} {
		if f := l.sure(r.key); f != nil {
			crew.keys = append(crew.keys, crewKey{r.key, quoted(units.Format(r.kind, f.Median.V, l.sys)), l.seen(f)})
		}
	}
	mix := l.find("mix")
	if mix == nil {
		mix = l.find("out")
	}
	for _, s := range []struct {
		key string
		fit *Fit
	}{{"mix", mix}, {"rake", l.find("rake")}, {"roll", l.find("roll")}, {"broadcast", l.find("broadcast")}} {
		if s.fit != nil && s.fit.Spread.OK() && s.fit.Spread.V <= 1 {
			spread.keys = append(spread.keys, crewKey{s.key, fmt.Sprintf("\"%.1f %%\"", 100*s.fit.Spread.V), fmt.Sprintf("seen %d times; the plan says %s", s.fit.Seen, spreadText(s.fit.PlanVar))})
		}
	}
	// Below zero the floor took less than the plan's volume: the depth is then off,
	// not the loss, and no plan holds such a loss.
	if f := l.find("loss"); f != nil && f.High.V-f.Low.V <= sureLoss && f.Median.V >= 0 && f.Median.V <= 0.5 {
		rules.keys = append(rules.keys, crewKey{"loss", quoted(f.print(f.Median, l.sys)), l.seen(f)})
	}
	var out []crewTable
	for _, t := range []crewTable{crew, spread, rules} {
		if len(t.keys) > 0 {
			out = append(out, t)
		}
	}
	return out
}

// sureWithin is how wide the interval of a figure may be, high to low, for a plan to
// go by it: within a fifth or so either way; wider, and the crew's own guess is as
// good.
const sureWithin = 1.5

// sureLoss is the same for the loss, whose interval is a difference.
const sureLoss = 0.1

// sure finds the fit that answers a key closely enough.
func (l *Lesson) sure(key string) *Fit {
	if f := l.find(key); f != nil && f.High.V <= sureWithin*f.Low.V {
		return f
	}
	return nil
}

// scrape writes the time that a batch takes beyond the sheet's mixing, where it was
// seen to be longer than planned: the plan knows no mixing but the sheet's.
func (l *Lesson) scrape(t *crewTable) time.Duration {
	planned := l.plan.Crew.Scrape
	add := func(d time.Duration, how string) time.Duration {
		t.keys = append(t.keys, crewKey{"scrape", strconv.Quote(units.Clock(d)), fmt.Sprintf("%s; the plan says %s", how, units.Clock(planned))})
		return d.Round(time.Second)
	}
	sheet := l.plan.Sheet.Blends[0].MixTime()
	if f := l.find("out"); f != nil && (f.Plan.V < f.Low.V || f.Plan.V > f.High.V) && f.Median.Dur() > sheet {
		return add(f.Median.Dur()-sheet, fmt.Sprintf("mixing and pouring out, seen %d times, took %s", f.Seen, f.print(f.Median, l.sys)))
	}
	if f := l.find("mix"); f != nil && f.Low.V > f.Plan.V {
		return add(planned+f.Median.Dur()-sheet, fmt.Sprintf("with what mixing takes beyond the sheet: %s, seen %d times", f.print(f.Median, l.sys), f.Seen))
	}
	return planned
}

// WriteCrew writes what was learned as a crew file, which a plan takes in beside its
// sheet. It refuses when there is nothing in it for a plan.
func (l *Lesson) WriteCrew(w io.Writer) error {
	tables := l.crewTables()
	if len(tables) == 0 {
		return fmt.Errorf("nothing was learned that a plan can take in")
	}
	p := &lines{w: w}
	if l.Invented {
		p.say("# INVENTED: learned from a demo's day, not from a real crew.")
	}
	p.say("# Crew file: what a crew's own days have shown. In a plan beside it write")
	p.say("#     crew_file = \"the name of this file\"")
	p.say("# Keys that the plan writes itself count before these.")
	p.say("units = %q", l.sys.String())
	p.say("\n[learned]")
	p.say("from = [")
	for i, d := range l.Days {
		if i == mostDays {
			p.say("  %q,", fmt.Sprintf("and %d more", len(l.Days)-mostDays))
			break
		}
		p.say("  %q,", d)
	}
	p.say("]")
	p.say("batches = %d", l.Batches)
	p.say("first = %s", l.First.Format(time.RFC3339))
	p.say("last = %s", l.Last.Format(time.RFC3339))
	if l.Invented {
		p.say("invented = true")
	}
	for _, key := range []string{"walk_full", "rake", "roll", "broadcast"} {
		if f := l.find(key); f != nil && l.sure(key) == nil {
			p.say("\n# %s: %s: too wide to go by, left as planned", key, l.seen(f))
		}
	}
	for _, t := range tables {
		p.say("\n%s", t.name)
		for _, k := range t.keys {
			p.say("%-9s = %-15s # %s", k.key, k.value, k.why)
		}
	}
	return p.err
}

// mostDays is how many logs a crew file names, well inside a plan file's longest
// list.
const mostDays = 100

// dayName is a log without the folders above its day's, short enough for a plan
// file's names.
func dayName(path string) string {
	name, dir := filepath.Base(path), filepath.Base(filepath.Dir(path))
	if dir != "." && dir != string(filepath.Separator) {
		name = dir + "/" + name
	}
	return clean.Fit(name, 80)
}

func (l *Lesson) seen(f *Fit) string {
	return fmt.Sprintf("seen %d times, %s to %s; the plan says %s", f.Seen, f.bare(f.Low, l.sys), f.bare(f.High, l.sys), f.bare(f.Plan, l.sys))
}
