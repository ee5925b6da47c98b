package planfile

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"floorpace/internal/plan"
	"floorpace/internal/units"
)

// crewKey is the key of a plan that names its crew file.
const crewKey = "crew_file"

// isCrews reports whether a key of the plan may stand in a crew file.
func isCrews(key string) bool { return strings.HasPrefix(key, "crew.") || key == "rules.loss" }

// holds reports whether a document has something at key itself.
func holds(d *document, key string) bool {
	_, rest := d.root.find(key)
	return rest == ""
}

// readCrewOf reads the crew: its crew file, where the plan names one, and over it
// what the plan itself says.
func (r *reading) readCrewOf(t *table, p *plan.Plan, file func(string) ([]byte, error)) {
	var lead cycle
	r.readCrewFile(t, p, file, &lead)
	if name, ok := t.value["crew"].(string); ok {
		t.get("crew")
		t.fault("crew", "this is a text, not a table", fmt.Sprintf("write crew_file = %q for a file beside the plan, or [crew] on a line of its own and the figures below it", name))
		return
	}
	t.child("crew", func(c *table) { readCrew(c, &p.Crew, &lead) })
	lead.settle(p)
	if r.crew != r.plan && !r.crew.unread {
		r.twiceSaid(p)
	}
}

// readCrewFile reads the file that stands under crewKey. Where it cannot be read
// the posts it may have counted are not said to be missing.
func (r *reading) readCrewFile(t *table, p *plan.Plan, file func(string) ([]byte, error), lead *cycle) {
	v, ok := t.get(crewKey)
	if !ok {
		return
	}
	name, ok := v.(string)
	if !ok {
		t.fault(crewKey, "this is "+kindOf(v)+", not the name of a file", `write crew_file = "crew.toml", a file beside the plan; the crew's figures themselves stand under [crew]`)
	}
	var d *document
	if ok {
		d = r.open(t, crewKey, "crew file", name, file)
	}
	if d != nil {
		r.crew = d
	}
	if d == nil || d.unread {
		for _, k := range []string{"crew.mixers", "crew.runners", "crew.buckets"} {
			if !holds(r.plan, k) {
				r.wrong = append(r.wrong, k)
			}
		}
		return
	}
	c := &table{r: r, d: d, p: d.root, value: d.value, sys: t.sys, top: true}
	c.system(&c.sys)
	p.CrewFile = &plan.CrewFile{Name: name}
	c.child("learned", func(l *table) { readLearned(l, p.CrewFile) })
	c.child("crew", func(w *table) { readCrew(w, &p.Crew, lead) })
	c.child("rules", func(w *table) { w.quantity("loss", units.Share, &p.Rules.Loss) })
	c.finish()
}

// readLearned reads where the figures of a crew file come from.
func readLearned(t *table, f *plan.CrewFile) {
	t.names("from", &f.From)
	t.count("batches", &f.Batches)
	t.instant("first", &f.First)
	t.instant("last", &f.Last)
	t.flag("invented", &f.Invented)
	if f.Batches < 0 {
		t.fault("batches", "a count cannot be negative", "write how many batches were poured on those days")
	}
	if !f.First.IsZero() && !f.Last.IsZero() && f.Last.Before(f.First) {
		t.fault("last", "the last batch comes before the first", "write the earlier instant as first")
	}
}

func readCrew(t *table, c *plan.Crew, lead *cycle) {
	t.count("mixers", &c.Mixers)
	t.count("runners", &c.Runners)
	t.count("buckets", &c.Buckets)
	t.duration("scrape", &c.Scrape)
	t.duration("reset", &c.Reset)
	lead.read(t)
	t.duration("load", &c.Load)
	t.duration("pour", &c.Pour)
	t.duration("headway", &c.Headway)
	t.quantity("walk_full", units.Speed, &c.WalkFull)
	t.quantity("walk_empty", units.Speed, &c.WalkEmpty)
	t.quantity("rake", units.AreaRate, &c.RakeM2Min)
	t.quantity("roll", units.AreaRate, &c.RollM2Min)
	t.quantity("broadcast", units.AreaRate, &c.BroadM2Min)
	t.child("spread", func(s *table) {
		for _, v := range []struct {
			key string
			out *float64
		}{
			{"mix", &c.Spread.Mix},
			{"scrape", &c.Spread.Scrape},
			{"reset", &c.Spread.Reset},
			{"load", &c.Spread.Load},
			{"walk", &c.Spread.Walk},
			{"pour", &c.Spread.Pour},
			{"rake", &c.Spread.Rake},
			{"roll", &c.Spread.Roll},
			{"broadcast", &c.Spread.Broadcast},
		} {
			s.quantity(v.key, units.Share, v.out)
		}
	})
}

