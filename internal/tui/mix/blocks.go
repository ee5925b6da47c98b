package mix

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/tui/frame"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/widget/digits"
	"floorpace/internal/units"
)

type call = day.Call

// worst is the most urgent call that stands and is not put aside.
func (d *drawing) worst() (call, bool) {
	if open := d.open(); len(open) > 0 {
		return open[0], true
	}
	return call{}, false
}

// callRole is the plate or the words of a call. A call that was answered keeps
// its words but not its plate.
func callRole(c call, plate bool) look.Role {
	loud := c.Loud() && plate
	switch {
	case c.Grade == 1 && loud:
		return look.PlateBad
	case c.Grade == 1:
		return look.Bad
	case c.Grade == 2 && loud:
		return look.PlateWarn
	case c.Grade == 2:
		return look.Warn
	case loud:
		return look.PlateText
	}
	return look.Text
}

// callRows is the room for the top call, the more urgent, the larger, and for
// further ones, a row each, where there is room.
func (d *drawing) callRows(h, w int) (top, more int) {
	c, ok := d.worst()
	if h >= 28 {
		more = min(len(d.open())-1, 3)
	}
	switch {
	case !ok:
		return 0, 0
	case !c.Loud() || c.Grade == 3 || h < 14:
		return 1, more
	case c.Grade == 1 && h >= 34 && w >= 100:
		return 6, more
	}
	return 2, more
}

// open are the calls that stand and are not put aside, most urgent first.
func (d *drawing) open() []call {
	var out []call
	for _, c := range d.v.Calls {
		if c.Shelved.IsZero() {
			out = append(out, c)
		}
	}
	return out
}

func (d *drawing) calls(p frame.Pane, more int) {
	top, rest := p.Top(p.H() - more)
	d.call(top, more)
	for i, c := range d.open() {
		if i >= 1 && i <= rest.H() {
			row := rest.Row(i - 1)
			row.Plate(callRole(c, false))
			d.line(row, callRole(c, false), d.callGlyph(p, c)+clean.String(c.What)+": "+clean.String(c.Why), "since "+hms(c.Since()))
		}
	}
}

func (d *drawing) call(p frame.Pane, below int) {
	c, ok := d.worst()
	if !ok || p.Empty() {
		return
	}
	role := callRole(c, true)
	p.Plate(role)
	what, why := d.callGlyph(p, c)+clean.String(c.What), clean.String(c.Why)
	hint := ""
	if k := d.at.Key(keys.Answer); k != "" && c.Loud() {
		hint = k + " answers"
	}
	if n := len(d.v.Calls) - 1 - below; n > 0 {
		hint = fmt.Sprintf("+%d more  ", n) + hint
	}
	switch {
	case p.H() >= 5:
		rest, low := p.Bottom(1)
		digits.Draw(rest.Sub(frame.Rect{X: 1, Y: 1, W: rest.W() - 2, H: rest.H() - 1}), role, c.What)
		d.line(low, role, p.Glyph(look.GlyphBad)+" "+why, hint)
	case p.H() == 2:
		d.line(p.Row(0), role, what+"  since "+hms(c.Since()), hint)
		p.PrintFit(3, 1, p.W()-4, role, frame.Whole(why, p.W()-4))
	default:
		d.line(p.Row(0), role, what+": "+why, hint)
	}
}

func (d *drawing) line(row frame.Pane, role look.Role, left, right string) {
	w := row.W() - 2
	if right != "" && frame.Width(right)+8 < w {
		row.PrintRight(row.W()-1, 0, role, right)
		w -= frame.Width(right) + 2
	}
	row.PrintFit(1, 0, w, role, frame.Whole(left, w))
}

// mixers draws one line a mixer: which, batch, step, what is left of it, then.
func (d *drawing) mixers(p frame.Pane) {
	note := ""
	if d.v.Plan.Rules.StepPresses {
		note = "press at the end of each step"
	}
	p = p.Title("Mixers", note)
	for i := range d.v.Mixers {
		if d.tall {
			d.tallMixer(p, i)
			continue
		}
		if i >= p.H() {
			break
		}
		if i == p.H()-1 && i < len(d.v.Mixers)-1 {
			p.Print(0, i, look.Dim, "+"+units.Count(len(d.v.Mixers)-i, "more mixer", "more mixers"))
			break
		}
		d.mixer(p.Row(i), &d.v.Mixers[i])
	}
}

