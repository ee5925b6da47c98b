package tui

import (
	"fmt"
	"math/rand"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"floorpace/internal/pace"
	"floorpace/internal/planfile"
	"floorpace/internal/shift"
)

// troubles are the eleven kinds of trouble as keys of the console, each with at
// most three presses of a choice, and the calls they may raise.
var troubles = []struct {
	name string
	keys string
}{
	{"a mixer drops out", "o 1"},
	{"mixing stands still", "h 1"},
	{"another lot is opened", "j 2"},
	{"handed over late", "g 1"},
	{"a door shuts", "m 2"},
	{"empties do not match", "t 1 4 enter 9 enter 1 4 enter"},
	{"a batch is dropped", "x 2"},
	{"a bad batch is down", "m 1 1"},
	{"the roller drops out", "o 9"},
	{"the door gets cold", "r 5 1 1 enter"},
	{"someone is hurt", "s 1"},
}

// TestThreeTroubles runs the worst day for three troubles at random within ten
// minutes: at most six calls, the gravest on top and people before material.
// FLOORPACE_LONG runs all 165.
func TestThreeTroubles(t *testing.T) {
	var triples [][3]int
	for a := range troubles {
		for b := a + 1; b < len(troubles); b++ {
			for c := b + 1; c < len(troubles); c++ {
				triples = append(triples, [3]int{a, b, c})
			}
		}
	}
	r := rand.New(rand.NewSource(11))
	r.Shuffle(len(triples), func(i, j int) { triples[i], triples[j] = triples[j], triples[i] })
	if os.Getenv("FLOORPACE_LONG") == "" {
		triples = triples[:5]
	}
	for _, q := range triples {
		r.Shuffle(3, func(i, j int) { q[i], q[j] = q[j], q[i] })
		at := [3]int{r.Intn(200), 200 + r.Intn(200), 400 + r.Intn(190)}
		name := fmt.Sprintf("%s, %s, %s", troubles[q[0]].name, troubles[q[1]].name, troubles[q[2]].name)
		t.Run(name, func(t *testing.T) { threeTroubles(t, q, at) })
	}
}

func threeTroubles(t *testing.T, which, at [3]int) {
	dir := filepath.Join(wrongDays, "13-any-three")
	p, _, ps := planfile.LoadPath(filepath.Join(dir, "plan.toml"))
	if p == nil || len(ps) > 0 {
		t.Fatalf("the plan has problems: %v", ps)
	}
	floors, err := pace.Floors(p)
	if err != nil {
		t.Fatal(err)
	}
	c := &crew{clock: &clock{p.Handover.Add(4 * time.Hour)}, changed: make(chan struct{}, 1)}
	log := shift.NewMemory(c.clock)
	c.desk = shift.Open(p, floors, log, c.clock, log.Records(), nil)
	c.wait(time.Second)
	w := &wrong{crew: c, t: t, day: p.Handover.Truncate(24 * time.Hour)}
	w.m = sized(c, plainOptions(), 110, 40)
	start := c.clock.wall
	put := func(at time.Time, do func()) { w.steps = append(w.steps, step{at: at, do: do}) }
	const working = 26 // the crew goes on as far as it may
	for i := range working {
		from := start.Add(time.Duration(i) * 90 * time.Second)
		put(from, w.key(fmt.Sprint(i%3+1)))
		put(from.Add(210*time.Second), w.key("p"))
	}
	trouble := start.Add(23 * time.Minute) // the fourteenth is down
	for i, k := range which {
		from := trouble.Add(time.Duration(at[i]/30*30+5) * time.Second) // between the presses of the crew
		for j, key := range append(strings.Fields(troubles[k].keys), "esc") {
			put(from.Add(time.Duration(j)*time.Second), w.key(key))
		}
	}
	for at := trouble; at.Before(trouble.Add(12 * time.Minute)); at = at.Add(15 * time.Second) {
		put(at.Add(14*time.Second), w.ordered)
	}
	sortSteps(w.steps)
	for _, q := range w.steps {
		if q.at.Before(trouble.Add(12 * time.Minute)) {
			w.until(q.at)
			q.do()
		}
	}
	n := 0
	for _, c := range w.view.History {
		if !c.Raised.Before(trouble) {
			n++
			t.Logf("%s %d %s: %s", c.Raised.Format("15:04:05"), c.Grade, c.What, c.Why)
		}
	}
	if n > mostCalls {
		t.Errorf("%d calls, want at most %d", n, mostCalls)
	}
}

// mostCalls is how many calls three troubles within ten minutes may raise.
const mostCalls = 6

// ordered checks the order of the standing calls: loud before answered, the
// graver first, and a stop for people before all others of its grade.
func (w *wrong) ordered() {
	cs := w.view.Calls
	for i := 1; i < len(cs); i++ {
		a, b := &cs[i-1], &cs[i]
		if a.Loud() == b.Loud() && a.Grade > b.Grade || !a.Loud() && b.Loud() {
			w.t.Errorf("%s: %q (%d) stands above %q (%d)", w.clock.wall.Format("15:04:05"), a.What, a.Grade, b.What, b.Grade)
		}
	}
	if w.view.Stopped.On && len(cs) > 0 && cs[0].ID != "stop" && cs[0].Loud() {
		w.t.Errorf("%s: %q above the stop", w.clock.wall.Format("15:04:05"), cs[0].What)
	}
}
