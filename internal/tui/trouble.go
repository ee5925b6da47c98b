package tui

import (
	"fmt"
	"slices"
	"strings"

	"floorpace/internal/clean"
	"floorpace/internal/day"
	"floorpace/internal/pace"
	"floorpace/internal/tui/entry"
	"floorpace/internal/units"

	tea "github.com/charmbracelet/bubbletea"
)

// stopMixing stops at once; why is asked afterwards and may be left open.
func (m *Model) stopMixing() tea.Cmd {
	p := day.Press{Kind: day.MixingStopped}
	var cmd tea.Cmd
	if h := m.v.Hold; h == nil || !h.Stop {
		cmd = m.press(p)
	}
	m.reasonsAfter("MIXING IS STOPPED: why", []string{"SOMEONE HURT", "LEAK", "STRANGER ON THE FLOOR", "FIRE OR ALARM", "MACHINE UNSAFE"}, p)
	return cmd
}

// posts lists the posts of the line: one digit takes one out, or back in. Runners
// are as good as each other and stand once, so that the list fits on one page;
// one that comes back stands last, so that no other digit moves.
func (m *Model) posts() tea.Cmd {
	var cs []choice
	add := func(name, note string, k day.Kind, q day.PostView) {
		cs = append(cs, choice{name, note, func() tea.Cmd { return m.press(day.Press{Kind: k, Post: q.Post, Which: q.Which}) }})
	}
	var in, out []day.PostView // runners
	for _, q := range m.v.Posts {
		switch {
		case q.Post == day.PostRunner && q.Down.IsZero():
			in = append(in, q)
		case q.Post == day.PostRunner:
			out = append(out, q)
		}
	}
	for _, q := range m.v.Posts {
		switch {
		case q.Post == day.PostRunner && q.Which > 1:
		case q.Post == day.PostRunner && len(in) > 0:
			add("a runner", fmt.Sprintf("out of service, %d at work", len(in)), day.PostLost, in[0])
		case q.Post == day.PostRunner:
			cs = append(cs, choice{"a runner", "none is at work", func() tea.Cmd { return m.warn("no runner is at work") }})
		case q.Down.IsZero():
			add(postName(q), "out of service", day.PostLost, q)
		default:
			add(postName(q), "back in; out since "+hm(q.Down), day.PostReturned, q)
		}
	}
	if len(out) > 0 {
		add("a runner is back", fmt.Sprintf("%d out", len(out)), day.PostReturned, out[0])
	}
	m.openList("Post out, or back in", cs...)
	return nil
}

func postName(q day.PostView) string {
	switch q.Post {
	case day.PostMixer, day.PostRunner:
		return fmt.Sprintf("%s %d", q.Post, q.Which)
	case day.PostRoll:
		return "spike roller"
	}
	return q.Post
}

// decide lists what can be decided about the wet edge: go on, cut back, or
// where to stop, best first. Who decided is asked last.
func (m *Model) decide() tea.Cmd {
	v := m.v
	if !m.mayDecide() {
		return m.warn("nothing is down yet")
	}
	d := &v.Danger
	length := func(x float64) string { return units.FormatFixed(units.Length, x, v.Plan.Units, 1) }
	goOn := fmt.Sprintf("%s gone, %s at risk", length(d.GoneM), length(d.RiskM))
	if d.GoOn.OutM > 0 {
		goOn += fmt.Sprintf(", %s out of reach", length(d.GoOn.OutM))
	}
	if d.GoOn.Every > 0 {
		goOn += ", rest needs one every " + units.Clock(d.GoOn.Every)
	}
	cut := d.Cut.Words(v.Plan.Units)
	zone := v.Floor.Z.Name
	cs := []choice{
		{"go on from here", goOn, func() tea.Cmd { return m.who(day.Press{Kind: day.DecisionMade, What: day.GoOnFromHere}) }},
		{"cut back to " + d.Cut.Name, cut, func() tea.Cmd {
			return m.who(day.Press{Kind: day.CutBack, Zone: zone, Text: d.Cut.Name, Value: day.Value(d.Cut.VolL)})
		}},
	}
	if len(v.Laid) == 0 {
		cs = nil // nothing to go on from or to cut
	}
	for _, q := range v.StopPlan.Best {
		if q.Back {
			continue // the cut above
		}
		note := pace.KitsOf(q.Batches)
		if q.Need > 0 {
			note += ", " + units.Clock(q.Need)
		}
		switch {
		case q.LastBatch > 0:
			note += fmt.Sprintf(", last batch %d by %s", q.LastBatch, q.LastStart.Format("15:04:05"))
		case q.Over > 0:
			note += fmt.Sprintf(", mix nothing more: %d too many on the way", q.Over)
		case q.Crew:
			note += ", mix nothing more"
		}
		if why := q.Missing(); why != "" {
			note += ": " + why
		}
		cs = append(cs, choice{"stop at " + q.Name, note, func() tea.Cmd {
			return m.who(day.Press{Kind: day.StopChosen, Zone: zone, Text: q.Name, Value: day.Value(q.VolL)})
		}})
	}
	for i := range v.Fences {
		if f := &v.Fences[i]; f.Counted() {
			cs = append(cs, choice{"the count is explained: lift the fence", f.What, func() tea.Cmd {
				return m.who(day.Press{Kind: day.DecisionMade, What: day.CountSettled, Text: "the count is explained: " + f.What})
			}})
			break
		}
	}
	m.openList("Decide", cs...)
	return nil
}