func (d *drawing) mixer(row frame.Pane, m *day.MixerView) {
	n, now := d.v.Next, d.at.Now
	_, apart := d.between()
	next := m.No == n.Mixer && !m.Down && !apart
	role := look.Text
	x := row.Print(0, 0, look.Accent, fmt.Sprintf("M%d ", m.No))
	if k := d.at.Key(keys.MixerKey(m.No)); k != "" && k != fmt.Sprint(m.No) {
		x = row.Print(x, 0, look.Dim, k+" ")
	}
	switch {
	case m.Down:
		if m.Batch > 0 { // what is inside goes on reacting
			x = row.Print(x, 0, look.Strong, fmt.Sprintf("%3d ", m.Batch))
		}
		x = row.PrintFit(x, 0, row.W()-x, look.Bad, row.Glyph(look.GlyphBad)+" OUT OF SERVICE")
		if inside := d.inside(m); inside != "" {
			row.PrintFit(x+1, 0, row.W()-x-1, look.Warn, inside)
		}
		return
	case m.Batch > 0:
		x = row.Print(x, 0, look.Strong, fmt.Sprintf("%3d ", m.Batch))
		left := max(m.StepEnds.Sub(now), 0)
		then := thenWords(m)
		room := row.W() - x - 7
		step := d.stepW(room)
		rest := row.W() - x - step - 7
		if frame.Width(then) > rest {
			then = row.Glyph(look.GlyphRight) + " " + clean.String(m.Then)
		}
		if own := frame.Width(clean.String(m.Step)); frame.Width(then) > rest && own < step { // the minutes leave their column before a word is cut
			step = max(own, step-(frame.Width(then)-rest))
			rest = row.W() - x - step - 7
		}
		row.PrintFit(x, 0, step, role, clean.String(m.Step))
		row.PrintRight(x+step+6, 0, look.Strong, units.ClockLeft(left))
		then = frame.Whole(then, rest)
		row.PrintFit(x+step+7, 0, rest, look.Dim, then)
		return
	case m.Step == "reset" && now.Before(m.StepEnds):
		x = row.Print(x, 0, look.Dim, "    ")
		x = row.Print(x, 0, look.Dim, "reset ")
		x = row.Print(x, 0, look.Text, units.ClockLeft(m.StepEnds.Sub(now)))
	default:
		x = row.Print(x, 0, look.Dim, "    ")
		x = row.Print(x, 0, look.Text, "free")
	}
	if !next {
		return
	}
	switch d.say() {
	case day.SayWait:
		row.PrintFit(x+2, 0, row.W()-x-2, look.Accent, fmt.Sprintf("batch %d in %s", n.Batch, units.ClockLeft(n.At.Sub(now))))
	case day.SayStart, day.SayLate:
		row.PrintFit(x+2, 0, row.W()-x-2, look.PlateGood, fmt.Sprintf(" %s START batch %d ", row.Glyph(look.GlyphNext), n.Batch))
	}
}

func thenWords(m *day.MixerView) string { return "then " + clean.String(m.Then) }

// stepW is the width of the steps in a line, the same for every mixer so that
// their minutes stand below each other: what they need, and what the steps after
// them leave.
func (d *drawing) stepW(room int) int {
	step, then := 0, 0
	for i := range d.v.Mixers {
		if m := &d.v.Mixers[i]; m.Batch > 0 && !m.Down {
			step, then = max(step, frame.Width(clean.String(m.Step))), max(then, frame.Width(thenWords(m)))
		}
	}
	return max(0, min(room, max(step, room-then-1)))
}

// about is the sign before a figure that crosses a restart of the machine.
func about(yes bool) string {
	if yes {
		return "≈"
	}
	return ""
}

