package edge

import (
	"fmt"
	"slices"
	"strings"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/digits"
	"floorpace/internal/units"
)

// mostCalls is how many calls are listed: more at once would not be read.
const mostCalls = 5

// largeFrom is the height of a screen from which a loud call of the first
// grade is drawn in large letters.
const largeFrom = 36

// callsH is the height of the calls: two lines for the worst, one for the
// others.
func (c *card) callsH(p frame.Pane) int {
	n := len(c.Calls)
	if n == 0 {
		return 1
	}
	h := min(n, mostCalls)
	switch {
	case p.H() < 30 && c.inDanger():
		h = min(h, 2)
	case p.H() < 30:
		h = min(h, 3)
	}
	if c.large(p) {
		h += 3 // the words above, the sign and the answer in a line below
	}
	return h + len(c.whyLines(p.W(), c.large(p)))
}

// mostWhy is how many lines the figures of the worst call may take.
const mostWhy = 3

// whyLines are the figures of the worst call as they stand below its first line.
// Below large letters they stand in that line if they fit there.
func (c *card) whyLines(w int, large bool) []string {
	top := &c.Calls[0]
	if c.whyBelow(top) || large && frame.Width(top.Why) <= w-4-frame.Width(c.callNote(top)) {
		return nil
	}
	out := frame.WrapLines(clean.String(top.Why), w-2)
	return out[:min(len(out), mostWhy)]
}

// large tells whether the worst call is drawn in large letters.
func (c *card) large(p frame.Pane) bool {
	if len(c.Calls) == 0 || p.H() < largeFrom {
		return false
	}
	top := &c.Calls[0]
	size, ok := digits.Fit(p.Look(), c.what(top), p.W()-2, 3)
	return ok && size.H == 3 && top.Grade == 1 && top.Loud()
}

func (c *card) drawCalls(p frame.Pane, large bool) {
	switch {
	case p.Empty():
		return
	case len(c.Calls) == 0:
		p.Spans(0, 0, frame.Span{Role: look.Good, Text: p.Glyph(look.GlyphGood)}, frame.Span{Role: look.Dim, Text: " no call stands"})
		return
	}
	top := &c.Calls[0]
	y := 0
	if large {
		big, _ := p.Top(3)
		big.Plate(look.PlateBad)
		digits.Draw(big, look.PlateBad, c.what(top))
		y = 3
	}
	why := c.whyLines(p.W(), large)
	c.callHead(p.Row(y), top, large, len(why) == 0)
	y++
	for _, l := range why {
		if y < p.H() {
			p.Row(y).PrintFit(2, 0, p.W()-2, look.Text, l)
			y++
		}
	}
	for i := 1; y < p.H() && i < len(c.Calls); i++ {
		c.callLine(p.Row(y), &c.Calls[i])
		y++
		if more := len(c.Calls) - 1 - i; more > 0 && y == p.H() {
			p.PrintRight(p.W(), y-1, look.Dim, fmt.Sprintf(" %d more", more))
		}
	}
}

// whyBelow tells whether the figures of a call stand in the block below it, as
// of now, so that those of the time when it was raised can be left out. A call for
// a faster pace says when it is over, which stands nowhere else.
func (c *card) whyBelow(q *day.Call) bool {
	return q.ID == "edge" && c.inDanger() && c.what(q) != day.MixFaster
}

// what is a call's words, for the edge by its state of now: a call keeps the
// words it was raised with, and an edge that was at risk then may be lost.
func (c *card) what(q *day.Call) string {
	switch {
	case q.ID != "edge" || !c.inDanger():
		return q.What
	case c.Edge.GoneM > 0:
		return "EDGE LOST"
	case c.Edge.RiskM > 0:
		return "EDGE AT RISK"
	}
	return q.What
}

// callLook is the sign and the roles of a call: grade and answer show in both.
func callLook(q *day.Call) (g look.Glyph, plate, ink look.Role) {
	switch {
	case q.Grade <= 1:
		g, plate, ink = look.GlyphBad, look.PlateBad, look.Bad
	case q.Grade == 2:
		g, plate, ink = look.GlyphWarn, look.PlateWarn, look.Warn
	default:
		g, plate, ink = look.GlyphRight, look.PlateText, look.Text
	}
	if !q.Loud() {
		plate = look.Strong
	}
	return g, plate, ink
}

// callHead is the line of the worst call: a plate while nobody has answered
// it, its age and answer at the right. Below large letters the words make room
// for the why.
func (c *card) callHead(p frame.Pane, q *day.Call, large, why bool) {
	g, plate, ink := callLook(q)
	p.Print(0, 0, ink, p.Glyph(g))
	note := c.callNote(q)
	room := p.W() - 2 - frame.Width(note) - 2
	if room < 12 {
		note, room = "", p.W()-2
	}
	switch {
	case large && (c.whyBelow(q) || !why): // the sign does not stand alone
		p.PrintFit(2, 0, room, look.Dim, "since "+hms(q.Since()))
	case large:
		p.PrintFit(2, 0, room, look.Text, q.Why)
	case q.Loud():
		p.Print(2, 0, plate, " "+p.Fit(c.what(q), room-2)+" ")
	default:
		p.Print(2, 0, plate, p.Fit(c.what(q), room))
	}
	p.PrintRight(p.W(), 0, look.Dim, note)
}

