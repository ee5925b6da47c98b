package tui

import (
	"strings"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
)

// hold presses a key and keeps it down for two seconds: it repeats after half
// a second, thirty times a second.
func hold(c *crew, m *Model, key string) {
	at := []int{0}
	for ms := 500; ms <= 2000; ms += 33 {
		at = append(at, ms)
	}
	beats(c, m, key, at...)
}

// A held key is one press wherever it lands: it opens a list and chooses
// nothing in it, chooses one thing and confirms nothing, writes one letter.
func TestHeldKeyInListsAndLines(t *testing.T) {
	for _, q := range []struct {
		before, key string
		mode        mode
		want        string // kinds pressed
		says        string
	}{
		{"", "9", listing, "", "held"},
		{"", "o", listing, "", "held"},
		{"", "v", listing, "", "held"},
		{"o", "1", normal, "post.lost", "once"},
		{"v", "1", listing, "", "held"}, // not the first name in the list that follows
		{"m", "1", listing, "", "held"}, // nor the first batch
		{"h", "9", entering, "", "once"},
		{"n", "x", entering, "", "once"},
		{"r 3 6 5", "enter", listing, "reading.taken", "once"},
		{"r 1 9 9", "enter", entering, "", "once"}, // asked, not confirmed
	} {
		c := open(t, samplePlan())
		c.pour(t, 4)
		m := sized(c, plainOptions(), 80, 24)
		hand(c, m, strings.Fields(q.before)...)
		c.clock.wall = c.clock.wall.Add(time.Second)
		hold(c, m, q.key)
		if kinds(c) != q.want || m.mode != q.mode {
			t.Errorf("%s and held %s: pressed %q in mode %d, want %q in mode %d", q.before, q.key, kinds(c), m.mode, q.want, q.mode)
		}
		if v := m.View(); !strings.Contains(v, q.says) {
			t.Errorf("%s and held %s: lacks %q:\n%s", q.before, q.key, q.says, v)
		}
	}
}

// What is typed twice on purpose, slowly or fast, stands twice; what is held
// stands once, also when it comes in one piece.
func TestHeldKeyInALine(t *testing.T) {
	c := open(t, samplePlan())
	m := sized(c, plainOptions(), 80, 24)
	for _, q := range []struct {
		at   []int
		want string
	}{
		{[]int{0, 160}, "oo"}, {[]int{0, 500}, "oo"}, {[]int{0, 900, 1800}, "ooo"}, {[]int{0, 5, 12}, "o"}, {[]int{0, 250, 283, 316}, "o"},
	} {
		hand(c, m, "n")
		c.clock.wall = c.clock.wall.Add(time.Second)
		beats(c, m, "o", q.at...)
		if got := m.line.Text(); got != q.want {
			t.Errorf("o at %v ms: %q, want %q", q.at, got, q.want)
		}
		hand(c, m, "esc")
	}
	hand(c, m, "n", "999")
	if got := m.line.Text(); got != "9" || !strings.Contains(m.line.Note(), "once") {
		t.Errorf("999 in one piece: %q, %q", got, m.line.Note())
	}
	m.Update(tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune("999"), Paste: true})
	if got := m.line.Text(); got != "9999" {
		t.Errorf("pasted: %q", got)
	}
	// A word typed fast keeps its double letters.
	hand(c, m, "esc", "n")
	for _, r := range "too soon" {
		c.clock.wall = c.clock.wall.Add(80 * time.Millisecond)
		m.Update(runes(strings.ReplaceAll(string(r), " ", "space")))
	}
	hand(c, m, ".")
	if got := m.line.Text(); got != "too soon." {
		t.Errorf("typed fast: %q", got)
	}
}

// A list that closes itself does not hand a digit in doubt to a mixer.
func TestDoubtEndsWithItsList(t *testing.T) {
	c := open(t, samplePlan())
	c.pour(t, 4)
	m := sized(c, plainOptions(), 80, 24)
	hand(c, m, "v", "1")
	c.clock.wall = c.clock.wall.Add(500 * time.Millisecond)
	m.Update(runes("1"))
	if !m.guard.inQ {
		t.Fatal("the second digit is not in doubt")
	}
	m.shut()
	m.Update(doubtMsg{m.guard.gen, m.guard.last})
	if got := kinds(c); got != "" {
		t.Errorf("pressed %q", got)
	}
}

// A list opened over the Edge screen leaves its page and their number alone.
func TestPagesStayWhileAListIsOpen(t *testing.T) {
	c := states(t)["2-mid-row"]
	m := sized(c, plainOptions(), 80, 24)
	hand(c, m, "tab")
	m.View() // a screen counts its pages when it is drawn
	hand(c, m, "space")
	page := func() string {
		i := strings.Index(m.View(), "page ")
		if i < 0 {
			return ""
		}
		return m.View()[i : i+len("page 2 of 3")]
	}
	before := page()
	if !strings.HasPrefix(before, "page 2 of ") {
		t.Fatalf("%q:\n%s", before, m.View())
	}
	for _, k := range []string{"o", "esc", "h", "esc"} {
		hand(c, m, k)
		if got := page(); got != before {
			t.Errorf("after %s: %q, was %q:\n%s", k, got, before, m.View())
		}
	}
}
