package edge

import (
	"fmt"
	"slices"
	"strings"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/look"
	"floorpace/internal/units"
)

// trouble is one line of what has gone wrong.
type trouble struct {
	glyph look.Glyph
	role  look.Role
	words string
}

// troubleBlock lists what has gone wrong and still stands: a stop, posts that
// are out, what is fenced, bad batches, a way out that shuts, lots that would
// mix. Each is said whole, on as many lines as it takes. Without any of them the
// block is not there.
func (c *card) troubleBlock() block {
	ts := c.troubles()
	if len(ts) == 0 {
		return block{}
	}
	rows := func(n, w int) (rows int) {
		for _, t := range ts[:n] {
			rows += len(frame.WrapLines(clean.String(t.words), w))
		}
		return rows
	}
	w := min(c.w, sideW) - 2
	return lines(rows(len(ts), w), func(p frame.Pane) {
		p = p.Title("What is wrong", "")
		y := 0
		for _, t := range ts {
			p.Print(0, y, t.role, p.Glyph(t.glyph))
			for _, l := range frame.WrapLines(clean.String(t.words), p.W()-2) {
				p.PrintFit(2, y, p.W()-2, look.Text, l)
				y++
			}
		}
	})
}

// called tells whether a call stands whose words begin so: what it says is not
// said a second time.
func (c *card) called(what string) bool {
	return slices.ContainsFunc(c.Calls, func(q day.Call) bool { return q.Standing() && strings.HasPrefix(q.What, what) })
}

func (c *card) troubles() (out []trouble) {
	add := func(bad bool, format string, args ...any) {
		t := trouble{look.GlyphWarn, look.Warn, fmt.Sprintf(format, args...)}
		if bad {
			t.glyph, t.role = look.GlyphBad, look.Bad
		}
		out = append(out, t)
	}
	if s := &c.Stopped; s.On {
		add(true, "stopped %s, %s: %s", hms(s.Since), s.Where, strings.ToLower(s.Why))
	}
	for i := range c.Bad {
		b := &c.Bad[i]
		where := fmt.Sprintf("batch %d, %s at %s, %s from left", b.Batch, c.area(b.AreaM2), c.short(b.FromM), c.short(b.LeftM))
		switch {
		case !b.Lifted.IsZero():
			add(!b.FillOK, "%s: hole, fill by %s", where, hms(b.FillBy))
		case b.Late:
			add(true, "%s: stays down, fence it", where)
		case b.LiftOK:
			add(true, "%s: lifts until %s", where, hms(b.LiftUntil))
		default:
			add(true, "%s: bad", where)
		}
	}
	for i := range c.Fences {
		f := &c.Fences[i]
		if !f.Counted() {
			continue // the stop and the bad batch are said above
		}
		where := "nothing of it down"
		if len(f.Places) > 0 {
			where = day.PlaceWords(f.Places, c.sys)
		}
		add(true, "fenced %s: batches %d to %d, %s", where, f.From, f.To, f.What)
	}
	for i := range c.Exits {
		if x := &c.Exits[i]; !x.Way && (!x.Rooms || i == c.Zone || i == c.NextZone()) {
			add(i == c.Zone, "way out of %s: %s", x.Zone, x.Why)
		}
	}
	for _, q := range c.Posts {
		if !q.Down.IsZero() {
			add(false, "%s %d out %s", q.Post, q.Which, units.Clock(c.Now.Sub(q.Down)))
		}
	}
	if c.Lots.Refuse != "" {
		add(false, "%s", c.Lots.Refuse)
	} else if c.Lots.Warn != "" {
		add(false, "%s", c.Lots.Warn)
	}
	if c.Lots.Gone != "" {
		add(false, "%s", c.Lots.Gone)
	}
	if c.Air.Rising && !c.called("SLAB RISES") {
		where := "slab"
		if c.Air.RisingAt != "" {
			where = c.Air.RisingAt
		}
		add(false, "%s rises %s an hour", where, units.FormatFixed(units.TempDiff, c.Air.RisingKH, c.sys, 1))
	}
	if !c.Air.MarginGone.IsZero() && !c.called("DEW MARGIN") {
		add(false, "dew margin at its rule by %s", c.hm(c.Air.MarginGone))
	}
	return out
}
