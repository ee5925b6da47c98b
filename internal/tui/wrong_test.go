package tui

import (
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

	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/planfile"
	"floorpace/internal/rehearsal"
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
	for i, d := range dirs {
		if raceOn && i%6 != 0 { // ten times as slow, and the same goroutines every day
			continue
		}
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
	t       *testing.T
	m       *Model
	day     time.Time
	steps   []step
	presses int    // of the answer that is being given
	err     string // refusal of the last press asked for past the console
	ears    rehearsal.Ears
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
	sortSteps(w.steps)
	for i := range w.steps {
		q := &w.steps[i]
		w.until(q.at)
		if q.do != nil {
			q.do()
			continue
		}
		w.check(q.ask)
	}
	for _, f := range w.ears.Faults {
		t.Error(f)
	}
	if calls, spoke := rehearsal.WorstHour(w.view.History); calls > 5 || spoke > 10 {
		t.Errorf("%d calls in the worst hour, speaking %d times, want at most 5 and 10", calls, spoke)
		for _, c := range w.view.History {
			t.Logf("%s %d %s: %s, then at %s %v", c.Raised.Format("15:04:05"), c.Grade, c.What, c.Why, c.Spoke.Format("15:04:05"), c.Was)
		}
	}
}

// sortSteps puts steps in order: what is pressed at an instant is seen then.
func sortSteps(steps []step) {
	sort.SliceStable(steps, func(i, j int) bool {
		a, b := &steps[i], &steps[j]
		if !a.at.Equal(b.at) {
			return a.at.Before(b.at)
		}
		return a.ask == nil && b.ask != nil
	})
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
		w.ears.Hear(w.view.Snapshot)
	}
	w.m.now = w.m.o.Now()
	w.m.expire()
	w.m.Update(wakeMsg{gen: w.m.gen})
}

func (w *wrong) key(name string) func() {
	return func() {
		w.count(name)
		w.m.Update(runes(name))
		w.view = w.desk.View()
		w.m.Update(wakeMsg{gen: w.m.gen})
	}
}

// count holds the presses that one answer takes to mostPresses: the key that
// opens a list, and each choice. What is typed into a line is a figure, no
// choice; what is asked after something was saved may be left open.
func (w *wrong) count(name string) {
	switch {
	case w.m.mode == entering || w.m.after && listKey(name):
	case w.m.mode == normal || w.m.after:
		w.presses = 1
	case name != "esc":
		w.presses++
	}
	if w.presses > mostPresses {
		w.t.Errorf("%s: %q is press %d of one answer, at most %d are allowed", w.clock.wall.Format("15:04:05"), name, w.presses, mostPresses)
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
	b, err2 := strconv.ParseFloat(sec, 64)
	if !ok || err != nil || err2 != nil {
		w.t.Fatalf("%q is not m:ss", s)
	}
	return time.Duration(a)*time.Minute + time.Duration(b*float64(time.Second))
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
			for i, k := range f[2:] {
				put(at.Add(time.Duration(i)*time.Second), w.key(k))
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
