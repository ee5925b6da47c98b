package tui

import (
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"

	tea "github.com/charmbracelet/bubbletea"
)

func runes(s string) tea.KeyMsg {
	switch s {
	case "enter":
		return tea.KeyMsg{Type: tea.KeyEnter}
	case "esc":
		return tea.KeyMsg{Type: tea.KeyEsc}
	case "tab":
		return tea.KeyMsg{Type: tea.KeyTab}
	case "space":
		return tea.KeyMsg{Type: tea.KeySpace, Runes: []rune{' '}}
	}
	return tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune(s)}
}

// hand presses keys a second apart.
func hand(c *crew, m *Model, ks ...string) {
	for _, k := range ks {
		c.clock.wall = c.clock.wall.Add(time.Second)
		m.Update(runes(k))
		c.view = c.desk.View()
		m.Update(wakeMsg{gen: m.gen})
	}
}

func kinds(c *crew) string {
	var out []string
	for _, p := range c.pressed {
		out = append(out, string(p.Kind))
	}
	return strings.Join(out, " ")
}

// Two presses a batch, and everything else in a few keys without a modifier.
func TestKeysPress(t *testing.T) {
	for _, q := range []struct {
		keys string
		want string // kinds pressed
	}{
		{"1 p", "batch.started batch.poured"},
		{"2 0", "batch.started batch.poured"},
		{"1 u", "batch.started press.undone"},
		{"h 1", "hold.began"},
		{"h 1 h", "hold.began hold.ended"},
		{"s", "mixing.stopped"},
		{"s 2", "mixing.stopped mixing.stopped"},
		{"s 2 h", "mixing.stopped mixing.stopped"},
		{"s 2 h 1", "mixing.stopped mixing.stopped hold.ended"},
		{"h 9 f i r e enter", "hold.began"},
		{"r 1 1 9 . 5 enter esc", "reading.taken"},
		{"r 3 6 5 enter 2 2 0 enter", "reading.taken reading.taken"},
		{"r 1 9 9 enter esc", ""},
		{"r 1 3 esc", ""},
		{"f 1 2 enter enter", "front.marked"},
		{"f 2 1 8 enter enter", "front.marked"},
		{"x 2", "batch.scrapped"},
		{"n h 1 p enter", "note.written"},
		{"b 1 4 . 6 enter 3 . 2 enter 7 enter", "batch.started"},
		{"b 1 4 . 6 enter 6 . 4 enter esc", ""},
		{"z 1", "zone.closed"},
		{"o 2", "post.lost"},
		{"o 2 o 2", "post.lost post.returned"},
		{"v 1 1", "decision.made"},
		{"v 2 2", "front.cut_back"},
		{"v 3 1", "stop.chosen"},
		{"j 1", "lot.opened"},
		{"m 1 1", "batch.condemned"},
		{"m 1 1 m 1", "batch.condemned batch.lifted"},
		{"g 3", "decision.made"},
		{"l 1", "press.undone"},
		{"g 1", "handover.given"},
		{"t 4 enter 4 enter 5 enter", "tally.taken"},
		{"k", "rake.reset"},
		{"e", "row.rolled"},
		{"i", "row.broadcast"},
		{"P", "batch.poured"},
		{"tab tab ? esc y space", ""},
	} {
		c := open(t, samplePlan())
		c.pour(t, 4)
		c.wait(4 * time.Minute)
		m := sized(c, plainOptions(), 80, 24)
		hand(c, m, strings.Fields(q.keys)...)
		if got := kinds(c); got != q.want {
			t.Errorf("%s presses %q, want %q; %s", q.keys, got, q.want, m.note.words)
		}
	}
}

func TestFigures(t *testing.T) {
	c := open(t, samplePlan())
	c.pour(t, 4)
	m := sized(c, plainOptions(), 80, 24)
	hand(c, m, strings.Fields("r 3 6 5 enter esc b 1 4 . 6 enter 3 . 2 enter 7 enter")...)
	if p := c.pressed[0]; p.What != day.ReadHumidity || *p.Value != 0.65 {
		t.Errorf("humidity: %+v", p)
	}
	if p := c.pressed[1]; p.Share != 0.5 || p.Weights != "A=4.60 B=3.20 aggregate=7.00" {
		t.Errorf("part batch: share %g, %q", p.Share, p.Weights)
	}
}