func (c *card) callNote(q *day.Call) string {
	age := units.Clock(max(0, c.Now.Sub(q.Since())))
	switch {
	case !q.Shelved.IsZero():
		return "put aside: " + q.ShelvedWhy
	case !q.Acked.IsZero():
		return "answered, stands " + age
	case q.ID == "where" && c.DecideKey != "":
		return c.DecideKey + " decide, stands " + age
	case c.AnswerKey != "":
		return c.AnswerKey + " answer, stands " + age
	}
	return "stands " + age
}

// callLine is a call in one line: what, then why as far as there is room.
func (c *card) callLine(p frame.Pane, q *day.Call) {
	g, plate, ink := callLook(q)
	p.Print(0, 0, ink, p.Glyph(g))
	if plate != look.Strong {
		plate = ink
	}
	x := p.PrintFit(2, 0, p.W()-2, plate, c.what(q))
	if x+4 < p.W() {
		p.PrintFit(x+2, 0, p.W()-x-2, look.Dim, frame.Whole(clean.String(q.Why), p.W()-x-2))
	}
}

// inDanger tells whether the wet edge asks for a decision.
func (c *card) inDanger() bool {
	e := &c.Edge
	if !e.OK || c.Floor == nil || c.Zone < 0 {
		return false
	}
	return e.RiskM > 0 || e.GoneM > 0 || e.Least >= 0 && e.Points[e.Least].Slack < 0
}

// dangerH is the height of the block for an edge in danger; 0 without.
func (c *card) dangerH(p frame.Pane) int {
	if !c.inDanger() {
		return 0
	}
	goOn, cut := c.choiceLines(p.W())
	h := 2 + len(goOn) + len(cut)
	if len(c.deadBuckets()) > 0 && !c.bucketCalled() {
		h++
	}
	if c.diesWords(p.W()) != "" {
		h++
	}
	return h
}

// choiceW is the width of the words before what a choice means.
const choiceW = 10

// choiceLines are the two choices, broken where they are too long for the width.
func (c *card) choiceLines(w int) (goOn, cut []string) {
	a, b := c.choice()
	return frame.WrapLines(a, w-choiceW), frame.WrapLines(b, w-choiceW)
}

// drawDanger says how much of the edge still joins and until when, which
// buckets must not go on the floor, and the choice there is.
func (c *card) drawDanger(p frame.Pane) {
	if p.Empty() {
		return
	}
	c.statesLine(p.Row(0))
	c.untilLine(p.Row(1))
	y := 2
	if words := c.diesWords(p.W()); words != "" {
		p.Spans(0, y, frame.Span{Role: look.Strong, Text: "dies next "}, frame.Span{Role: look.Text, Text: words})
		y++
	}
	if dead := c.deadBuckets(); len(dead) > 0 && !c.bucketCalled() {
		p.Spans(0, y, frame.Span{Role: look.Bad, Text: p.Glyph(look.GlyphBad) + " " + deadWords(dead)},
			frame.Span{Role: look.Text, Text: ": outside, not on the floor"})
		y++
	}
	goOn, cut := c.choiceLines(p.W())
	for _, q := range []struct {
		what  string
		lines []string
	}{{"go on", goOn}, {"cut back", cut}} {
		p.Print(0, y, look.Strong, q.what)
		for _, l := range q.lines {
			p.PrintFit(choiceW, y, p.W()-choiceW, look.Text, l)
			y++
		}
	}
}

// mostLost is how many losses are named in a line: the next to act on, and what
// comes after it.
const mostLost = 3

// diesWords says what is lost next and when, as far as w cells go.
func (c *card) diesWords(w int) string {
	var out []string
	w -= 10
	for _, d := range c.Danger.Dies {
		if d.Past || d.What == "whole edge joinable" || d.What == "last point joinable" { // said above
			continue
		}
		words := d.What + " " + hms(d.At)
		if w -= frame.Width(words) + 2; w < -2 || len(out) == mostLost {
			break
		}
		out = append(out, words)
	}
	return strings.Join(out, ", ")
}

// statesLine is the length of edge in each state, with sign and word, and where
// it is along the row from the left while that fits in a word.
func (c *card) statesLine(p frame.Pane) {
	e := &c.Edge
	x := 0
	at := c.stateSpans()
	for i, q := range []struct {
		g    look.Glyph
		r    look.Role
		m    float64
		word string
	}{{look.GlyphGone, look.Gone, e.GoneM, "gone"}, {look.GlyphAtRisk, look.AtRisk, e.RiskM, "at risk"}, {look.GlyphJoinable, look.Joinable, e.JoinM, "joinable"}} {
		x = p.Spans(x, 0, frame.Span{Role: q.r, Text: p.Glyph(q.g)}, frame.Span{Role: look.Strong, Text: " " + c.short(q.m)},
			frame.Span{Role: look.Text, Text: " " + q.word + at[i]}) + 2
	}
	words := c.WaysKey + " ways out"
	if both := c.DecideKey + " decide  " + words; c.DecideKey != "" && x+frame.Width(both) <= p.W() {
		words = both
	}
	if c.WaysKey != "" && x+frame.Width(words) <= p.W() {
		p.PrintRight(p.W(), 0, look.Accent, words)
	}
}