// mayDecide tells whether something lies on the floor, or the stop plan asks.
func (m *Model) mayDecide() bool {
	return m.v.Zone >= 0 && (len(m.v.Laid) > 0 || m.v.StopPlan.Raised)
}

// who asks who decided, and presses.
func (m *Model) who(p day.Press) tea.Cmd {
	var cs []choice
	for _, role := range []string{"foreman", "supervisor", "quality", "client"} {
		cs = append(cs, choice{role, "", func() tea.Cmd {
			p.Who, p.Role = role, role
			return m.press(p)
		}})
	}
	cs = append(cs, choice{"write a name", "", func() tea.Cmd {
		m.openLine(&entry.Line{Ask: "who decides", Sort: entry.Words}, func(o entry.Outcome) tea.Cmd {
			p.Who = o.Text
			return m.press(p)
		})
		return nil
	}})
	m.openList("Who decides", cs...)
	return nil
}

// lotNow says which lots the next batch takes and in which panel it goes down.
func (m *Model) lotNow() string {
	var lots, panels []string
	for _, u := range m.v.Lots.InUse {
		if u.Lot != "" && !slices.Contains(lots, u.Lot) {
			lots = append(lots, u.Lot)
		}
	}
	for _, p := range m.v.Lots.Panels {
		if p.Next {
			panels = append(panels, p.Name)
		}
	}
	s := ""
	if len(lots) > 0 {
		s = "; now " + strings.Join(lots, ", ")
	}
	if len(panels) > 0 {
		s += " into panel " + strings.Join(panels, " and ")
	}
	return s
}

// lots lists the lots that have something left: a digit opens one for every
// part it has.
func (m *Model) lots() tea.Cmd {
	var names []string
	left := map[string][]string{}
	for _, l := range m.v.Lots.Left {
		if l.Kits <= 0 {
			continue
		}
		if !slices.Contains(names, l.Lot) {
			names = append(names, l.Lot)
		}
		left[l.Lot] = append(left[l.Lot], fmt.Sprintf("%s %d", l.Part, l.Kits))
	}
	if len(names) == 0 {
		return m.warn("the plan names no lot that has something left")
	}
	var cs []choice
	for _, name := range names {
		cs = append(cs, choice{"lot " + name, strings.Join(left[name], ", "), func() tea.Cmd {
			return m.press(day.Press{Kind: day.LotOpened, Text: name})
		}})
	}
	m.openList("Lot opened, from the next batch on"+m.lotNow(), cs...)
	return nil
}

// whyBad are the usual faults of a batch that is down already, those that need
// it out again first. Common practice, no source.
var whyBad = []string{
	"A PART IS MISSING", "PARTS IN THE WRONG RATIO", "STREAKS, NOT MIXED THROUGH", "FILLER SHORT OR WRONG",
	"COLOUR IS WRONG", "WATER IN IT", "LUMPS", "TOO OLD, STIFF",
}

// mostBad is how many batches on the floor are offered to be condemned: what
// still lifts is among the newest.
const mostBad = 9

