package tui

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"testing"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/planfile"
	"floorpace/internal/shift"

	tea "github.com/charmbracelet/bubbletea"
)

// The days that go wrong: each folder of testdata/wrong has a plan, a script of
// keys at instants, and answers worked out by hand. The keys go through the real
// console to the real desk, on a clock moved by hand.
//
// A line of a script is an instant and what happens then:
//
//	10:00:00 work 12 every 1:30 pour 3:30   start on the mixers in turn, pour each so long after
//	10:20:30 press o 1                      keys, a second apart
//	10:20:40 type some words                into an open line, with enter
//	10:21:00 share 50 %                     a part batch by volume, as another program might ask
const wrongDays = "../../testdata/wrong"

// mostPresses is how many presses an answer of the crew may take.
const mostPresses = 3

func TestDaysThatGoWrong(t *testing.T) {
	dirs, err := filepath.Glob(filepath.Join(wrongDays, "*", "plan.toml"))
	if err != nil || len(dirs) < 12 {
		t.Fatalf("%d days (%v), want the eleven and the worst", len(dirs), err)
	}
	for _, d := range dirs {
		t.Run(filepath.Base(filepath.Dir(d)), func(t *testing.T) { wrongDay(t, filepath.Dir(d)) })
	}
}

// step is something at an instant: a key, or a question.
type step struct {
	at  time.Time
	do  func()
	ask *question
}

type question struct {
	at                    time.Time
	asked, answer, within string
}

// wrong is a day as it is run.
type wrong struct {
	*crew
	t     *testing.T
	m     *Model
	day   time.Time
	steps []step
	err   string // refusal of the last press asked for past the console
}

