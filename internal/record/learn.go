package record

import (
	"fmt"
	"math"
	"slices"
	"sort"
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
	Name   string // of the log, for naming outliers
	Plan   *plan.Plan
	Floors []*pace.Zone
	Events []day.Event
}

// least is how many times a step must have been seen: with fewer, one slow
// batch is a third of the answer and the interval says nothing.
const least = 5

// oddAt is the modified z-score beyond which a time is left out and named:
// 0.6745 · |x − median| / MAD > 3.5, on logarithms (Iglewicz and Hoaglin, "How
// to Detect and Handle Outliers", 1993; from memory).
const oddAt = 3.5

// Fit is what was learned of one step: the median with its 95 % interval and the
// spread (standard deviation of the logarithm), beside the plan's.
type Fit struct {
	Name    string  `json:"step"`
	Unit    string  `json:"unit"` // s, m/s, m²/min, share
	Seen    int     `json:"seen"` // those left out not counted
	Median  Num     `json:"median"`
	Low     Num     `json:"low"` // of the 95 % interval of the median
	High    Num     `json:"high"`
	Spread  Num     `json:"spread"`
	Plan    Num     `json:"plan"`
	PlanVar Num     `json:"plan_spread"`
	Out     []Odd   `json:"left_out"`
	Note    string  `json:"note"`
	fits    string  // key of the plan's crew table this answers, "" for none
	kind    fitKind // how it prints
}

type fitKind uint8

const (
	asTime fitKind = iota
	asSpeed
	asRate
	asShare
)

// Odd is a time that was left out.
type Odd struct {
	Log   string    `json:"log"`
	Batch int       `json:"batch"`
	At    time.Time `json:"at"`
	Value float64   `json:"value"`
}