// A letter that is typed never reaches a batch, whatever it is, in a line, a
// list or the help.
func TestTypedLettersNeverReachABatch(t *testing.T) {
	letters := "abcdefghijklmnopqrstuvwxyz0123456789?.-ABC"
	for _, opens := range []string{"n", "h 9"} {
		c := open(t, samplePlan())
		c.pour(t, 4)
		m := sized(c, plainOptions(), 80, 24)
		hand(c, m, strings.Fields(opens)...)
		for _, r := range letters {
			hand(c, m, string(r))
		}
		if len(c.pressed) > 0 {
			t.Errorf("%s: %s", opens, kinds(c))
		}
		if m.mode != entering || m.line.Text() != letters {
			t.Errorf("%s: the line holds %q", opens, m.line.Text())
		}
	}
	for _, opens := range []string{"r 1", "t"} {
		c := open(t, samplePlan())
		m := sized(c, plainOptions(), 80, 24)
		hand(c, m, strings.Fields(opens)...)
		hand(c, m, strings.Split("abcdefghijklmnopqrstuvwxyz", "")...)
		if len(c.pressed) > 0 || m.mode != entering || m.line.Text() != "" {
			t.Errorf("%s: %s, line %q", opens, kinds(c), m.line.Text())
		}
	}
	for _, opens := range []string{"h", "s", "r", "z", "o", "c", "v", "j", "m"} {
		c := open(t, samplePlan())
		c.pour(t, 4)
		m := sized(c, plainOptions(), 80, 24)
		hand(c, m, opens)
		c.pressed = nil // a stop acts at once
		hand(c, m, strings.Split("abcdefghijklmnopqrstuvwxyz", "")...)
		if len(c.pressed) > 0 {
			t.Errorf("list %s: %s", opens, kinds(c))
		}
	}
	// In the help any key goes back and does nothing else.
	c := open(t, samplePlan())
	m := sized(c, plainOptions(), 80, 24)
	hand(c, m, "?", "1")
	if len(c.pressed) > 0 || m.mode != normal {
		t.Errorf("help: %s", kinds(c))
	}
}

// An open list closes itself, so that a digit meant for a mixer minutes later
// starts the mixer; one that comes just too late for the list is not taken, once.
func TestListClosesItself(t *testing.T) {
	c := open(t, samplePlan())
	m := sized(c, plainOptions(), 80, 24)
	hand(c, m, "h")
	c.clock.wall = c.clock.wall.Add(listOpen)
	m.Update(tickMsg{m.gen})
	if m.mode != normal || m.note.words == "" {
		t.Errorf("mode %d, %q", m.mode, m.note.words)
	}
	c.clock.wall = c.clock.wall.Add(listLate)
	m.Update(tickMsg{m.gen})
	hand(c, m, "1")
	if got := kinds(c); got != "batch.started" {
		t.Errorf("pressed %q", got)
	}

	hand(c, m, "h")
	c.clock.wall = c.clock.wall.Add(listOpen)
	m.Update(tickMsg{m.gen})
	hand(c, m, "2")
	if got := kinds(c); got != "batch.started" || !strings.Contains(m.note.words, "press again") {
		t.Errorf("pressed %q, said %q", got, m.note.words)
	}
	hand(c, m, "2")
	if got := kinds(c); got != "batch.started batch.started" {
		t.Errorf("pressed %q", got)
	}
}

