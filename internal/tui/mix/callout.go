package mix

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/shift"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/digits"
	"floorpace/internal/units"
)

// drawing is one drawing of the screen.
type drawing struct {
	v    *shift.View
	at   At
	sys  units.System
	late time.Duration // from the view's instant to this one
	tall bool          // three rows for each mixer and bucket
}

// big is the one thing said in large digits.
type big struct {
	text  string // as large as it goes
	more  string // appended where it stays large
	why   string // second line, large where there is room
	role  look.Role
	plate bool // the whole block is a plate
	small string
	glyph look.Glyph
	blank bool // no glyph
}

// words is the call on one line of text.
func (b big) words(w int) string {
	s := b.text
	if b.more != "" && frame.Width(s+" "+b.more) <= w {
		s += " " + b.more
	}
	if b.why != "" && frame.Width(s+" "+b.why) <= w {
		s += " " + b.why
	}
	return s
}

// lateAfter is how long START stands before it turns to LATE when no newer
// view says so; the day's own rule is the same.
const lateAfter = 10 * time.Second

// soon turns the count-down into a warning: time to lift the first can.
const soon = 10 * time.Second

// big works out what to say large.
func (d *drawing) big() big {
	n := d.v.Next
	mixer, batch := fmt.Sprintf("mixer %d", n.Mixer), fmt.Sprintf("batch %d", n.Batch)
	if b, ok := d.between(); ok {
		return b
	}
	switch d.say() {
	case day.SayHold:
		return d.hold()
	case day.SayDone:
		return d.done()
	case day.SayWait:
		b := big{text: units.ClockLeft(n.At.Sub(d.at.Now)), role: look.Strong, blank: true}
		b.small = "next start " + mixer + ", " + batch + " at " + hms(n.At)
		switch {
		case n.Latest.IsZero():
		case n.At.After(n.Latest) && !d.edgeShort(): // two were started at once: nothing is lost by the wait
			b.small += ", " + units.Clock(n.At.Sub(n.Latest)) + " behind the needed pace"
		case n.At.After(n.Latest): // the mixer is free only then
			b.small += ", " + units.Clock(n.At.Sub(n.Latest)) + " TOO LATE for the edge"
			b.role = look.Warn
		default:
			b.small += ", no later than " + hms(n.Latest)
		}
		if n.At.Sub(d.at.Now) < soon {
			b.role, b.plate = look.Warn, true
		}
		return b
	case day.SayStart:
		b := big{text: "START", more: fmt.Sprintf("M%d", n.Mixer), role: look.PlateGood, plate: true, glyph: look.GlyphNext}
		b.small = "start " + mixer + " now: " + batch
		if k := d.at.Key(keys.MixerKey(n.Mixer)); k != "" {
			b.small += ", key " + k
		}
		return b
	}
	b := big{text: "LATE", more: "+" + units.Clock(d.at.Now.Sub(n.At)), role: look.PlateWarn, plate: true, glyph: look.GlyphWarn}
	b.small = "start " + mixer + " now"
	if k := d.at.Key(keys.MixerKey(n.Mixer)); k != "" {
		b.small += ", key " + k
	}
	b.small += ": " + batch
	if n.Latest.IsZero() || !d.at.Now.After(n.Latest) || !d.edgeShort() {
		b.small += ", due " + hms(n.At)
		return b
	}
	b.role, b.glyph = look.PlateBad, look.GlyphBad
	b.small += ", the edge needed it by " + hms(n.Latest)
	return b
}

// edgeShort tells whether some of the wet edge is short of time: a start can be
// too late for the edge only then.
func (d *drawing) edgeShort() bool {
	e := &d.v.Edge
	return e.Hopeless || e.RiskM+e.GoneM > 0 || e.Least >= 0 && e.Points[e.Least].Slack < d.late
}

// say is the word of the view, moved on to the instant shown.
func (d *drawing) say() day.Say {
	n := d.v.Next
	switch {
	case n.Say == day.SayWait && !d.at.Now.Before(n.At.Add(lateAfter)):
		return day.SayLate
	case n.Say == day.SayWait && !d.at.Now.Before(n.At):
		return day.SayStart
	}
	return n.Say
}

// between speaks of the times in which no zone is being poured: before the
// first batch and while the crew moves on.
func (d *drawing) between() (big, bool) {
	v := d.v
	if v.Zone >= 0 || v.Floor == nil || v.Hold != nil || v.Next.Say == day.SayHold {
		return big{}, false
	}
	name := "zone " + clean.String(v.Floor.Z.Name)
	at, moving := v.ZoneFrom()
	why := "first batch of " + name + " as planned"
	if moving {
		why = "set up at " + name + ", first batch"
	}
	if d.at.Now.Before(at) {
		b := big{text: units.ClockLeft(at.Sub(d.at.Now)), role: look.Strong, blank: true}
		b.small = why + " " + hms(at) + "; any mixer starts it sooner"
		return b, true
	}
	b := big{text: "READY", role: look.PlateGood, plate: true, glyph: look.GlyphNext}
	b.small = "first batch of " + name
	if k := d.at.Key(keys.MixerKey(v.Next.Mixer)); k != "" {
		b.small += fmt.Sprintf(": key %s starts mixer %d", k, v.Next.Mixer)
	}
	return b, true
}

