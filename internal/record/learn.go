package record

import (
	"fmt"
	"slices"
	"sort"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/plan"
	"floorpace/internal/stats"
	"floorpace/internal/units"
)

// Seen is one day that is learned from.
type Seen struct {
	Name     string // of the log, for naming outliers
	Plan     *plan.Plan
	Floors   []*pace.Zone
	Events   []day.Event
	Invented bool // a demo's day
	Missing  int  // events known to be lost
}

// least is how many times a step must have been seen: with fewer, one slow
// batch is a third of the answer and the interval says nothing.
const least = 5

// Lesson is what one or more days teach.
type Lesson struct {
	Days     []string  `json:"days"`
	Batches  int       `json:"batches"`
	First    time.Time `json:"first"` // start of the first batch
	Last     time.Time `json:"last"`
	Invented bool      `json:"invented"`
	Fits     []Fit     `json:"fits"`
	// Refused says what could not be learned, and why; Notes what was left out and
	// what to bear in mind.
	Refused []string `json:"refused"`
	Notes   []string `json:"notes"`
	sys     units.System
	plan    *plan.Plan
}

// value is one seen figure.
type value struct {
	v     float64
	log   string
	batch int
	at    time.Time
}

// Learn fits the steps of a crew from days poured. It refuses no days at all, days
// without a batch poured, and days of different materials; a day given twice counts
// once, and a step seen too rarely is named in Refused.
func Learn(days []Seen) (*Lesson, error) {
	if len(days) == 0 {
		return nil, fmt.Errorf("nothing to learn from: name at least one day log")
	}
	l := &Lesson{sys: days[0].Plan.Units, plan: days[0].Plan, Refused: []string{}, Notes: []string{}}
	g := newGather()
	var read []*watched
	for _, d := range days {
		d.Name = dayName(d.Name)
		w := watch(d)
		poured := len(pourOrder(w.s))
		if poured == 0 {
			return nil, fmt.Errorf("%s: no batch was poured on this day; leave it out", d.Name)
		}
		if same := sameDay(read, w); same != nil {
			l.Notes = append(l.Notes, fmt.Sprintf("%s is the same day as %s: counted once", d.Name, same.Name))
			continue
		}
		if why := otherMaterial(days[0].Plan, w); why != "" {
			return nil, fmt.Errorf("%s and %s: %s: rates and mixing times do not carry over; learn from each by itself", dayName(days[0].Name), d.Name, why)
		}
		read = append(read, w)
		l.Days = append(l.Days, d.Name)
		l.Batches += poured
		l.Invented = l.Invented || d.Invented
		if w.gaps() || d.Missing > 0 {
			l.Notes = append(l.Notes, d.Name+": lines are lost; times across the gap are left out, but a hold or a batch that stood on them is not known")
		}
		l.span(w.s)
		g.seeBlends(w)
	}
	for _, w := range read {
		g.day(w)
	}
	l.differing(read)
	l.fit(g)
	l.remarks(g)
	return l, nil
}

// span widens the time learned from to a day's starts.
func (l *Lesson) span(s *day.State) {
	for i := range s.Batches {
		at := s.Batches[i].Started
		if at.IsZero() {
			continue
		}
		if l.First.IsZero() || at.Before(l.First) {
			l.First = at
		}
		if at.After(l.Last) {
			l.Last = at
		}
	}
}

// sameDay finds the day of which w is a copy, perhaps a damaged one: more than half
// of its pours fell on the same instants.
func sameDay(read []*watched, w *watched) *watched {
	for _, q := range read {
		at := map[time.Time]bool{}
		for i := range q.s.Batches {
			at[q.s.Batches[i].Poured.UTC()] = true
		}
		n, both := 0, 0
		for i := range w.s.Batches {
			if p := w.s.Batches[i].Poured; !p.IsZero() {
				n++
				if at[p.UTC()] {
					both++
				}
			}
		}
		if 2*both > n {
			return q
		}
	}
	return nil
}

// otherMaterial says how the material of a day differs from that of the first.
func otherMaterial(first *plan.Plan, w *watched) string {
	if first.Sheet.Name != w.Plan.Sheet.Name {
		return fmt.Sprintf("two materials, %q and %q", clean.String(first.Sheet.Name), clean.String(w.Plan.Sheet.Name))
	}
	for i := range w.s.Batches {
		b := &w.s.Batches[i]
		if b.Started.IsZero() {
			continue
		}
		p, q := first.Sheet.Blend(b.Blend), w.Plan.Sheet.Blend(b.Blend)
		if p == nil || q == nil || !slices.Equal(p.Steps, q.Steps) {
			return fmt.Sprintf("the sheets give blend %q other mix steps", clean.String(b.Blend))
		}
	}
	return ""
}