// inside is the age and step of a batch that stands in a mixer out of service.
func (d *drawing) inside(m *day.MixerView) string {
	if m.Batch == 0 {
		return ""
	}
	for i := range d.v.Batches {
		if b := &d.v.Batches[i]; b.No == m.Batch {
			return about(d.v.Approx) + units.Clock(d.at.Now.Sub(b.Started)) + " old, " + clean.String(m.Step)
		}
	}
	return clean.String(m.Step)
}

// buckets draws one line a bucket, oldest first, with a bar for its life.
func (d *drawing) buckets(p frame.Pane) {
	note := ""
	if len(d.v.Buckets) > 0 {
		if k := d.at.Key(keys.Pour); k != "" {
			note = k + " pours the first"
		}
		b := &d.v.Buckets[0]
		if k := d.at.Key(keys.Scrap); k != "" && b.OK && b.Left <= d.late {
			note = k + " scraps the first"
		}
	}
	p = p.Title("Buckets out", note)
	if len(d.v.Buckets) == 0 {
		p.PrintFit(0, 0, p.W(), look.Dim, "none")
		return
	}
	if d.tall {
		n := min(len(d.v.Buckets), p.H()/tallItem)
		for i := range n {
			d.tallBucket(p, i)
		}
		if more := len(d.v.Buckets) - n; more > 0 {
			p.Print(0, p.H()-1, look.Dim, "+"+units.Count(more, "more bucket", "more buckets"))
		}
		return
	}
	for i := range d.v.Buckets {
		if i >= p.H() {
			break
		}
		if i == p.H()-1 && i < len(d.v.Buckets)-1 {
			p.Print(0, i, look.Dim, "+"+units.Count(len(d.v.Buckets)-i, "more bucket", "more buckets"))
			break
		}
		d.bucket(p.Row(i), &d.v.Buckets[i])
	}
}

func (d *drawing) bucket(row frame.Pane, b *day.BucketView) {
	left, age := b.Left-d.late, b.Age+d.late
	x := row.Print(0, 0, look.Strong, fmt.Sprintf("%3d ", b.Batch))
	x = row.Print(x, 0, look.Text, fmt.Sprintf("%5s old ", about(b.Approx)+units.Clock(age)))
	if !b.OK {
		row.PrintFit(x, 0, row.W()-x, look.Warn, row.Glyph(look.GlyphWarn)+" no life on sheet")
		return
	}
	s := d.bucketState(left)
	words := row.Glyph(s.glyph) + " " + units.ClockLeft(left) + " " + s.word
	if left <= 0 {
		words = row.Glyph(s.glyph) + " DEAD " + units.Clock(-left) + " ago"
	}
	w := max(frame.Width(words), 12)
	if bar := row.W() - x - w - 1; bar >= 4 {
		d.lifeBar(row.Sub(frame.Rect{X: x, Y: 0, W: bar, H: 1}), left, age, b, s)
		x += bar + 1
	}
	row.PrintFit(x, 0, row.W()-x, s.role, words)
}

func (d *drawing) bucketState(left time.Duration) bucketState {
	margin := d.v.Plan.Rules.BucketMargin
	switch {
	case left <= 0:
		return bucketState{look.GlyphBad, "DEAD", look.Bad, look.PlateBad}
	case left < margin:
		return bucketState{look.GlyphWarn, "NOW", look.Warn, look.PlateWarn}
	case left < margin+bucketSoon:
		return bucketState{look.GlyphWarn, "left", look.Warn, look.PlateWarn}
	}
	return bucketState{look.GlyphGood, "left", look.Good, look.PlateGood}
}

// bucketSoon is how long before the bucket margin its line turns to a warning:
// a carry and a pour, as the day's own call has it.
const bucketSoon = 90 * time.Second