// beats presses one key at the given milliseconds and lets a press in doubt be
// settled when its time comes.
func beats(c *crew, m *Model, key string, at ...int) {
	start := c.clock.wall
	var due time.Time
	settle := func(now time.Time) {
		if !due.IsZero() && !now.Before(due) {
			c.clock.wall = due
			m.Update(doubtMsg{m.guard.gen, m.guard.last})
			due = time.Time{}
		}
	}
	for _, ms := range at {
		now := start.Add(time.Duration(ms) * time.Millisecond)
		settle(now)
		c.clock.wall = now
		m.Update(runes(key))
		due = time.Time{}
		if m.guard.inQ {
			due = now.Add(doubtFor)
		}
	}
	settle(start.Add(time.Hour))
	c.clock.wall = start.Add(time.Duration(at[len(at)-1])*time.Millisecond + 2*time.Second)
}

func TestBounceAndHeldKey(t *testing.T) {
	every := func(from, to, step int) []int {
		out := []int{0}
		for ms := from; ms <= to; ms += step {
			out = append(out, ms)
		}
		return out
	}
	for _, q := range []struct {
		what string
		at   []int
		want int
	}{
		{"once", []int{0}, 1},
		{"a switch that bounces", []int{0, 4, 11, 30}, 1},
		{"again within 300 ms", []int{0, 290}, 1},
		{"held, repeating after 250 ms", every(250, 3000, 33), 1},
		{"held, repeating after 500 ms", every(500, 3000, 33), 1},
		{"held, repeating after 660 ms, slowly", every(660, 3000, 100), 1},
		{"twice on purpose", []int{0, 450}, 2},
		{"twice, a second apart", []int{0, 1000}, 2},
		{"three times", []int{0, 700, 1400}, 3},
	} {
		c := open(t, samplePlan())
		c.pour(t, 8)
		c.wait(3 * time.Minute)
		m := sized(c, plainOptions(), 80, 24)
		beats(c, m, "p", q.at...)
		if len(c.pressed) != q.want {
			t.Errorf("%s: %d presses, want %d", q.what, len(c.pressed), q.want)
		}
		if q.want == 1 && len(q.at) > 1 && !strings.Contains(m.note.words, "once") {
			t.Errorf("%s: it says %q", q.what, m.note.words)
		}
	}
	// A digit that chooses a reason and is held does not start a mixer.
	c := open(t, samplePlan())
	m := sized(c, plainOptions(), 80, 24)
	hand(c, m, "h")
	c.clock.wall = c.clock.wall.Add(time.Second)
	beats(c, m, "1", every(500, 2000, 33)...)
	if got := kinds(c); got != "hold.began" {
		t.Errorf("held digit in a list: %q", got)
	}
}

// A text that is pasted, in one piece or key by key, and two keys under one
// glove press at most the first.
func TestBursts(t *testing.T) {
	c := open(t, samplePlan())
	m := sized(c, plainOptions(), 80, 24)
	m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("1p2p"), Paste: true})
	m.Update(runes("12"))
	if len(c.pressed) > 0 || !strings.Contains(m.note.words, "at once") {
		t.Errorf("pasted: %q, %q", kinds(c), m.note.words)
	}
	c.clock.wall = c.clock.wall.Add(time.Second)
	for _, r := range "1p2p3x2z1" {
		c.clock.wall = c.clock.wall.Add(2 * time.Millisecond)
		m.Update(runes(string(r)))
	}
	if got := kinds(c); got != "batch.started" || !strings.Contains(m.note.words, "too fast") {
		t.Errorf("key by key: %q, %q", got, m.note.words)
	}
	c.clock.wall = c.clock.wall.Add(time.Second)
	m.Update(runes("222")) // a held key over a slow line
	if got := kinds(c); got != "batch.started batch.started" {
		t.Errorf("held over a slow line: %q", got)
	}
}

func quits(cmd tea.Cmd) bool {
	if cmd == nil {
		return false
	}
	_, ok := cmd().(tea.QuitMsg)
	return ok
}