// seeBlends notes which blends were poured.
func (g *gather) seeBlends(w *watched) {
	for i := range w.s.Batches {
		if b := &w.s.Batches[i]; !b.Started.IsZero() && !slices.Contains(g.blends, b.Blend) {
			g.blends = append(g.blends, b.Blend)
		}
	}
	g.oneOnly = len(g.blends) == 1
}

// differing notes the figures in which the plans of the days differ: what was
// learned stands beside the first one's.
func (l *Lesson) differing(read []*watched) {
	var what []string
	add := func(name string, differs bool) {
		if differs && !slices.Contains(what, name) {
			what = append(what, name)
		}
	}
	a := &l.plan.Crew
	for _, w := range read {
		b := &w.Plan.Crew
		add("scrape", a.Scrape != b.Scrape)
		add("reset", a.Reset != b.Reset)
		add("walk_full", a.WalkFull != b.WalkFull)
		add("rake", a.RakeM2Min != b.RakeM2Min)
		add("roll", a.RollM2Min != b.RollM2Min)
		add("broadcast", a.BroadM2Min != b.BroadM2Min)
		add("loss", l.plan.Rules.Loss != w.Plan.Rules.Loss)
	}
	if len(what) > 0 {
		l.Notes = append(l.Notes, fmt.Sprintf("the plans of these days differ in %s: the plan's figures here are those of %s", strings.Join(what, ", "), l.Days[0]))
	}
}

// fit answers each step in a fixed order.
func (l *Lesson) fit(g *gather) {
	c := &l.plan.Crew
	sort.Ints(g.mixers)
	for i := range l.plan.Sheet.Blends {
		if slices.Contains(g.blends, l.plan.Sheet.Blends[i].Name) {
			l.fitMixing(g, i)
		}
	}
	l.walking(g)
	l.step(g, fitRake, "m²/min", asRate, num(c.RakeM2Min), c.Spread.Rake, "rake")
	l.note(fitRake, "pour to pour while a bucket stood waiting, less the plan's pour and turns; the pour's own scatter is in the spread")
	for _, post := range []struct {
		name, key string
		rate, sd  float64
	}{{fitRoll, "roll", c.RollM2Min, c.Spread.Roll}, {fitBroad, "broadcast", c.BroadM2Min, c.Spread.Broadcast}} {
		p := num(post.rate)
		if post.rate == 0 {
			p = noNum("the plan has no such post")
		}
		l.step(g, post.name, "m²/min", asRate, p, post.sd, post.key)
	}
	l.step(g, fitFront, "share", asShare, num(1), 0, "")
	l.step(g, fitLoss, "share", asShare, num(1+l.plan.Rules.Loss), 0, "loss")
	if f := l.named(fitLoss); f != nil { // fitted as 1 + loss, so that the logarithm holds
		for _, v := range []*Num{&f.Median, &f.Low, &f.High, &f.Plan} {
			v.V--
		}
		for i := range f.Out {
			f.Out[i].Value--
		}
	}
	l.drift(g)
}

// fitMixing answers what happens at the mixers, for one blend.
func (l *Lesson) fitMixing(g *gather, blend int) {
	c, bl := &l.plan.Crew, &l.plan.Sheet.Blends[blend]
	mix, mixOut, cycle := seconds(bl.MixTime()), seconds(bl.MixTime()+c.Scrape), seconds(l.plan.Cycle(bl))
	// What a plan can take is of the sheet's first blend: the crew's times are
	// written for it.
	key := func(k string) string {
		if blend > 0 {
			return ""
		}
		return k
	}
	mixing, out, starts := g.of(fitMixing, bl.Name), g.of(fitOut, bl.Name), g.of(fitCycle, bl.Name)
	if len(g.by[out]) == 0 || len(g.by[mixing]) > 0 {
		l.step(g, mixing, "s", asTime, mix, c.Spread.Mix, key("mix"))
	}
	l.optional(g, out, "s", asTime, mixOut, c.Spread.Mix, key("out"))
	for _, m := range g.mixers {
		l.optional(g, byMixer(mixing, m), "s", asTime, mix, c.Spread.Mix, "")
		l.optional(g, byMixer(out, m), "s", asTime, mixOut, c.Spread.Mix, "")
	}
	for _, st := range bl.Steps {
		l.optional(g, g.of("step "+st.Name, bl.Name), "s", asTime, seconds(st.Time), c.Spread.Mix, "")
	}
	l.step(g, starts, "s", asTime, cycle, c.Spread.Reset, key("cycle"))
	l.note(starts, "waits count in, the wait for the console's START too: a longer time than the plan's is not the crew's own")
	for _, m := range g.mixers {
		l.optional(g, byMixer(starts, m), "s", asTime, cycle, c.Spread.Reset, "")
	}
}

