package tui

import (
	"fmt"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/tui/keys"

	tea "github.com/charmbracelet/bubbletea"
)

// guard tells a meant press from a switch that bounces, a key that is held, two
// keys under one glove, and a text that was pasted.
type guard struct {
	last string        // the key before
	at   time.Duration // when it came
	seen bool          // there was one
	inQ  bool          // it is in doubt whether that press was meant
	held bool          // it was found to be held down
	gen  int           // of the press in doubt
}

const (
	// bounceFor: a repeat of the same key this soon is the same press. A hand
	// in a glove needs longer to press twice on purpose.
	bounceFor = 300 * time.Millisecond
	// holdFor: keyboards begin to repeat a held key 250 to 660 ms after it went
	// down (usual settings, no source), so a second press inside this time is
	// looked at twice when it would write to the day, choose or be typed.
	holdFor = 800 * time.Millisecond
	// doubtFor: a held key repeats again within this; a hand does not.
	doubtFor = 150 * time.Millisecond
	// burstGap: two different keys closer than this are a pasted text or two
	// keys under one glove.
	burstGap = 30 * time.Millisecond
)

// note remembers a key that went elsewhere, so that its repeats are known when
// the mode changes.
func (g *guard) note(name string, now time.Duration) {
	g.last, g.at, g.seen, g.inQ, g.held = name, now, true, false, false
	g.gen++
}

// pass gives the one key that is meant, or words on why none is, or neither
// while the press is in doubt.
func (g *guard) pass(k tea.KeyMsg, name string, now time.Duration, writes func(string) bool) (one, words string) {
	gap := now - g.at
	if k.Paste || len(k.Runes) > 1 {
		name = keys.Name(string(k.Runes[:1]))
		if k.Paste || !same(k.Runes) {
			n := len(k.Runes)
			g.note(name, now)
			return "", fmt.Sprintf("%d keys came at once: none was taken, press one at a time", n)
		}
		if !g.seen || name != g.last || gap >= bounceFor { // a held key that came in one piece
			g.note(name, now)
			return name, ""
		}
	}
	repeat := g.seen && name == g.last
	switch {
	case repeat && gap < bounceFor:
		g.note(name, now)
		return "", printable(name) + " was held or bounced: it counts once"
	case repeat && gap < holdFor && writes(name):
		g.note(name, now)
		g.inQ = true
		return "", ""
	case g.seen && !repeat && gap < burstGap:
		g.note(name, now)
		return "", "keys came too fast for a hand: " + printable(name) + " was not taken"
	}
	g.note(name, now)
	return name, ""
}

// typed tells whether a key that goes into a line is meant, or says why not, or
// neither while it is in doubt. Hands type the same letter twice within a
// blink, so here only what comes in a row of three is held; a text may be
// pasted, and what erases may be held.
func (g *guard) typed(k tea.KeyMsg, name string, now time.Duration) (ok bool, words string) {
	gap, inRow := now-g.at, g.inQ || g.held
	repeat := g.seen && name == g.last
	piece := !k.Paste && len(k.Runes) > 1 && same(k.Runes) // held over a slow line
	g.note(name, now)
	switch {
	case name == "backspace" || name == "delete" || k.Paste:
	case repeat && (inRow && gap < doubtFor || gap < burstGap), piece && repeat && gap < holdFor:
		g.held = true
		return false, printable(name) + " was held: it counts once"
	case piece:
		g.held = true
		return true, printable(name) + " was held: it counts once"
	case repeat && gap < holdFor:
		g.inQ = true
		return false, ""
	}
	return true, ""
}

func same(rs []rune) bool {
	for _, r := range rs {
		if r != rs[0] {
			return false
		}
	}
	return true
}

// printable is a key's name for the eye.
func printable(name string) string {
	if s := clean.String(name); s != "" {
		return s
	}
	return "that key"
}
