package replay

import (
	"fmt"
	"strconv"

	"floorpace/internal/advice"
	"floorpace/internal/playback"
	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/timeline"
	"floorpace/internal/units"
)

// Rows is the height of the strip on a screen of w × h: a line of words and
// the time line, with a lane for each kind of mark where there is room.
func (d *Deck) Rows(_, h int) int {
	switch {
	case h < 12:
		return 1
	case h < 30:
		return 3
	case h < 40:
		return 5
	}
	return 6
}

// Draw draws the strip. The view is not needed: the words are of the same
// instant.
func (d *Deck) Draw(p frame.Pane, _ *shift.View) {
	if p.Empty() {
		return
	}
	s := d.shown.Load()
	head, rest := p.Top(1)
	d.head(head, s)
	line := timeline.Line{From: s.begin, To: s.end, Cursor: s.now, Marks: d.marks}
	line.Draw(rest)
}

// head says how time runs, where the cursor is, and what was asked or found.
func (d *Deck) head(p frame.Pane, s *status) {
	g, r, word := look.GlyphNext, look.Good, "playing"
	if !s.playing {
		g, r, word = look.GlyphColumn, look.Text, "paused "
	}
	state := []frame.Span{
		{Role: r, Text: p.Glyph(g) + " " + word},
		{Role: look.Strong, Text: " " + factor(s.speed)},
		{Role: look.Dim, Text: fmt.Sprintf("  event %d of %d", s.n, s.of)},
	}
	role, words := d.words0(s)
	room := p.W() - 2
	for _, q := range state {
		room -= frame.Width(q.Text)
	}
	if w := &s.ifs; d.typing == nil && s.said == "" && w.asked && !w.working && frame.Width(words) > room {
		// The answer is worth more than how time runs: time stands still.
		state, words = state[:1], "if "+w.at.Format("15:04:05")+": "+best(&w.out, true)
		state[0].Text = p.Glyph(g)
	}
	x := p.Spans(0, 0, state...) + 1
	if len(state) > 1 {
		x++
	}
	if q := d.typing; q != nil {
		role, words = look.PlateText, " "+q.words()+" "
	}
	p.PrintFit(x, 0, p.W()-x, role, words)
}

func factor(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) + "×" }

func (q *typing) words() string {
	if q.batch {
		return "go to batch " + q.digits + "_"
	}
	t := q.digits
	for _, at := range []int{4, 2} {
		if len(t) > at {
			t = t[:at] + ":" + t[at:]
		}
	}
	if t == "" {
		return "go to time _  such as 04:35"
	}
	return "go to time " + t + "_"
}

// words0 is the one thing to say: what a key could not do, what if, or what
// happened last.
func (d *Deck) words0(s *status) (look.Role, string) {
	w := &s.ifs
	switch {
	case s.said != "":
		return look.Warn, s.said
	case w.working:
		return look.Text, "what if from " + w.at.Format("15:04:05") + ": working it out …"
	case w.asked:
		return look.Strong, "what if from " + w.at.Format("15:04:05") + ": " + best(&w.out, false)
	}
	if m, ok := d.before(s); ok {
		return look.Text, m.At.Format("15:04:05") + " " + m.Words
	}
	return look.Dim, "p plays, i asks what if"
}

// best is the outlook in one line: as things stood, and the best way out, each
// with its chance and finish, the way out with its kits. short is for a narrow
// screen.
func best(o *advice.Outlook, short bool) string {
	if !o.OK {
		return o.Why
	}
	part, as := ", finish ", "as it stood"
	if short {
		part, as = " ", "as was"
	}
	out := fmt.Sprintf("%s %.0f %%", as, 100*o.Edge)
	if o.P50.IsZero() {
		out += ", " + o.Why
	} else {
		out += part + o.P50.Format("15:04")
	}
	if len(o.Ways) > 0 {
		w := &o.Ways[0]
		out += fmt.Sprintf("; %s %.0f %%", w.What, 100*w.Edge)
		if !w.P50.IsZero() {
			out += part + w.P50.Format("15:04")
		}
		if w.Kits > 0 {
			out += ", " + units.Count(w.Kits, "kit", "kits")
		}
	}
	return out
}

// before is the last mark not after the cursor.
func (d *Deck) before(s *status) (playback.Mark, bool) {
	for i := len(d.words) - 1; i >= 0; i-- {
		if !d.words[i].At.After(s.now) {
			return d.words[i], true
		}
	}
	return playback.Mark{}, false
}

// markOf is a mark as the time line draws it.
func markOf(m playback.Mark) timeline.Mark {
	t := timeline.Mark{At: m.At}
	switch m.Kind {
	case playback.MarkReading:
		t.Kind = timeline.Reading
	case playback.MarkZone:
		t.Kind = timeline.Zone
	case playback.MarkHold:
		t.Kind, t.Until = timeline.Hold, m.Until
	case playback.MarkCall:
		t.Kind, t.Role = timeline.Call, look.Warn
		if m.Grade <= 1 {
			t.Role = look.Bad
		}
	default:
		t.Kind = timeline.Batch
	}
	return t
}