// remarks says what was left out, and what would teach more.
func (l *Lesson) remarks(g *gather) {
	for _, why := range sortedKeys(g.left) {
		l.Notes = append(l.Notes, fmt.Sprintf("%s across %s left out", units.Count(g.left[why], "time", "times"), why+map[bool]string{true: " was", false: " were"}[g.left[why] == 1]))
	}
	for _, name := range sortedKeys(g.waited) {
		if l.named(name) == nil && len(g.by[name]) < least {
			l.waited(name, g.waited[name])
		}
	}
	if f := l.find("mix"); f != nil && f.High.V < f.Plan.V {
		l.Notes = append(l.Notes, "MIXING IS SHORTER THAN THE SHEET ASKS: the sheet's mixing time comes first")
	}
	if g.asked {
		return
	}
	l.Notes = append(l.Notes, "no mix steps and rows were asked for on these days: record_steps = true under [rules] of a plan has them pressed")
}

func (l *Lesson) note(name, words string) {
	for i := range l.Fits {
		if l.Fits[i].Name == name {
			l.Fits[i].Note = words
		}
	}
}

// step fits one step; too few is said.
func (l *Lesson) step(g *gather, name, unit string, kind fitKind, planned Num, planSD float64, key string) {
	f, err := fitOf(name, g.by[name])
	if err != nil {
		l.Refused = append(l.Refused, err.Error())
		return
	}
	f.Unit, f.kind, f.Plan, f.fits = unit, kind, planned, key
	f.PlanVar = num(planSD)
	if planSD == 0 {
		f.PlanVar = noNum("the plan gives none")
	}
	l.Fits = append(l.Fits, f)
}

// optional fits a finer step that is only there when it was pressed.
func (l *Lesson) optional(g *gather, name, unit string, kind fitKind, planned Num, planSD float64, key string) {
	if len(g.by[name]) > 0 {
		l.step(g, name, unit, kind, planned, planSD, key)
	}
}

// waited puts beside what was not learned that its post had to wait for its work,
// n times: then it shows the pace of the line and not its own.
func (l *Lesson) waited(name string, n int) {
	for i, r := range l.Refused {
		if strings.HasPrefix(r, name+": ") {
			l.Refused[i] += "; " + units.Count(n, "time", "times") + " more it waited for its work and was not at its own rate"
		}
	}
}

// walking fits time = handling + distance / speed over batches that nothing
// stood in the way of. What stands far from the line of all the rest is left out.
func (l *Lesson) walking(g *gather) {
	const name = "walking with a full bucket"
	if n := len(g.carryM); n < least {
		l.Refused = append(l.Refused, fmt.Sprintf("%s: seen %s, at least %d are needed", name, units.Count(n, "time", "times"), least))
		return
	}
	x, y, kept, odd := nearLine(g.carryM, g.by[fitCarry])
	carry := fitKept(fitCarry, kept)
	carry.Unit, carry.Plan, carry.PlanVar, carry.Out = "s", noNum("depends on the distance"), noNum("the plan gives none"), odd
	l.Fits = append(l.Fits, carry)
	line, err := stats.Fit(x, y)
	t := studentT(0.975, float64(line.N-2))
	if err != nil || line.Slope-t*line.SlopeSE <= 0 {
		l.Refused = append(l.Refused, fmt.Sprintf("%s: over %d carries the times do not grow with the distance beyond their own scatter", name, len(x)))
		return
	}
	l.Fits = append(l.Fits, Fit{
		Name: name, Unit: "m/s", Seen: line.N, Out: []Odd{}, kind: asSpeed, fits: "walk_full",
		Median: num(1 / line.Slope), Low: num(1 / (line.Slope + t*line.SlopeSE)), High: num(1 / (line.Slope - t*line.SlopeSE)),
		Spread: noNum("from a straight line"), Plan: num(l.plan.Crew.WalkFull), PlanVar: noNum("from a straight line"),
		Note: fmt.Sprintf("from mixed to poured: time = %s + distance / speed", units.Clock(time.Duration(line.Intercept*float64(time.Second)))),
	})
}

// drift fits how the front's use of material changes with the batches.
func (l *Lesson) drift(g *gather) {
	const name = "drift in ten batches"
	if n := len(g.ratios.x); n < least {
		l.Refused = append(l.Refused, fmt.Sprintf("%s: %s of the front, at least %d are needed", name, units.Count(n, "mark", "marks"), least))
		return
	}
	line, err := stats.Fit(g.ratios.x, g.ratios.y)
	if err != nil {
		l.Refused = append(l.Refused, name+": "+err.Error())
		return
	}
	t := studentT(0.975, float64(line.N-2))
	l.Fits = append(l.Fits, Fit{
		Name: name, Unit: "share", Seen: line.N, Out: []Odd{}, kind: asShare,
		Median: num(10 * line.Slope), Low: num(10 * (line.Slope - t*line.SlopeSE)), High: num(10 * (line.Slope + t*line.SlopeSE)),
		Spread: noNum("from a straight line"), Plan: num(0), PlanVar: noNum("from a straight line"),
		Note: "below zero: the floor goes down thicker as the day goes on",
	})
}
