package record

import (
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/units"
)

// lines writes lines and keeps the first error.
type lines struct {
	w   io.Writer
	err error
}

func (p *lines) say(format string, args ...any) {
	if p.err == nil {
		_, p.err = fmt.Fprintf(p.w, format+"\n", args...)
	}
}

func (p *lines) columns(rows [][]string) {
	t := tabwriter.NewWriter(p.w, 0, 0, 2, ' ', 0)
	for _, r := range rows {
		if _, err := fmt.Fprintln(t, "  "+strings.Join(r, "\t")); err != nil && p.err == nil {
			p.err = err
		}
	}
	if err := t.Flush(); err != nil && p.err == nil {
		p.err = err
	}
}

// print gives a figure of a fit in the crew's units.
func (f *Fit) print(n Num, sys units.System) string {
	switch {
	case !n.OK():
		return "N/A"
	case math.IsNaN(n.V) || math.IsInf(n.V, 0):
		return units.NoFigure
	}
	switch f.kind {
	case asSpeed:
		return units.Format(units.Speed, n.V, sys)
	case asRate:
		return units.Format(units.AreaRate, n.V, sys)
	case asShare:
		return fmt.Sprintf("%.1f %%", math.Round(1000*n.V)/10+0) // + 0: no minus before a zero
	}
	return units.Clock(n.Dur())
}

// Write prints what was learned beside the plan's figures, what was left out and
// what could not be learned.
func (l *Lesson) Write(w io.Writer) error {
	p := &lines{w: w}
	p.say("LEARNED from %d batches of %s", l.Batches, strings.Join(l.Days, ", "))
	rows := [][]string{{"step", "seen", "median", "95 % interval", "spread", "plan", "plan spread", ""}}
	for i := range l.Fits {
		f := &l.Fits[i]
		word := ""
		if f.Plan.OK() && f.Low.OK() && (f.Plan.V < f.Low.V || f.Plan.V > f.High.V) {
			word = "differs"
		}
		rows = append(rows, []string{
			clean.String(f.Name), fmt.Sprint(f.Seen), f.print(f.Median, l.sys), f.print(f.Low, l.sys) + " to " + f.print(f.High, l.sys),
			spreadText(f.Spread), f.print(f.Plan, l.sys), spreadText(f.PlanVar), word,
		})
	}
	p.columns(rows)
	for i := range l.Fits {
		if f := &l.Fits[i]; f.Note != "" {
			p.say("  %s: %s", clean.String(f.Name), clean.String(f.Note))
		}
	}
	out := false
	for i := range l.Fits {
		f := &l.Fits[i]
		for _, o := range f.Out {
			if !out {
				p.say("\nLEFT OUT, far from all the rest")
				out = true
			}
			what := ""
			if o.Batch > 0 {
				what = fmt.Sprintf(" batch %d", o.Batch)
			}
			p.say("  %s: %s in %s%s at %s", clean.String(f.Name), f.print(num(o.Value), l.sys), o.Log, what, hms(o.At))
		}
	}
	if len(l.Refused) > 0 {
		p.say("\nNOT LEARNED")
		for _, r := range l.Refused {
			p.say("  %s", clean.String(r))
		}
	}
	return p.err
}

func spreadText(n Num) string {
	if !n.OK() {
		return "N/A"
	}
	return fmt.Sprintf("%.0f %%", 100*n.V)
}

func (l *Lesson) find(key string) *Fit {
	for i := range l.Fits {
		if l.Fits[i].fits == key {
			return &l.Fits[i]
		}
	}
	return nil
}

func (l *Lesson) named(name string) *Fit {
	for i := range l.Fits {
		if l.Fits[i].Name == name {
			return &l.Fits[i]
		}
	}
	return nil
}

