package tui

import (
	"fmt"
	"strings"
	"time"

	"floorpace/internal/advice"
	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/tui/entry"
	"floorpace/internal/tui/keys"
	"floorpace/internal/tui/look"
	"floorpace/internal/tui/mix"
	"floorpace/internal/units"

	tea "github.com/charmbracelet/bubbletea"
)

// choice is one thing in a list and what choosing it does.
type choice struct {
	label, note string
	do          func() tea.Cmd
}

func (m *Model) openList(title string, cs ...choice) {
	m.list = &entry.List{Title: clean.String(title)}
	m.choices = nil
	for _, c := range cs {
		m.list.Items = append(m.list.Items, entry.Item{Label: clean.String(c.label), Note: clean.String(c.note)})
		m.choices = append(m.choices, c.do)
	}
	m.mode, m.closeAt, m.after = listing, m.now.Mono+listOpen, false
	m.note = note{}
}

func (m *Model) openLine(l *entry.Line, taken func(entry.Outcome) tea.Cmd) {
	l.System = m.v.Plan.Units
	m.line, m.taken, m.mode, m.closeAt = l, taken, entering, m.now.Mono+lineOpen
	m.note = note{}
}

// open begins what takes more than one key.
func (m *Model) open(a keys.Action) tea.Cmd {
	switch a {
	case keys.Stop:
		return m.stopMixing()
	case keys.PutAside:
		if c := m.topCall(false); c != nil {
			return m.aside(c.ID, c.What)
		}
		return m.warn("no call stands")
	case keys.Scrap:
		return m.scrap(0)
	case keys.Zone:
		return m.zones()
	case keys.Post:
		return m.posts()
	case keys.TakeBack:
		return m.takeBack()
	case keys.Handover:
		return m.handover()
	case keys.Reading:
		return m.readings("Reading of")
	case keys.Mark:
		return m.marks()
	case keys.Note:
		m.openLine(&entry.Line{Ask: "note", Sort: entry.Words}, func(o entry.Outcome) tea.Cmd {
			return m.press(day.Press{Kind: day.NoteWritten, Text: o.Text})
		})
	case keys.Tally:
		return m.tally(nil)
	case keys.Part:
		return m.part()
	case keys.Decide:
		return m.decide()
	case keys.Lot:
		return m.lots()
	case keys.Wrong:
		return m.wrong()
	}
	return nil
}

// reasons asks for a reason by one digit and puts it into a press. The last
// entry lets a crew write its own.
func (m *Model) reasons(title string, why []string, p day.Press) tea.Cmd {
	var cs []choice
	for _, w := range why {
		cs = append(cs, choice{strings.ToLower(w), "", func() tea.Cmd { p.Why = w; return m.press(p) }})
	}
	cs = append(cs, choice{"write a reason", "", func() tea.Cmd {
		m.openLine(&entry.Line{Ask: "reason", Sort: entry.Words}, func(o entry.Outcome) tea.Cmd {
			p.Why = strings.ToUpper(o.Text)
			return m.press(p)
		})
		return nil
	}})
	m.openList(title, cs...)
	return nil
}

// reasonsAfter asks why of something that is saved already: the answer may be
// left open, and any key that the list does not take goes past it.
func (m *Model) reasonsAfter(title string, why []string, p day.Press) {
	m.reasons(title, why, p)
	m.after = true
}

func (m *Model) aside(id, what string) tea.Cmd {
	return m.reasons("Put aside "+what+": why", []string{"SEEN, IN HAND", "NOT SO ON THE FLOOR", "CANNOT BE HELPED NOW", "FOREMAN DECIDED"}, day.Press{Kind: day.CallShelved, Call: id})
}

// listCalls lists what stands, then what stood before, newest first, with
// times. Choosing one that stands answers it or puts it aside.
func (m *Model) listCalls() tea.Cmd {
	var cs []choice
	stands := map[string]bool{}
	for _, c := range m.v.Calls {
		stands[c.ID] = true
		note := "since " + hm(c.Raised) + wasWords(&c)
		if !c.Acked.IsZero() {
			note += ", answered " + hm(c.Acked)
		}
		if !c.Shelved.IsZero() {
			note += ", put aside " + hm(c.Shelved) + ": " + strings.ToLower(c.ShelvedWhy)
		}
		cs = append(cs, choice{c.What, note + "; " + c.Why, func() tea.Cmd { return m.oneCall(c) }})
	}
	for i := len(m.v.History) - 1; i >= 0; i-- {
		c := m.v.History[i]
		if c.Cleared.IsZero() {
			continue
		}
		cs = append(cs, choice{c.What, hm(c.Raised) + wasWords(&c) + " to " + hm(c.Cleared) + "; " + c.Why, func() tea.Cmd {
			return m.warn(c.What + " is over since " + hm(c.Cleared))
		}})
	}
	if len(cs) == 0 {
		return m.warn("no call so far")
	}
	m.openList("Calls: "+units.Count(len(stands), "stands", "stand"), cs...)
	return nil
}