func wrongDay(t *testing.T, dir string) {
	p, _, ps := planfile.LoadPath(filepath.Join(dir, "plan.toml"))
	if p == nil || len(ps) > 0 {
		t.Fatalf("the plan has problems: %v", ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	c := &crew{clock: &clock{p.Handover.Add(time.Hour)}, changed: make(chan struct{}, 1)}
	log := shift.NewMemory(c.clock)
	c.desk = shift.Open(p, floors, log, c.clock, log.Records(), nil)
	c.wait(time.Second)
	w := &wrong{crew: c, t: t, day: p.Handover.Truncate(24 * time.Hour)}
	w.m = sized(c, plainOptions(), 110, 40)
	w.script(filepath.Join(dir, "script.txt"))
	w.answers(filepath.Join(dir, "answers.csv"))
	sort.SliceStable(w.steps, func(i, j int) bool {
		a, b := &w.steps[i], &w.steps[j]
		if !a.at.Equal(b.at) {
			return a.at.Before(b.at)
		}
		return a.ask == nil && b.ask != nil // what is pressed at an instant is seen then
	})
	for i := range w.steps {
		q := &w.steps[i]
		w.until(q.at)
		if q.do != nil {
			q.do()
			continue
		}
		w.check(q.ask)
	}
}

// until lets time pass with a tick a second, or a minute while nobody pours.
func (w *wrong) until(at time.Time) {
	for w.clock.wall.Before(at) {
		by := time.Second
		if w.view.Zone < 0 && at.Sub(w.clock.wall) > 2*time.Minute {
			by = time.Minute
		}
		w.clock.wall = w.clock.wall.Add(min(by, at.Sub(w.clock.wall)))
		w.desk.Tick()
		w.view = w.desk.View()
	}
	w.m.Update(wakeMsg{gen: w.m.gen})
}

func (w *wrong) key(name string) func() {
	return func() {
		w.m.Update(runes(name))
		w.view = w.desk.View()
		w.m.Update(wakeMsg{gen: w.m.gen})
	}
}

func (w *wrong) instant(s string) time.Time {
	for _, f := range []string{"2006-01-02 15:04:05", "15:04:05"} {
		if at, err := time.Parse(f, s); err == nil {
			if f == "15:04:05" {
				at = w.day.Add(at.Sub(at.Truncate(24 * time.Hour)))
			}
			return at
		}
	}
	w.t.Fatalf("%q is not an instant", s)
	return time.Time{}
}

func (w *wrong) span(s string) time.Duration {
	m, sec, ok := strings.Cut(s, ":")
	a, err := strconv.Atoi(m)
	b, err2 := strconv.Atoi(sec)
	if !ok || err != nil || err2 != nil {
		w.t.Fatalf("%q is not m:ss", s)
	}
	return time.Duration(a)*time.Minute + time.Duration(b)*time.Second
}

func (w *wrong) script(name string) {
	text, err := os.ReadFile(name)
	if err != nil {
		w.t.Fatal(err)
	}
	for _, line := range strings.Split(string(text), "\n") {
		f := strings.Fields(line)
		if len(f) == 0 || f[0] == "#" {
			continue
		}
		if strings.Count(f[0], "-") == 2 {
			f = append([]string{f[0] + " " + f[1]}, f[2:]...)
		}
		at := w.instant(f[0])
		put := func(at time.Time, do func()) { w.steps = append(w.steps, step{at: at, do: do}) }
		switch f[1] {
		case "work": // N every D pour D
			n, _ := strconv.Atoi(f[2])
			for i := range n {
				start := at.Add(time.Duration(i) * w.span(f[4]))
				put(start, w.key(fmt.Sprint(i%3+1)))
				put(start.Add(w.span(f[6])), w.key("p"))
			}
		case "press":
			choices := 0
			for i, k := range f[2:] {
				put(at.Add(time.Duration(i)*time.Second), w.key(k))
				choices++
				if k == "enter" || k == "esc" || f[2] == "t" || f[2] == "b" || f[2] == "r" {
					choices = 0 // figures that are typed in are not presses of a choice
				}
			}
			if choices > mostPresses && f[2] != "o" {
				w.t.Errorf("%s takes %d presses, at most %d are allowed", line, choices, mostPresses)
			}
		case "type":
			words := strings.Join(f[2:], " ")
			put(at, func() {
				for _, r := range words { // a hand, not a paste
					w.clock.wall = w.clock.wall.Add(200 * time.Millisecond)
					w.m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}})
				}
				w.key("enter")()
			})
		case "share":
			v, _ := strconv.ParseFloat(f[2], 64)
			put(at, func() {
				w.err = w.desk.Press(day.Press{Kind: day.BatchStarted, Mixer: 2, Share: v / 100}).Refused
				w.view = w.desk.View()
			})
		default:
			w.t.Fatalf("%s: what is %q?", line, f[1])
		}
	}
}