// wrong lists what can be wrong besides a post: a batch on the floor, a door, a
// rule to be overridden.
func (m *Model) wrong() tea.Cmd {
	var cs []choice
	v := m.v
	told := map[int]bool{} // a batch can lie in two pieces
	for _, b := range v.Bad {
		if b.Lifted.IsZero() && !told[b.Batch] {
			told[b.Batch] = true
			cs = append(cs, choice{fmt.Sprintf("batch %d is lifted", b.Batch), units.Format(units.Area, b.AreaM2, v.Plan.Units), func() tea.Cmd {
				return m.press(day.Press{Kind: day.BatchLifted, Batch: b.Batch})
			}})
		}
	}
	if len(m.down()) > 0 {
		cs = append(cs, choice{"a batch on the floor is bad", "", m.condemn})
	}
	for _, e := range v.Exits {
		for _, d := range e.Doors {
			p, label := day.Press{Kind: day.DoorShut, What: day.DoorName(e.Zone, d.Name)}, "door shut: "+d.Name
			if !slices.Contains(v.DoorNames, p.What) {
				continue // the door of another zone: listed there
			}
			if !d.ShutAt.IsZero() {
				p.Kind, label = day.DoorOpened, "door open again: "+d.Name
			}
			cs = append(cs, choice{label, "zone " + e.Zone, func() tea.Cmd { return m.press(p) }})
		}
	}
	for _, d := range v.RoomDoors {
		p, label := day.Press{Kind: day.DoorShut, What: d.Name}, "door shut: "+d.Words()
		if !d.ShutAt.IsZero() {
			p.Kind, label = day.DoorOpened, "door open again: "+d.Words()
		}
		cs = append(cs, choice{label, "between rooms", func() tea.Cmd { return m.press(p) }})
	}
	if v.Floor != nil && v.Floor.Z.OneLot {
		cs = append(cs, choice{"override: lots mix in zone " + v.Floor.Z.Name, "with name, role and reason", func() tea.Cmd { return m.mixLots("") }})
	}
	for _, p := range v.Lots.Panels {
		if p.Next && len(p.Lots) > 0 && v.Floor != nil && !v.Floor.Z.OneLot {
			cs = append(cs, choice{"override: lots mix in panel " + p.Name, "with name, role and reason", func() tea.Cmd { return m.mixLots(p.Name) }})
		}
	}
	if len(cs) == 0 {
		return m.warn("nothing is down, and the plan names no door")
	}
	m.openList("What is wrong", cs...)
	return nil
}

// condemn lists the batches on the floor, the newest first. The batch is
// condemned at once, why comes after.
func (m *Model) condemn() tea.Cmd {
	var cs []choice
	for _, b := range m.down() {
		p := day.Press{Kind: day.BatchCondemned, Batch: b.No}
		note := "down " + b.Poured.Format("15:04:05")
		if b.Zone >= 0 && b.Zone != m.v.Zone {
			note += ", zone " + m.v.Plan.Zones[b.Zone].Name
		}
		cs = append(cs, choice{fmt.Sprintf("batch %d", b.No), note, func() tea.Cmd {
			cmd := m.press(p)
			m.reasonsAfter(fmt.Sprintf("Batch %d is bad: why, or Esc", b.No), whyBad, p)
			return cmd
		}})
	}
	if len(cs) == 0 {
		return m.warn("nothing is down that is not condemned already")
	}
	m.openList("Bad batch, newest first", cs...)
	return nil
}

// down lists the newest batches on the floor that are not condemned, of
// whatever zone.
func (m *Model) down() (out []day.Batch) {
	bs := m.v.Batches
	newest := make([]day.Batch, 0, len(bs))
	for _, b := range bs {
		if !b.Poured.IsZero() && b.Bad == "" {
			newest = append(newest, b)
		}
	}
	slices.SortStableFunc(newest, func(a, b day.Batch) int { return b.Poured.Compare(a.Poured) })
	return newest[:min(len(newest), mostBad)]
}

// mixLots asks for name, role and reason of an override in the zone or in one
// of its panels.
func (m *Model) mixLots(panel string) tea.Cmd {
	return m.override(day.Press{Kind: day.OverrideGiven, What: day.LotsMixed, Zone: m.v.Floor.Z.Name, Bay: panel})
}

// againstSheet lists what the sheet stops; going on against one of them is on
// record with a name, a role and a reason.
func (m *Model) againstSheet() tea.Cmd {
	cs := []choice{{"hold with a reason", "", func() tea.Cmd {
		return m.reasons("Hold: why", []string{"WEATHER", "WAY BLOCKED", "KITS NOT READY", "BREAK"}, day.Press{Kind: day.HoldBegan})
	}}}
	for _, g := range m.v.Forbidden {
		cs = append(cs, choice{"go on against " + g.Name + ": name, role, reason", g.Why, func() tea.Cmd {
			return m.override(day.Press{Kind: day.OverrideGiven, What: g.Name})
		}})
	}
	m.openList("The sheet says stop", cs...)
	return nil
}

// override asks for name, role and reason.
func (m *Model) override(p day.Press) tea.Cmd {
	ask := func(what string, then func(string) tea.Cmd) tea.Cmd {
		m.openLine(&entry.Line{Ask: what, Sort: entry.Words}, func(o entry.Outcome) tea.Cmd { return then(clean.String(o.Text)) })
		return nil
	}
	return ask("override: name", func(s string) tea.Cmd {
		p.Who = s
		return ask("role", func(s string) tea.Cmd {
			p.Role = s
			return ask("reason", func(s string) tea.Cmd {
				p.Why = s
				return m.press(p)
			})
		})
	})
}