// wasWords say what a call said first, and then as it got worse.
func wasWords(c *day.Call) (words string) {
	for i, w := range c.Was {
		if i > 0 {
			words += ", " + hm(w.At)
		}
		words += " " + strings.ToLower(w.What)
	}
	return words
}

func (m *Model) oneCall(c day.Call) tea.Cmd {
	if m.o.ReadOnly != "" {
		return m.warn(m.o.ReadOnly)
	}
	m.openList(c.What+": "+c.Why,
		choice{"answer it", "it stands on, silent", func() tea.Cmd { return m.press(day.Press{Kind: day.CallAcked, Call: c.ID}) }},
		choice{"put it aside", "with a reason; back in 15 min", func() tea.Cmd { return m.aside(c.ID, c.What) }},
	)
	return nil
}

func hm(t time.Time) string { return t.Format("15:04") }

// listWays lists the ways out, best first.
func (m *Model) listWays() tea.Cmd {
	f := &m.v.Forecast
	if !f.OK && len(f.Ways) == 0 {
		why := clean.String(f.Why)
		if why == "" {
			why = "no forecast yet"
		}
		return m.warn(why)
	}
	if len(f.Ways) == 0 {
		return m.warn("no way out is needed")
	}
	var cs []choice
	for _, w := range f.Ways {
		cs = append(cs, choice{w.What, w.Figure + wayFigures(w), func() tea.Cmd { return m.oneWay(w) }})
	}
	for _, r := range f.Refused { // judged too, and why they are none
		cs = append(cs, choice{r.What, "no: " + r.Why, func() tea.Cmd { return m.warn(r.What + ": " + r.Why) }})
	}
	title := fmt.Sprintf("Ways out; as now the edge holds on %.0f of 100 days", 100*f.Edge)
	if !f.OK {
		title = "Ways out; as now there is no figure: " + clean.String(f.Why)
	}
	m.openList(title, cs...)
	return nil
}

func wayFigures(w advice.Way) string {
	s := fmt.Sprintf(": holds on %.0f of 100 days, ", 100*w.Edge)
	if !w.P50.IsZero() { // zero: nobody is at work, so nothing ends
		s += "ends " + hm(w.P50) + ", "
	}
	s += pace.KitsOf(w.Kits)
	if w.Short {
		s += ", too few on hand"
	}
	switch {
	case w.Opening.IsZero():
	case w.InTime:
		s += ", opens in time"
	default:
		s += ", opens late: " + w.Opening.Format("Mon 15:04")
	}
	if w.People > 0 {
		s += ", " + units.Count(w.People, "more hand", "more hands")
	}
	return s
}

func (m *Model) oneWay(w advice.Way) tea.Cmd {
	if m.o.ReadOnly != "" {
		return m.warn(m.o.ReadOnly)
	}
	p, label := day.Press{Kind: day.DecisionMade, What: w.ID, Text: w.What + " " + w.Figure}, "put it on record"
	if w.Press != nil {
		p = *w.Press
		if p.Kind != day.DecisionMade { // what only goes on record is still to be done by hand
			label = "do it"
		}
	}
	m.openList(w.What+" "+w.Figure, choice{label, strings.TrimPrefix(wayFigures(w), ": "), func() tea.Cmd { return m.press(p) }})
	return nil
}

// scrap asks why for one batch; 0 is the oldest that is out.
func (m *Model) scrap(batch int) tea.Cmd {
	way := m.onTheWay()
	if len(way) == 0 {
		return m.warn("no batch is on the way")
	}
	if batch == 0 {
		batch = way[0]
	}
	p := day.Press{Kind: day.BatchScrapped, Batch: batch}
	m.reasons(fmt.Sprintf("Scrap batch %d: why", batch), []string{"TOO OLD", "DROPPED", "WRONG PARTS", "COLOUR OR FILLER WRONG", "LUMPS", "WATER IN IT", "NOT NEEDED"}, p)
	if len(way) > 1 {
		m.choices = append(m.choices, func() tea.Cmd {
			var cs []choice
			for _, b := range way {
				cs = append(cs, choice{fmt.Sprintf("batch %d", b), "", func() tea.Cmd { return m.scrap(b) }})
			}
			m.openList("Scrap which batch", cs...)
			return nil
		})
		m.list.Items = append(m.list.Items, entry.Item{Label: "another batch"})
	}
	return nil
}

// onTheWay lists the batches on the way, the oldest bucket first.
func (m *Model) onTheWay() []int {
	var out []int
	for _, b := range m.v.Buckets {
		out = append(out, b.Batch)
	}
	for _, x := range m.v.Mixers {
		if x.Batch > 0 {
			out = append(out, x.Batch)
		}
	}
	return out
}