func TestLeaving(t *testing.T) {
	c := open(t, samplePlan())
	m := sized(c, plainOptions(), 80, 24)
	ctrlC := tea.KeyMsg{Type: tea.KeyCtrlC}
	if _, cmd := m.Update(ctrlC); quits(cmd) || !strings.Contains(m.View(), "Ctrl+C again within 3 s leaves; nothing is lost ") {
		t.Errorf("one Ctrl+C: %s", m.note.words)
	}
	c.clock.wall = c.clock.wall.Add(4 * time.Second)
	if _, cmd := m.Update(ctrlC); quits(cmd) {
		t.Error("a Ctrl+C four seconds later leaves")
	}
	c.clock.wall = c.clock.wall.Add(time.Second)
	if _, cmd := m.Update(ctrlC); !quits(cmd) {
		t.Error("the second Ctrl+C does not leave")
	}
	if _, cmd := m.Update(tea.KeyMsg{Type: tea.KeyCtrlZ}); cmd != nil || !strings.Contains(m.note.words, "Ctrl+Z does nothing") {
		t.Errorf("Ctrl+Z: %q", m.note.words)
	}
	if _, cmd := m.Update(endMsg{}); !quits(cmd) {
		t.Error("the end of the input does not end")
	}
	if len(c.pressed) > 0 {
		t.Errorf("leaving presses %s", kinds(c))
	}
}

// Stale replies are dropped and start nothing new.
func TestStaleReplies(t *testing.T) {
	c := open(t, samplePlan())
	m := sized(c, plainOptions(), 80, 24)
	for _, msg := range []tea.Msg{tickMsg{m.gen - 1}, wakeMsg{gen: m.gen - 1}, wakeMsg{gen: m.gen, ended: true}, doubtMsg{m.guard.gen - 1, "1"}} {
		if _, cmd := m.Update(msg); cmd != nil {
			t.Errorf("%#v starts a command", msg)
		}
	}
	if len(c.pressed) > 0 {
		t.Error(kinds(c))
	}
}

// The help lists what works now and nothing else.
func TestHelpListsWhatWorks(t *testing.T) {
	all := states(t)
	has := func(c *crew, o Options, words string) bool {
		m := sized(c, o, 160, 45)
		hand(c, m, "?")
		return strings.Contains(m.View(), words)
	}
	for _, q := range []struct {
		state, words string
		want         bool
	}{
		{"1-start", "oldest bucket poured", false},
		{"1-start", "start on mixer 3", true},
		{"1-start", "start on mixer 4", false},
		{"1-start", "mark the front", false},
		{"2-mid-row", "oldest bucket poured", true},
		{"2-mid-row", "mark the front", true},
		{"2-mid-row", "answer the top call", false},
		{"3-at-risk", "answer the top call", true},
		{"3-at-risk", "go on", true},
		{"2-mid-row", "dark or sun palette", true},
	} {
		if got := has(all[q.state], plainOptions(), q.words); got != q.want {
			t.Errorf("%s: help with %q is %v", q.state, q.words, got)
		}
	}
	if has(all["2-mid-row"], Options{ReadOnly: "this screen only looks on", Profile: look.NoColor}, "oldest bucket poured") {
		t.Error("a screen that looks on offers a press")
	}
}

func TestReadOnlyAndFullQueue(t *testing.T) {
	c := open(t, samplePlan())
	m := sized(c, Options{ReadOnly: "this screen only looks on", Profile: look.NoColor}, 80, 24)
	for _, a := range keys.Actions() {
		for _, k := range Default(m).Keys(a) {
			if k != "?" && k != "f1" {
				hand(c, m, k)
				m.shut()
			}
		}
	}
	if len(c.pressed) > 0 {
		t.Errorf("looking on, pressed %s", kinds(c))
	}
	hand(c, m, "1")
	if m.note.words != "this screen only looks on" {
		t.Errorf("it says %q", m.note.words)
	}
	c.full = true
	m = sized(c, plainOptions(), 80, 24)
	hand(c, m, "1")
	if !strings.Contains(m.note.words, "not taken") {
		t.Errorf("with a full queue it says %q", m.note.words)
	}
}

// Default is the key map of a model, for tests.
func Default(m *Model) *keys.Map { return m.o.Keys }