// cycle is the time from one start to the next on the same mixer, as the last
// table that gave a cycle or a reset wrote it.
type cycle struct {
	t     *table // nil: none gave a cycle that counts
	takes time.Duration
}

// read reads the cycle of a crew table. A reset in a later table takes its place.
func (c *cycle) read(t *table) {
	v, ok := t.get("cycle")
	switch {
	case !ok && t.has("reset"):
		*c = cycle{}
	case !ok:
	case t.time("cycle", t.spot("cycle"), v, &c.takes):
		c.t = t
		if t.has("reset") {
			t.fault("cycle", "the crew gives both cycle and reset", "keep one: the cycle is mixing, scraping and reset together")
			c.t = nil
		}
	default:
		c.t = nil
	}
}

// settle makes the cycle into the reset: what mixing (first blend) and scraping
// leave of it.
func (c *cycle) settle(p *plan.Plan) {
	t := c.t
	if t == nil {
		return
	}
	t.r.cycle = true
	if len(p.Sheet.Blends) == 0 || isIn(t.r.wrong, t.path("scrape")) || t.r.under("sheet.blend.0.step") {
		return // said already
	}
	busy := p.Sheet.Blends[0].MixTime() + p.Crew.Scrape
	if c.takes < busy {
		if !t.r.broken() {
			t.fault("cycle", fmt.Sprintf("the cycle is shorter than mixing and scraping, %s together", units.Clock(busy)), "write the time from one start to the next on the same mixer")
		}
		return
	}
	p.Crew.Reset = c.takes - busy
}

// twiceSaid notes what stands in the plan and in its crew file, where the plan's
// own counts, and a crew file that tells of no real day.
func (r *reading) twiceSaid(p *plan.Plan) {
	var both []string
	first := -1
	look := func(table string, from, file *place) {
		if from == nil || file == nil {
			return
		}
		for _, k := range from.order {
			same := k
			if file.kids[same] == nil {
				switch k {
				case "cycle":
					same = "reset"
				case "reset":
					same = "cycle"
				}
			}
			if k == "spread" || file.kids[same] == nil {
				continue
			}
			both = append(both, table+k)
			if at := from.kids[k].key; first < 0 || at < first {
				first = at
			}
		}
	}
	own, file := r.plan.root.kids["crew"], r.crew.root.kids["crew"]
	look("", own, file)
	if own != nil && file != nil {
		look("spread.", own.kids["spread"], file.kids["spread"])
	}
	if rules := r.plan.root.kids["rules"]; rules != nil && r.crew.root.kids["rules"] != nil {
		look("", &place{kids: rules.kids, order: only(rules.order, "loss")}, r.crew.root.kids["rules"])
	}
	if len(both) > 0 {
		stand := "stands"
		if len(both) > 1 {
			stand = "stand"
		}
		r.notes = append(r.notes, r.plan.at(first, fmt.Sprintf("%s %s here and in %s: the plan's own counts", strings.Join(both, ", "), stand, r.crew.name),
			"take out here what the crew file is to say"))
	}
	if p.CrewFile != nil && p.CrewFile.Invented {
		at := r.crew.root
		if l := at.kids["learned"]; l != nil {
			at = l
			if i := l.kids["invented"]; i != nil {
				at = i
			}
		}
		r.notes = append(r.notes, r.crew.at(at.key, "the crew's figures are invented, not timed", "learn them from the crew's own days"))
	}
}

// only keeps key of a list.
func only(list []string, key string) []string {
	if slices.Contains(list, key) {
		return []string{key}
	}
	return nil
}