// WriteCrew writes the crew as learned, in the form of a plan file's [crew]
// table: what was not learned stands as in the first day's plan, and each line
// says which it is. Times with waits in them are taken only where they show the
// crew to be faster than the plan.
func (l *Lesson) WriteCrew(w io.Writer) error {
	c := &l.plan.Crew
	p := &lines{w: w}
	p.say("# Crew as learned from %d batches of %s.", l.Batches, strings.Join(l.Days, ", "))
	p.say("# Plans do not read crew files by themselves: put this in the place of [crew]")
	p.say("# and [crew.spread] in the plan.")
	if f := l.named("loss"); f != nil {
		p.say("# [rules] loss: seen %s (%s to %s), the plan says %s", f.print(f.Median, l.sys), f.print(f.Low, l.sys), f.print(f.High, l.sys), f.print(f.Plan, l.sys))
	}
	if f := l.named("mixing"); f != nil {
		p.say("# steps of the sheet together: seen %s (%s to %s), the sheet says %s", f.print(f.Median, l.sys), f.print(f.Low, l.sys), f.print(f.High, l.sys), f.print(f.Plan, l.sys))
	}
	p.say("")
	p.say("[crew]")
	const asPlanned = "as planned"
	line := func(key, v, why string) { p.say("%-11s = %-16s # %s", key, v, why) }
	quoted := func(s string) string { return `"` + s + `"` }
	line("mixers", fmt.Sprint(c.Mixers), asPlanned)
	line("runners", fmt.Sprint(c.Runners), asPlanned)
	line("buckets", fmt.Sprint(c.Buckets), asPlanned)
	line("scrape", quoted(units.Clock(c.Scrape)), asPlanned)
	bl := &l.plan.Sheet.Blends[0]
	busy := bl.MixTime() + c.Scrape
	if f := l.find("cycle"); f != nil && f.High.V < f.Plan.V && f.Median.Dur() >= busy {
		line("cycle", quoted(f.print(f.Median, l.sys)), l.seen(f))
	} else {
		line("reset", quoted(units.Clock(c.Reset)), asPlanned)
	}
	line("load", quoted(units.Clock(c.Load)), asPlanned)
	line("pour", quoted(units.Clock(c.Pour)), asPlanned)
	if c.Headway > 0 {
		line("headway", quoted(units.Clock(c.Headway)), asPlanned)
	}
	rate := func(key string, kind units.Kind, v float64, faster bool) {
		if v <= 0 {
			return
		}
		f := l.find(key)
		if f != nil && (!faster || f.Low.V > v) {
			line(key, quoted(units.Format(kind, f.Median.V, l.sys)), l.seen(f))
			return
		}
		line(key, quoted(units.Format(kind, v, l.sys)), asPlanned)
	}
	rate("walk_full", units.Speed, c.WalkFull, false)
	rate("walk_empty", units.Speed, c.WalkEmpty, false)
	rate("rake", units.AreaRate, c.RakeM2Min, false)
	rate("roll", units.AreaRate, c.RollM2Min, true)
	rate("broadcast", units.AreaRate, c.BroadM2Min, true)
	l.writeSpread(p, line)
	return p.err
}

func (l *Lesson) writeSpread(p *lines, line func(key, v, why string)) {
	s := &l.plan.Crew.Spread
	p.say("\n[crew.spread]")
	mix := l.named("mixing")
	if mix == nil {
		mix = l.named("mixing and pouring out")
	}
	for _, v := range []struct {
		key  string
		plan float64
		fit  *Fit
	}{
		{"mix", s.Mix, mix},
		{"scrape", s.Scrape, nil},
		{"reset", s.Reset, nil},
		{"load", s.Load, nil},
		{"walk", s.Walk, nil},
		{"pour", s.Pour, nil},
		{"rake", s.Rake, l.find("rake")},
		{"roll", s.Roll, nil},
		{"broadcast", s.Broadcast, nil},
	} {
		if v.fit != nil && v.fit.Spread.OK() {
			line(v.key, fmt.Sprintf("\"%.1f %%\"", 100*v.fit.Spread.V), l.seen(v.fit))
			continue
		}
		line(v.key, fmt.Sprintf("\"%.4g %%\"", 100*v.plan), "as planned")
	}
}

func (l *Lesson) seen(f *Fit) string {
	return fmt.Sprintf("seen %d times, %s to %s; the plan said %s", f.Seen, f.print(f.Low, l.sys), f.print(f.High, l.sys), f.print(f.Plan, l.sys))
}