// stateSpans is where along the row gone, at risk and joinable lie, from the
// left wall looking along the pull; empty where one of them is in pieces.
func (c *card) stateSpans() (out [3]string) {
	var n [3]int
	for _, w := range c.Danger.Spans {
		i := 2 - int(w.State)
		n[i]++
		figure := func(m float64) string {
			words, _, _ := strings.Cut(c.short(m), " ")
			return words
		}
		out[i] = fmt.Sprintf(" %s-%s", figure(w.FromM), figure(w.ToM))
	}
	if n[0] > 1 || n[1] > 1 || n[2] > 1 {
		return [3]string{}
	}
	return out
}

func (c *card) untilLine(p frame.Pane) {
	e := &c.Edge
	if e.WholeUntil.IsZero() {
		return
	}
	is := func(past bool) string {
		if past {
			return "was joinable until "
		}
		return "joinable until "
	}
	x := p.Spans(0, 0, frame.Span{Role: look.Text, Text: "whole row " + is(e.WholeUntil.Before(c.Now))}, frame.Span{Role: look.Strong, Text: hms(e.WholeUntil)})
	last := []frame.Span{{Role: look.Text, Text: ", last point until "}, {Role: look.Strong, Text: hms(e.LastUntil)}}
	if x+frame.SpansWidth(last...) > p.W() {
		last[0].Text = ", last "
	}
	p.Spans(x, 0, last...)
}

// deadBuckets are the buckets past their life.
func (c *card) deadBuckets() []day.BucketView {
	var out []day.BucketView
	for _, b := range c.Buckets {
		if b.OK && b.Dead {
			out = append(out, b)
		}
	}
	return out
}

// bucketCalled tells whether a call about the buckets stands: dead ones are not
// named a second time.
func (c *card) bucketCalled() bool {
	return slices.ContainsFunc(c.Calls, func(q day.Call) bool { return q.ID == "bucket" && q.Standing() })
}

func deadWords(bs []day.BucketView) string {
	var no []string
	for _, b := range bs {
		no = append(no, fmt.Sprint(b.Batch))
	}
	word := "bucket "
	if len(bs) > 1 {
		word = "buckets "
	}
	return word + strings.Join(no, ", ") + " dead"
}

// choice says what going on and what cutting back means.
func (c *card) choice() (goOn, cut string) {
	e := &c.Edge
	every := units.Clock(interval1(e.NeededPerMin))
	limit := "none"
	if c.nobody() == "" {
		limit = units.Clock(interval1(c.Band.Limit))
	}
	if c.Band.Limit <= 0 {
		limit = "cannot pour"
	}
	reach := e.NeededPerMin <= c.Band.Limit
	out := e.OutM > 0 && e.OutM >= e.JoinM*(1-1e-9)
	switch {
	case e.RiskM+e.GoneM > 0:
		var parts []string
		if e.GoneM > 0 {
			parts = append(parts, "ridge over "+c.short(e.GoneM))
		}
		if e.RiskM > 0 {
			parts = append(parts, c.short(e.RiskM)+" in doubt")
		}
		goOn = strings.Join(parts, ", ")
		if e.OutM > 0 && !out {
			goOn += ", " + c.short(e.OutM) + " out of reach"
		}
		switch {
		case e.JoinM == 0:
		case c.noMixer():
			goOn += "; " + noMixerWords
		case out:
			goOn += "; no pace brings the rest home"
		case e.NeededPerMin == 0:
			goOn += "; the next batch joins the rest"
		case reach:
			goOn += "; rest joins at one every " + every
		default:
			goOn += fmt.Sprintf("; rest needs one every %s, crew's limit %s", every, limit)
		}
	case c.noMixer():
		goOn = noMixerWords + ": nothing joins until one is back"
	case out:
		goOn = "no pace brings the edge home"
	case e.Hopeless:
		goOn = c.short(e.OutM) + " of the edge is out of reach at any pace"
	case e.NeededPerMin == 0:
		goOn = "the next batch joins all of it"
	case reach:
		goOn = fmt.Sprintf("all joins at one every %s; crew's limit %s", every, limit)
	default:
		goOn = fmt.Sprintf("needs one every %s, past the crew's limit %s", every, limit)
	}
	q := &c.Danger.Cut
	return goOn, fmt.Sprintf("to %s, %s: %s", q.Name, c.short(q.FrontM), q.Words(c.sys))
}