// Lesson is what one or more days teach.
type Lesson struct {
	Days    []string `json:"days"`
	Batches int      `json:"batches"`
	Fits    []Fit    `json:"fits"`
	// Refused says what could not be learned, and why.
	Refused []string `json:"refused"`
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

// Learn fits the steps of a crew from days poured. It refuses no days at all and
// days without a batch poured; a step seen too rarely is named in Refused.
func Learn(days []Seen) (*Lesson, error) {
	if len(days) == 0 {
		return nil, fmt.Errorf("nothing to learn from: name at least one day log")
	}
	l := &Lesson{sys: days[0].Plan.Units, plan: days[0].Plan, Refused: []string{}}
	g := &gather{by: map[string][]value{}}
	for _, d := range days {
		s := day.Fold(d.Plan, d.Floors, d.Events)
		poured := len(pourOrder(s))
		if poured == 0 {
			return nil, fmt.Errorf("%s: no batch was poured on this day; leave it out", clean.String(d.Name))
		}
		l.Days = append(l.Days, clean.String(d.Name))
		l.Batches += poured
		g.day(d, s)
	}
	l.fit(g)
	return l, nil
}

// fit answers each step in a fixed order.
func (l *Lesson) fit(g *gather) {
	c := &l.plan.Crew
	bl := &l.plan.Sheet.Blends[0]
	sort.Ints(g.mixers)
	mix, mixOut := seconds(bl.MixTime()), seconds(bl.MixTime()+c.Scrape)
	l.step(g, "mixing", "s", asTime, mix, c.Spread.Mix, "")
	for _, m := range g.mixers {
		l.optional(g, fmt.Sprintf("mixing, mixer %d", m), mix, c.Spread.Mix)
	}
	l.optional(g, "mixing and pouring out", mixOut, c.Spread.Mix)
	for _, m := range g.mixers {
		l.optional(g, fmt.Sprintf("mixing and pouring out, mixer %d", m), mixOut, c.Spread.Mix)
	}
	for _, st := range bl.Steps {
		l.optional(g, "step "+st.Name, seconds(st.Time), c.Spread.Mix)
	}
	cycle := seconds(l.plan.Cycle(bl))
	l.step(g, "start to start", "s", asTime, cycle, c.Spread.Reset, "cycle")
	l.note("start to start", "waits count in: it is the crew's own cycle only where the mixers set the pace")
	for _, m := range g.mixers {
		l.optional(g, fmt.Sprintf("start to start, mixer %d", m), cycle, c.Spread.Reset)
	}
	l.step(g, "out of the mixer to poured, nothing in the way", "s", asTime, noNum("depends on the distance"), 0, "")
	l.walking(g)
	l.step(g, "raking", "m²/min", asRate, num(c.RakeM2Min), c.Spread.Rake, "rake")
	l.note("raking", "pour to pour while a bucket stood waiting, less the plan's pour")
	for _, post := range []struct {
		name, key string
		rate, sd  float64
	}{{"rolling", "roll", c.RollM2Min, c.Spread.Roll}, {"broadcasting", "broadcast", c.BroadM2Min, c.Spread.Broadcast}} {
		p := num(post.rate)
		if post.rate == 0 {
			p = noNum("the plan has no such post")
		}
		l.step(g, post.name, "m²/min", asRate, p, post.sd, post.key)
		l.note(post.name, "row pressed to row pressed: waits for the front count in, so the post itself is no slower")
	}
	l.step(g, "front against the plan", "share", asShare, num(1), 0, "")
	l.step(g, "loss", "share", asShare, num(1+l.plan.Rules.Loss), 0, "loss")
	if n := len(l.Fits); n > 0 && l.Fits[n-1].Name == "loss" { // fitted as 1 + loss, so that the logarithm holds
		f := &l.Fits[n-1]
		for _, v := range []*Num{&f.Median, &f.Low, &f.High, &f.Plan} {
			v.V--
		}
	}
	l.drift(g)
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
func (l *Lesson) optional(g *gather, name string, planned Num, planSD float64) {
	if len(g.by[name]) > 0 {
		l.step(g, name, "s", asTime, planned, planSD, "")
	}
}

// fitOf fits the logarithms: median, its 95 % interval by Student's t, spread.
func fitOf(name string, seen []value) (Fit, error) {
	f := Fit{Name: name, Out: []Odd{}}
	var kept []value
	for _, v := range seen {
		if v.v > 0 && !math.IsInf(v.v, 0) {
			kept = append(kept, v)
		} else {
			f.Out = append(f.Out, Odd{clean.String(v.log), v.batch, v.at, v.v})
		}
	}
	if len(kept) < least {
		return f, fmt.Errorf("%s: seen %d times, at least %d are needed", name, len(kept), least)
	}
	kept, odd := withoutOdd(kept)
	f.Out = append(f.Out, odd...)
	if len(kept) < least {
		return f, fmt.Errorf("%s: only %d of %d times agree with each other", name, len(kept), len(seen))
	}
	var m stats.Moments
	for _, v := range kept {
		m.Add(math.Log(v.v))
	}
	half := studentT(0.975, float64(m.N()-1)) * m.SD() / math.Sqrt(float64(m.N()))
	f.Seen = m.N()
	f.Median, f.Spread = num(math.Exp(m.Mean())), num(m.SD())
	f.Low, f.High = num(math.Exp(m.Mean()-half)), num(math.Exp(m.Mean()+half))
	return f, nil
}

// withoutOdd parts what stands far from all the rest, by oddAt.
func withoutOdd(in []value) (kept []value, odd []Odd) {
	logs := make([]float64, len(in))
	for i, v := range in {
		logs[i] = math.Log(v.v)
	}
	mid := median(slices.Clone(logs))
	away := make([]float64, len(in))
	for i := range logs {
		away[i] = math.Abs(logs[i] - mid)
	}
	// Times are pressed to the second: a scatter below that is rounding, and must
	// not make a batch of one second more an odd one.
	mad := math.Max(median(slices.Clone(away)), 0.02)
	for i, v := range in {
		if 0.6745*away[i]/mad > oddAt {
			odd = append(odd, Odd{clean.String(v.log), v.batch, v.at, v.v})
			continue
		}
		kept = append(kept, v)
	}
	return kept, odd
}

// walking fits time = handling + distance / speed over batches that nothing
// stood in the way of.
func (l *Lesson) walking(g *gather) {
	const name = "walking with a full bucket"
	if n := len(g.walk.x); n < least {
		l.Refused = append(l.Refused, fmt.Sprintf("%s: seen %d times, at least %d are needed", name, n, least))
		return
	}
	line, err := stats.Fit(g.walk.x, g.walk.y)
	t := studentT(0.975, float64(line.N-2))
	if err != nil || line.Slope-t*line.SlopeSE <= 0 {
		l.Refused = append(l.Refused, name+": the times do not grow with the distance beyond their own scatter")
		return
	}
	l.Fits = append(l.Fits, Fit{
		Name: name, Unit: "m/s", Seen: line.N, Out: []Odd{}, kind: asSpeed, fits: "walk_full",
		Median: num(1 / line.Slope), Low: num(1 / (line.Slope + t*line.SlopeSE)), High: num(1 / (line.Slope - t*line.SlopeSE)),
		Spread: noNum("from a straight line"), Plan: num(l.plan.Crew.WalkFull), PlanVar: noNum("from a straight line"),
		Note: fmt.Sprintf("time = %s + distance / speed", units.Clock(time.Duration(line.Intercept*float64(time.Second)))),
	})
}

// drift fits how the front's use of material changes with the batches.
func (l *Lesson) drift(g *gather) {
	const name = "drift in ten batches"
	if n := len(g.ratios.x); n < least {
		l.Refused = append(l.Refused, fmt.Sprintf("%s: %d marks, at least %d are needed", name, n, least))
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