// Compare prints days side by side, one column a day.
func Compare(w io.Writer, names []string, papers []*Paper) error {
	if len(papers) < 2 || len(names) != len(papers) {
		return fmt.Errorf("comparing needs two days or more")
	}
	sys := papers[0].sys
	var rows [][]string
	row := func(name string, f func(*Paper) string) {
		r := []string{name}
		for _, p := range papers {
			r = append(r, clean.String(f(p)))
		}
		rows = append(rows, r)
	}
	r := []string{""}
	for _, n := range names {
		r = append(r, clean.Fit(n, 28))
	}
	rows = append(rows, r)
	row("plan", func(p *Paper) string { return clean.Fit(p.heading(), 28) })
	row("day", dayOf)
	row("crew's units", func(p *Paper) string { return p.Units })
	row("batches poured", func(p *Paper) string { return fmt.Sprint(p.Totals.Poured) })
	row("floor laid", func(p *Paper) string { return units.Format(units.Area, p.Totals.AreaM2, sys) })
	row("median interval", func(p *Paper) string { return p.zoneText(func(z *Zone) Num { return z.Interval }, clockOf) })
	row("an hour", func(p *Paper) string {
		return p.zoneText(func(z *Zone) Num { return z.M2PerHour }, printer{p, sys}.f(units.Area))
	})
	rows = append(rows, compareHolds(papers)...)
	row("least slack", func(p *Paper) string { return p.zoneText(func(z *Zone) Num { return z.Edge.Least }, clockOf) })
	row("joined inside the margin", func(p *Paper) string { return p.edgeText(func(e *Edges) float64 { return e.RiskM }, sys) })
	row("joined too late", func(p *Paper) string { return p.edgeText(func(e *Edges) float64 { return e.LostM }, sys) })
	row("kits opened", func(p *Paper) string { return kits(p.Totals.KitsOpened) })
	row("kits used", func(p *Paper) string { return kits(p.Totals.KitsUsed) })
	row("kits scrapped", func(p *Paper) string { return kits(p.Totals.KitsScrapped) })
	row("kits left of opened", func(p *Paper) string { return kits(p.Totals.KitsLeft) })
	row("kits by the plan", func(p *Paper) string {
		n := 0
		for i := range p.Zones {
			n += p.Zones[i].PlanKits
		}
		return fmt.Sprint(n)
	})
	row("a kit covers", func(p *Paper) string {
		return p.zoneText(func(z *Zone) Num { return z.RealM2Kit }, printer{p, sys}.f(units.Area))
	})
	row("use against the plan", func(p *Paper) string { return p.zoneText(func(z *Zone) Num { return z.Drift }, percent) })
	rows = append(rows, compareCalls(papers)...)
	row("findings", func(p *Paper) string { return fmt.Sprint(len(p.Findings)) })
	out := &lines{w: w}
	out.columns(rows)
	return out.err
}

// zoneText joins a figure of each zone poured.
func (p *Paper) zoneText(f func(*Zone) Num, print func(float64) string) string {
	var out []string
	for i := range p.Zones {
		z := &p.Zones[i]
		if z.Batches == 0 {
			continue
		}
		if n := f(z); n.OK() {
			out = append(out, print(n.V))
		} else {
			out = append(out, "N/A")
		}
	}
	if len(out) == 0 {
		return "N/A"
	}
	return strings.Join(out, " / ")
}

func (p *Paper) edgeText(f func(*Edges) float64, sys units.System) string {
	sum := 0.0
	for i := range p.Zones {
		sum += f(&p.Zones[i].Edge)
	}
	return units.Format(units.Length, sum, sys)
}

// compareHolds gives the holds and stops of each day by their cause.
func compareHolds(papers []*Paper) [][]string {
	causes := map[string]bool{}
	length := make([]map[string]time.Duration, len(papers))
	times := make([]map[string]int, len(papers))
	for i, p := range papers {
		length[i], times[i] = map[string]time.Duration{}, map[string]int{}
		for k := range p.Holds {
			h := &p.Holds[k]
			cause := "hold: " + strings.ToLower(h.Why.S)
			if !h.Why.OK() {
				cause = "hold: " + h.Why.NA
			}
			if h.Stop {
				cause = "stop: " + strings.ToLower(h.Why.S)
			}
			to := p.End.T
			if h.To.OK() {
				to = h.To.T
			}
			causes[cause] = true
			length[i][cause] += to.Sub(h.From)
			times[i][cause]++
		}
	}
	if len(causes) == 0 {
		r := []string{"holds"}
		for range papers {
			r = append(r, "none")
		}
		return [][]string{r}
	}
	var out [][]string
	for _, c := range sortedKeys(causes) {
		r := []string{c}
		for i := range papers {
			r = append(r, fmt.Sprintf("%d, %s", times[i][c], units.Clock(length[i][c])))
		}
		out = append(out, r)
	}
	return out
}

// compareCalls counts the calls of each day by what they said; numbers in them
// do not count, so that BUCKET 7 DEAD and BUCKET 9 DEAD are one.
func compareCalls(papers []*Paper) [][]string {
	kinds := map[string]bool{}
	n := make([]map[string]int, len(papers))
	for i, p := range papers {
		n[i] = map[string]int{}
		for k := range p.Calls {
			what := "call: " + strings.ToLower(withoutNumbers(p.Calls[k].What))
			kinds[what] = true
			n[i][what]++
		}
	}
	var out [][]string
	for _, k := range sortedKeys(kinds) {
		r := []string{k}
		for i := range papers {
			r = append(r, fmt.Sprint(n[i][k]))
		}
		out = append(out, r)
	}
	return out
}

func withoutNumbers(s string) string {
	var out []string
	for _, w := range strings.Fields(s) {
		if strings.Trim(w, "0123456789") != "" {
			out = append(out, w)
		}
	}
	return strings.Join(out, " ")
}