// What was refused is said in words; a press that waits for the disk says so
// until it is saved.
func TestRefusedAndSaving(t *testing.T) {
	c := open(t, samplePlan())
	m := sized(c, plainOptions(), 80, 24)
	hand(c, m, "1")
	c.clock.wall = c.clock.wall.Add(5 * time.Second)
	hand(c, m, "1")
	if !strings.Contains(m.View(), "not taken: mixer 1: batch 1 was started") {
		t.Errorf("bottom line:\n%s", m.View())
	}
	c.waiting = 1
	c.clock.wall = c.clock.wall.Add(noteFor)
	m.Update(tickMsg{m.gen})
	if v := m.View(); !strings.Contains(v, "saving… 0:03, the disk is slow") || strings.Contains(v, "✓ saved") {
		t.Errorf("waiting for the disk:\n%s", v)
	}
	c.waiting = 0
	m.Update(tickMsg{m.gen})
	if v := m.View(); !strings.Contains(v, "✓ saved") || !strings.Contains(v, "batch 1 started, mixer 1") {
		t.Errorf("saved:\n%s", v)
	}
}

// The bell rings once for a new call, again every ten seconds for a grave one
// until it is answered, and never more than once a second.
func TestBell(t *testing.T) {
	c := states(t)["3-at-risk"]
	rang := 0
	m := sized(c, Options{Profile: look.NoColor, Bell: func() { rang++ }}, 80, 24)
	second := func(n int) (count int) {
		for range n {
			c.clock.wall = c.clock.wall.Add(time.Second)
			if cmd := m.ring(); cmd != nil {
				cmd()
				count++
			}
			m.now = c.clock.Now()
		}
		return count
	}
	if n := second(30); n < 3 || n > 4 || n != rang {
		t.Errorf("%d rings in half a minute with calls of the first grade, want one every ten seconds", n)
	}
	for len(c.view.Calls) > 0 && c.view.Calls[0].Loud() {
		c.do(t, day.Press{Kind: day.CallAcked, Call: c.view.Calls[0].ID})
	}
	m.take()
	if n := second(30); n != 0 {
		t.Errorf("%d rings after every call was answered", n)
	}
}

// The clock and the count-down go on between two views, at the day's rate.
func TestTimeGoesOnBetweenViews(t *testing.T) {
	c := states(t)["2-mid-row"]
	m := sized(c, plainOptions(), 80, 1)
	if !strings.Contains(m.View(), "0:29") {
		t.Fatalf("%q", m.View())
	}
	c.clock.wall = c.clock.wall.Add(3 * time.Second)
	m.Update(tickMsg{m.gen})
	if !strings.Contains(m.View(), "0:26") {
		t.Errorf("three seconds later: %q", m.View())
	}
	c.clock.wall = c.clock.wall.Add(27 * time.Second)
	m.Update(tickMsg{m.gen})
	if !strings.Contains(m.View(), "START") {
		t.Errorf("when it is due: %q", m.View())
	}
	c.clock.wall = c.clock.wall.Add(30 * time.Second)
	m.Update(tickMsg{m.gen})
	if !strings.Contains(m.View(), "LATE +0:31") {
		t.Errorf("half a minute later: %q", m.View())
	}
	m = sized(c, Options{Profile: look.NoColor, Rate: func() float64 { return 0 }}, 80, 1)
	c.clock.wall = c.clock.wall.Add(time.Hour)
	m.Update(tickMsg{m.gen})
	if !strings.Contains(m.View(), "0:29") {
		t.Errorf("a replay that stands still went on: %q", m.View())
	}
}

// The heartbeat shows on every other tick, and a picture that gets old is said
// to be.
func TestHeartbeatAndOldPicture(t *testing.T) {
	c := states(t)["2-mid-row"]
	m := sized(c, plainOptions(), 80, 24)
	seen := map[bool]bool{}
	for range 2 {
		m.Update(tickMsg{m.gen})
		seen[strings.Contains(m.View(), "●")] = true
	}
	if len(seen) != 2 {
		t.Error("no heartbeat")
	}
	c.clock.wall = c.clock.wall.Add(7 * time.Second)
	m.Update(tickMsg{m.gen})
	if !strings.Contains(m.View(), "picture 7 s old") {
		t.Errorf("frozen source:\n%s", strings.SplitN(m.View(), "\n", 2)[0])
	}
}