func (m *Model) zones() tea.Cmd {
	v := m.v
	if v.Zone >= 0 {
		z := v.Zones[v.Zone]
		m.openList("Zone "+z.Name, choice{"zone done", fmt.Sprintf("%.0f %% laid, %s", 100*z.Done, units.Count(z.Batches, "batch", "batches")), func() tea.Cmd {
			return m.press(day.Press{Kind: day.ZoneClosed, Zone: z.Name})
		}})
		return nil
	}
	var open, closed []choice
	for i, z := range v.Zones {
		note := ""
		if x := &v.Exits[i]; !x.Way {
			note = x.Why
		}
		do := func() tea.Cmd { return m.press(day.Press{Kind: day.ZoneBegan, Zone: z.Name}) }
		if z.Closed.IsZero() {
			open = append(open, choice{"begin zone " + z.Name, note, do})
		} else {
			closed = append(closed, choice{"open zone " + z.Name + " again", "closed " + hm(z.Closed), do})
		}
	}
	m.openList("Next zone", append(open, closed...)...)
	return nil
}

// takeBack lists the latest presses, newest first.
func (m *Model) takeBack() tea.Cmd {
	var cs []choice
	for i := len(m.v.LastAre) - 1; i >= 0; i-- {
		e := m.v.LastAre[i]
		if e.Kind == day.PressUndone {
			continue
		}
		cs = append(cs, choice{mix.Words(e, m.v.Plan.Units), e.At.Format("15:04:05"), func() tea.Cmd {
			return m.press(day.Press{Kind: day.PressUndone, Of: e.N})
		}})
	}
	if len(cs) == 0 {
		return m.warn("there is nothing to take back")
	}
	m.openList("Take back which press", cs...)
	return nil
}

// latestLast says by when the last batch of each zone not closed must be down.
func (m *Model) latestLast() (s string) {
	for _, z := range m.v.Zones {
		if z.Turnout.OK && z.Closed.IsZero() {
			s += ", " + z.Name + " by " + z.Turnout.Latest.Format("Mon 15:04:05")
		}
	}
	if s != "" {
		s = "; last batch" + strings.TrimPrefix(s, ",")
	}
	return s
}

func (m *Model) handover() tea.Cmd {
	at := m.dayNow()
	m.openList("Floor handed over",
		choice{"now", hm(at) + m.latestLast(), func() tea.Cmd {
			return m.press(day.Press{Kind: day.HandoverGiven, Time: at.Format(time.RFC3339)})
		}},
		choice{"at another time", "", func() tea.Cmd {
			m.openLine(&entry.Line{Ask: "handed over at, four digits as 0630", Sort: entry.Whole, Refuse: func(v float64) string {
				if n := int(v); n > 2359 || n%100 > 59 {
					return "write hours and minutes as four digits, 0000 to 2359"
				}
				return ""
			}}, func(o entry.Outcome) tea.Cmd {
				n := int(o.Value)
				t := time.Date(at.Year(), at.Month(), at.Day(), n/100, n%100, 0, 0, at.Location())
				if t.Sub(at) > 12*time.Hour { // just after midnight 2300 means last night
					t = t.AddDate(0, 0, -1)
				} else if at.Sub(t) > 12*time.Hour {
					t = t.AddDate(0, 0, 1)
				}
				return m.press(day.Press{Kind: day.HandoverGiven, Time: t.Format(time.RFC3339)})
			})
			return nil
		}},
		choice{"does a start one hour later still work", "the answer goes on record", func() tea.Cmd {
			words := m.v.Later.Words
			cmd := m.press(day.Press{Kind: day.DecisionMade, What: day.LaterStarts, Seconds: m.v.Later.By.Seconds()})
			m.say(look.GlyphDot, look.Text, words)
			return cmd
		}},
	)
	return nil
}

func (m *Model) readings(title string) tea.Cmd {
	cs := []choice{
		{"slab", "", func() tea.Cmd { return m.read(day.ReadSlab, "") }},
		{"air", "", func() tea.Cmd { return m.read(day.ReadAir, "") }},
		{"humidity", "", func() tea.Cmd { return m.read(day.ReadHumidity, "") }},
		{"kit", "", func() tea.Cmd { return m.read(day.ReadKit, "") }},
	}
	if m.v.Floor != nil {
		for _, q := range m.v.Floor.Z.Spots {
			spot := m.v.Floor.Z.Name + "/" + q.Name
			cs = append(cs, choice{"slab at " + q.Name, "", func() tea.Cmd { return m.read(day.ReadSlab, spot) }})
		}
	}
	m.openList(title, cs...)
	return nil
}

// read asks for one reading; taken, it offers the next, as readings come in
// rounds.
func (m *Model) read(what, spot string) tea.Cmd {
	l := &entry.Line{Ask: what, Kind: units.Temp, Usual: m.usualNow(what, spot)}
	if spot != "" {
		l.Ask += " at " + spot
	}
	if what == day.ReadHumidity {
		l.Kind = units.Share
	}
	m.openLine(l, func(o entry.Outcome) tea.Cmd {
		cmd := m.press(day.Press{Kind: day.ReadingTaken, What: what, Spot: spot, Value: day.Value(o.Value)})
		m.readings("Taken; next reading, or Esc")
		return cmd
	})
	return nil
}