func (w *wrong) answers(name string) {
	f, err := os.Open(name)
	if err != nil {
		w.t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil || len(rows) < 3 {
		w.t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	for _, r := range rows[1:] {
		at := w.instant(r[0])
		w.steps = append(w.steps, step{at: at, ask: &question{at, r[1], r[2], r[3]}})
	}
}

// check compares an answer: instants and times in seconds, figures as they are,
// words as part of what is said.
func (w *wrong) check(q *question) {
	w.t.Helper()
	got := w.probe(q.asked)
	within, err := strconv.ParseFloat(q.within, 64)
	if err != nil && q.within != "" {
		w.t.Fatalf("%s: within %q", q.asked, q.within)
	}
	off, ok := 0.0, true
	switch v := got.(type) {
	case time.Time:
		off = v.Sub(w.instant(q.answer)).Seconds()
		got = v.Format("2006-01-02 15:04:05")
	case time.Duration:
		off = (v - w.span(q.answer)).Seconds()
	case float64:
		want, err := strconv.ParseFloat(q.answer, 64)
		off, ok = v-want, err == nil
		switch {
		case strings.HasSuffix(q.asked, "at least"):
			off = math.Min(0, off)
		case strings.HasSuffix(q.asked, "at most"):
			off = math.Max(0, off)
		}
	case string:
		ok = strings.Contains(v, q.answer)
		if q.answer == "no" || q.answer == "yes" || q.answer == "none" {
			ok = v == q.answer
		}
	default:
		w.t.Fatalf("nobody answers %q", q.asked)
	}
	if !ok || math.Abs(off) > within {
		w.t.Errorf("%s, %s: %v, worked by hand %s within %s", q.at.Format("15:04:05"), q.asked, got, q.answer, q.within)
		w.t.Logf("the line says %q", w.m.note.words)
	}
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func list(ns []int) string { return strings.Trim(fmt.Sprint(ns), "[]") }

// probe looks an answer up in the view, by its words.
func (w *wrong) probe(asked string) any {
	v := w.view
	for _, p := range []struct {
		lead string
		of   func(string) any
	}{
		{"zone ", w.zoneProbe},
		{"latest last batch ", func(z string) any { return w.zoneView(z).Turnout.Latest }},
		{"call ", w.callProbe},
		{"best stop", w.stopProbe},
		{"stop chosen", func(string) any { return w.lastOf(day.StopChosen).Text }},
		{"stop ", func(name string) any {
			for _, q := range v.Stops {
				if q.Name == name {
					return q.Missing()
				}
			}
			return "none"
		}},
		{"exit ", func(z string) any { return v.Exits[v.Plan.Zone(z)].Why }},
		{"fence", w.fenceProbe},
		{"bad", w.badProbe},
		{"roll ", func(s string) any { return w.finishProbe(v.Finishing.Roll, s) }},
		{"broadcast ", func(s string) any { return w.finishProbe(v.Finishing.Broad, s) }},
		{"edge life at ", func(s string) any { return w.spot(s).Edge }},
		{"dew margin at ", func(s string) any { return w.spot(s).Dew.MarginK }},
		{"lot in use ", func(part string) any {
			for _, l := range v.Lots.InUse {
				if l.Part == part {
					return l.Lot
				}
			}
			return "none"
		}},
		{"lots for ", func(z string) any { return lotsFor(v, z) }},
		{"calls since ", func(s string) any {
			from, n := w.instant(strings.TrimSuffix(s, " at most")), 0
			for _, c := range v.History {
				if !c.Raised.Before(from) {
					w.t.Logf("%s %d %s: %s", c.Raised.Format("15:04:05"), c.Grade, c.What, c.Why)
					n++
				}
			}
			return float64(n)
		}},
	} {
		if rest, ok := strings.CutPrefix(asked, p.lead); ok {
			return p.of(rest)
		}
	}
	if what, ok := strings.CutSuffix(asked, " lost at"); ok && what != "first" {
		for _, d := range v.Danger.Dies {
			if d.What == what {
				return d.At
			}
		}
	}
	if f, ok := plainProbes[asked]; ok {
		return f(w)
	}
	return nil
}

var plainProbes = map[string]func(*wrong) any{
	"interval":                 func(w *wrong) any { return pace.Interval(w.view.Band.Limit) },
	"needed interval":          func(w *wrong) any { return pace.Interval(w.view.Band.Needed) },
	"widest pull m":            func(w *wrong) any { return w.view.Band.WidestM },
	"finish":                   func(w *wrong) any { return w.view.Finish },
	"next":                     func(w *wrong) any { return w.view.Next.Why },
	"gone m":                   func(w *wrong) any { return w.view.Danger.GoneM },
	"at risk m":                func(w *wrong) any { return w.view.Danger.RiskM },
	"joinable m":               func(w *wrong) any { return w.view.Danger.JoinM },
	"whole row joinable until": func(w *wrong) any { return w.view.Danger.WholeUntil },
	"last point joinable until": func(w *wrong) any {
		return w.view.Danger.LastUntil
	},
	"dead buckets":        func(w *wrong) any { return list(w.view.Danger.Dead) },
	"cut back to":         func(w *wrong) any { return w.view.Danger.Cut.Name },
	"cut back kits":       func(w *wrong) any { return float64(w.view.Danger.Cut.Kits) },
	"first lost":          func(w *wrong) any { return w.view.Danger.Dies[0].What },
	"first lost at":       func(w *wrong) any { return w.view.Danger.Dies[0].At },
	"decision at":         func(w *wrong) any { return w.lastOf(day.DecisionMade).At },
	"decided by":          func(w *wrong) any { return w.lastOf(day.DecisionMade).Role },
	"decision":            func(w *wrong) any { return w.lastOf(day.DecisionMade).Text },
	"hold":                func(w *wrong) any { return yes(w.view.Hold != nil) },
	"screen":              (*wrong).screens,
	"top call":            func(w *wrong) any { return w.nthCall(0).What },
	"top call since":      func(w *wrong) any { return w.nthCall(0).Raised },
	"second call":         func(w *wrong) any { return w.nthCall(1).What },
	"batches started":     func(w *wrong) any { return float64(len(w.view.Batches)) },
	"last share":          func(w *wrong) any { return w.view.Batches[len(w.view.Batches)-1].Share },
	"last words":          func(w *wrong) any { return w.lastOf(day.BatchStarted).Text },
	"refused":             func(w *wrong) any { return w.err },
	"laid kits":           func(w *wrong) any { return w.view.PosL / w.view.Floor.NetL(w.view.Blend) },
	"stopped since":       func(w *wrong) any { return w.view.Stopped.Since },
	"stopped why":         func(w *wrong) any { return w.view.Stopped.Why },
	"stopped where":       func(w *wrong) any { return w.view.Stopped.Where },
	"detail work ahead m": func(w *wrong) any { return w.view.Finishing.AheadM },
	"slab rises":          func(w *wrong) any { return yes(w.view.Air.Rising) },
	"bare strip row": func(w *wrong) any {
		for _, r := range w.view.Finishing.Broad {
			if r.AtEdge && w.view.Finishing.BareM > 0 {
				return float64(r.Row)
			}
		}
		return 0.0
	},
	"post out": func(w *wrong) any {
		for _, p := range w.view.Posts {
			if !p.Down.IsZero() {
				return "yes"
			}
		}
		return "no"
	},
	"opening": func(w *wrong) any {
		for _, o := range w.view.Opening {
			if o.Asked {
				return o.At
			}
		}
		return nil
	},
	"ways out at least": func(w *wrong) any { return float64(len(w.outlook().Ways)) },
	"a way out": func(w *wrong) any {
		var out []string
		for _, x := range w.outlook().Ways {
			out = append(out, x.What)
		}
		return strings.Join(out, "; ")
	},
	"override": func(w *wrong) any {
		e := w.lastOf(day.OverrideGiven)
		return e.Who + " " + e.Role + " " + e.Why
	},
	"edge first gone at": func(w *wrong) any {
		e := &w.view.Edge
		first := 0
		for i := range e.Points {
			if e.Points[i].Dead.Before(e.Points[first].Dead) {
				first = i
			}
		}
		if k := w.view.Floor.SpotOf[e.Points[first].Cell]; k >= 0 {
			return w.view.Floor.Z.Spots[k].Name
		}
		return "slab"
	},
}

// outlook judges the ways out as the forecast does, on fewer days.
func (w *wrong) outlook() advice.Outlook {
	c, ok := advice.Ask(w.view.Snapshot)
	if !ok {
		w.t.Fatal("nothing to forecast")
	}
	began := time.Now()
	o := c.Judge(context.Background(), 100, 1)
	w.t.Logf("ways out of 100 days in %v", time.Since(began))
	return o
}

// screens is what both screens show, and the line at the bottom.
func (w *wrong) screens() any {
	text := w.m.View()
	at := w.m.screen
	for w.m.screen = range 1 + len(w.m.o.Screens) {
		w.m.dirty = true
		text += w.m.View()
	}
	w.m.screen, w.m.dirty = at, true
	return text
}

func (w *wrong) lastOf(k day.Kind) day.Event {
	es := w.desk.State().Events
	for i := len(es) - 1; i >= 0; i-- {
		if es[i].Kind == k {
			return es[i]
		}
	}
	return day.Event{}
}

func (w *wrong) nthCall(n int) day.Call {
	if n < len(w.view.Calls) {
		return w.view.Calls[n]
	}
	return day.Call{What: "none"}
}

func (w *wrong) callProbe(s string) any {
	id, what, _ := strings.Cut(s, " ")
	for _, c := range w.view.Calls {
		if c.ID != id {
			continue
		}
		switch what {
		case "grade":
			return float64(c.Grade)
		case "why":
			return c.Why
		}
		return c.What
	}
	return "none"
}

func (w *wrong) zoneView(name string) day.ZoneView { return w.view.Zones[w.view.Plan.Zone(name)] }

func (w *wrong) zoneProbe(s string) any {
	name, what, _ := strings.Cut(s, " ")
	t := w.zoneView(name).Turnout
	switch what {
	case "fits":
		return yes(t.Fits)
	case "spare":
		return t.Spare
	case "ends":
		return t.Ends
	}
	return nil
}

func (w *wrong) stopProbe(s string) any {
	if len(w.view.StopPlan.Best) == 0 {
		return "none"
	}
	b := &w.view.StopPlan.Best[0]
	switch s {
	case "":
		return b.Name
	case " kits":
		return float64(b.Batches)
	case " last batch":
		return float64(b.LastBatch)
	case " last start":
		return b.LastStart
	case " spare":
		return float64(b.Spare)
	}
	return nil
}

func (w *wrong) fenceProbe(s string) any {
	fs := w.view.Fences
	if s == "s" {
		return float64(len(fs))
	}
	if len(fs) == 0 {
		return "no fence"
	}
	switch f := &fs[0]; s {
	case " from batch":
		return float64(f.From)
	case " to batch":
		return float64(f.To)
	case " to m":
		return f.ToM
	case " m2":
		return f.AreaM2
	case " on the way":
		return list(f.OnTheWay)
	}
	return nil
}

func (w *wrong) badProbe(s string) any {
	if s == " batches" {
		return float64(len(w.view.Bad))
	}
	if len(w.view.Bad) == 0 {
		return "none is bad"
	}
	switch b := &w.view.Bad[0]; s {
	case " batch":
		return float64(b.Batch)
	case " m2":
		return b.AreaM2
	case " touches":
		return list(b.Touches)
	case " edge m":
		return b.EdgeM
	case " lifts until":
		return b.LiftUntil
	case " kits":
		return float64(b.Kits)
	case " fill by":
		return b.FillBy
	case " fill in time":
		return yes(b.FillOK)
	}
	return nil
}

func (w *wrong) finishProbe(rows []day.FinishRow, s string) any {
	if s == "list" {
		out, off := "", false
		for _, r := range rows {
			if r.Off && !off {
				out, off = out+" off", true
			}
			out += fmt.Sprintf(" %d", r.Row)
		}
		return strings.TrimSpace(out)
	}
	for _, r := range rows {
		if s == fmt.Sprintf("row %d left", r.Row) {
			return r.Left
		}
	}
	return "no such row"
}

func (w *wrong) spot(name string) day.SpotView {
	for _, q := range w.view.Air.Spots {
		if q.Name == name || q.Name == "" && name == "slab" {
			return q
		}
	}
	w.t.Fatalf("there is no spot %q", name)
	return day.SpotView{}
}

func lotsFor(v *shift.View, zone string) string {
	for _, z := range pace.SpreadLots(v.Plan, v.Floors).Zones {
		if z.Zone == zone {
			return z.Words
		}
	}
	return "none"
}
