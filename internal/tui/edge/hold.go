package edge

import (
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// holdWords says that no batch may start, why, and since when; ok is false
// while one may.
func (c *card) holdWords() (words, since string, ok bool) {
	if h := c.Hold; h != nil {
		words = "HOLD"
		if h.Stop {
			words = "STOP"
		}
		if why := strings.ToUpper(clean.String(h.Why)); why != "" {
			words += " " + why
		}
		return words, sinceWords(h.From, c.Now), true
	}
	if n := &c.Next; n.Say == day.SayHold {
		if !n.Since.IsZero() {
			since = sinceWords(n.Since, c.Now)
		}
		return "HOLD " + strings.ToUpper(clean.String(n.Why)), since, true
	}
	return "", "", false
}

func sinceWords(from, now time.Time) string {
	return "since " + hms(from) + ", " + units.Clock(max(0, now.Sub(from)))
}

// drawHold draws a hold or stop as a plate over the whole row, its age at the
// right as far as there is room.
func (c *card) drawHold(row frame.Pane) {
	words, since, _ := c.holdWords()
	role, g := look.PlateWarn, look.GlyphWarn
	if c.Hold != nil && c.Hold.Stop {
		role, g = look.PlateBad, look.GlyphBad
	}
	row.Plate(role)
	words = row.Glyph(g) + " " + words
	w := row.W() - 2
	if since != "" && frame.Width(words)+frame.Width(since)+2 > w { // the age before the clock time
		since = since[strings.LastIndex(since, " ")+1:]
	}
	if n := frame.Width(since); since != "" && n+10 <= w {
		row.PrintRight(row.W()-1, 0, role, since)
		w -= n + 2
	}
	row.PrintFit(1, 0, w, role, words)
}

// noMixer tells whether no mixer is at work, so that no pace has a figure.
func (c *card) noMixer() bool {
	for i := range c.Mixers {
		if !c.Mixers[i].Down {
			return false
		}
	}
	return len(c.Mixers) > 0
}