// hold gives the reason as a word, and since when.
func (d *drawing) hold() big {
	b := big{text: "HOLD", why: strings.ToUpper(clean.String(d.v.Next.Why)), role: look.PlateWarn, plate: true, glyph: look.GlyphWarn}
	if h := d.v.Hold; h != nil {
		b.small = "since " + hms(h.From) + ", " + units.Clock(d.at.Now.Sub(h.From))
		if k := d.at.Key(keys.Hold); k != "" {
			b.small += "; key " + k + " goes on"
		}
		if h.Stop {
			b.text, b.role, b.glyph = "STOP", look.PlateBad, look.GlyphBad
		}
		return b
	}
	what := map[string]string{
		"NO MIXER":      "no mixer is at work: bring one back",
		"NO POWER":      "the power is out: bring it back",
		"NO RUNNER":     "no runner is at work: bring one back",
		"NO RAKE":       "the rake post is out: bring it back",
		"BUCKETS QUEUE": "full buckets wait: pour the oldest first",
		"STOP LINE":     "the stop line is reached with what is on the way",
		"NO ZONE":       "no zone is left",
	}[d.v.Next.Why]
	if len(d.v.Forbidden) > 0 {
		what = "the sheet says stop"
		if k := d.at.Key(keys.Hold); k != "" {
			what += "; key " + k + " goes on by name"
		}
	}
	if since := d.v.Next.Since; !since.IsZero() {
		b.small = "since " + hms(since) + ", " + units.Clock(max(0, d.at.Now.Sub(since)))
	}
	if what != "" && b.small != "" {
		b.small += "; "
	}
	b.small += what
	return b
}

func (d *drawing) done() big {
	b := big{text: "DONE", why: clean.String(d.v.Next.Why), role: look.PlateText, plate: true, glyph: look.GlyphGood}
	switch d.v.Next.Why {
	case "LAST ONE MIXED":
		b.why, b.small = "", "last one mixed; pour what is on the way"
	case "ZONE FULL":
		b.why, b.small = "", "the zone is full"
		if k := d.at.Key(keys.Zone); k != "" {
			b.small += "; key " + k + " closes it"
		}
	case "DAY DONE":
		b.text, b.why = "DAY DONE", ""
		b.small = "every zone is closed"
	}
	return b
}

// callout draws the large digits with their caption.
func (d *drawing) callout(p frame.Pane) {
	if p.Empty() {
		return
	}
	b := d.big()
	if b.plate {
		p.Plate(b.role)
	}
	if p.H() < 3 {
		p.PrintFit(0, 0, p.W(), b.role, b.words(p.W()))
		return
	}
	if air := p.H() - calloutMost; air > 0 { // keep the caption with its digits
		p = p.Sub(frame.Rect{X: 0, Y: air / 2, W: p.W(), H: calloutMost})
	}
	small := look.Text
	if b.plate {
		small = b.role
	}
	if p.H() >= 4 {
		rest, row := p.Bottom(1)
		words := b.small
		if !b.blank {
			words = p.Glyph(b.glyph) + " " + words
		}
		row.PrintCentre(0, small, frame.Whole(words, row.W()))
		p = rest
	}
	switch { // air above and below, so that the strokes do not run into what has their colour
	case p.H() >= 7 || b.plate && p.H() >= 5:
		p = p.Inset(0, 1)
	case b.plate && p.H() == 4:
		_, p = p.Top(1)
	case b.plate && p.H() == 3:
		p.Plate(look.Text)
		b.role = look.Strong
	}
	p = p.Inset(1, 0)
	l := p.Look()
	text := b.text
	if b.more != "" {
		long, ok := digits.Fit(l, b.text+" "+b.more, p.W(), p.H())
		short, _ := digits.Fit(l, b.text, p.W(), p.H())
		if ok && (long.H >= 5 || long.H >= short.H-1) {
			text += " " + b.more
		} else if b.text == "LATE" { // the figure says more than the word
			text = b.more
		}
	}
	d.large(p, b, text)
}

// large draws the digits, and the reason beside or below them.
func (d *drawing) large(p frame.Pane, b big, text string) {
	l := p.Look()
	if b.why == "" {
		digits.Draw(p, b.role, text)
		return
	}
	// A reason goes beside the word where both stay large, else below it.
	if s, ok := digits.Fit(l, text+" "+b.why, p.W(), p.H()); ok && (s.H >= 5 || p.H() < 7) {
		digits.Draw(p, b.role, text+" "+b.why)
		return
	}
	if _, ok := digits.Fit(l, b.why, p.W(), 3); ok && p.H() >= 7 {
		rows := p.Rows(1, 3, 2)
		digits.Draw(rows[0], b.role, text)
		digits.Draw(rows[1], b.role, b.why)
		return
	}
	rest, row := p.Bottom(1)
	if rest.H() < 3 {
		p.PrintCentre(p.H()/2, b.role, text+" "+b.why)
		return
	}
	digits.Draw(rest, b.role, text)
	row.PrintCentre(0, b.role, b.why)
}

func hms(t time.Time) string { return t.Format("15:04:05") }