// foot draws the pace call and the least slack.
func (d *drawing) foot(p frame.Pane) {
	if p.Empty() {
		return
	}
	what, role, g := d.pace()
	x := p.Print(0, 0, role, p.Glyph(g)+" "+what)
	x += 2
	for i, part := range d.paceFigures() {
		dot := ""
		if i > 0 {
			dot = " " + p.Glyph(look.GlyphDot) + " "
		}
		for _, words := range []string{part, strings.Split(part, " (")[0]} { // the post gives way first
			if x+frame.Width(dot+words) <= p.W() {
				x = p.Print(x, 0, look.Text, dot+words)
				break
			}
		}
	}
	if p.H() < 2 {
		return
	}
	d.slack(p.Row(1))
}

// pace is the pace call in at most four words.
func (d *drawing) pace() (string, look.Role, look.Glyph) {
	what, grade := d.v.PaceWord()
	switch grade {
	case 0:
		return what, look.Good, look.GlyphGood
	case 1:
		return what, look.Bad, look.GlyphBad
	case 2:
		return what, look.Warn, look.GlyphWarn
	}
	return what, look.Text, look.GlyphDot
}

// paceFigures are what is needed, done, and can be done, each a whole figure,
// named as on the gauge.
func (d *drawing) paceFigures() (parts []string) {
	v := d.v
	if d.noMixer() {
		return []string{"no mixer at work"}
	}
	switch need := v.Needed(); {
	case v.PastAnyPace():
		parts = append(parts, "no pace saves the whole edge")
	case need > 0:
		parts = append(parts, "needed one every "+units.Clock(pace.Interval(need)))
	}
	if v.Doing > 0 {
		parts = append(parts, "doing "+units.Clock(pace.Interval(v.Doing)))
	}
	if v.Band.Limit > 0 {
		parts = append(parts, "limit "+units.Clock(pace.Interval(v.Band.Limit))+" ("+v.Band.LimitPost+")")
	}
	return parts
}

// slack draws the zone with the edge and where its least slack is.
func (d *drawing) slack(row frame.Pane) {
	v := d.v
	if v.Floor == nil {
		row.PrintFit(0, 0, row.W(), look.Dim, "every zone is closed")
		return
	}
	name := clean.String(v.Floor.Z.Name)
	x := row.PrintFit(0, 0, row.W()/3, look.Heading, "Zone "+name) + 2
	length := func(m float64) string { return units.Format(units.Length, m, d.sys) }
	dot := " " + row.Glyph(look.GlyphDot) + " "
	e := &v.Edge
	switch {
	case !e.OK:
		row.PrintFit(x, 0, row.W()-x, look.Bad, row.Glyph(look.GlyphBad)+" "+clean.String(e.Missing))
	case e.Least < 0:
		row.PrintFit(x, 0, row.W()-x, look.Dim, "no wet edge yet")
	case e.GoneM > 0:
		row.PrintFit(x, 0, row.W()-x, look.Bad, row.Glyph(look.GlyphGone)+" edge gone "+length(e.GoneM)+dot+"at risk "+length(e.RiskM)+dot+"joinable "+length(e.JoinM))
	default:
		q := e.Points[e.Least]
		left := q.Slack - d.late
		role, g := look.Good, look.GlyphJoinable
		if e.RiskM > 0 || left < day.SlackSoon {
			role = look.Warn
		}
		if e.RiskM > 0 || left < 0 {
			g = look.GlyphAtRisk
		}
		x = row.PrintFit(x, 0, row.W()-x, role, row.Glyph(g)+" least slack "+about(v.Approx)+units.ClockLeft(left))
		until := "until " + hms(q.Until)
		for _, words := range [][]string{
			{fmt.Sprintf("row %d, %s from the left", v.Floor.Path.Row(q.Cell)+1, units.FormatFixed(units.Length, v.Floor.FromLeft(q.Cell), d.sys, 1))},
			{"joinable " + until, until},
		} {
			for _, part := range words {
				if x+3+frame.Width(part) <= row.W() {
					x = row.Print(row.Print(x, 0, look.Dim, dot), 0, look.Text, part)
					break
				}
			}
		}
	}
}

// noMixer tells whether no mixer is at work.
func (d *drawing) noMixer() bool {
	for i := range d.v.Mixers {
		if !d.v.Mixers[i].Down {
			return false
		}
	}
	return len(d.v.Mixers) > 0
}
