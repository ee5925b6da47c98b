package record

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"sort"
	"strings"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/units"
)

// checkZones: zones closed before their last batch, left open, not in the plan.
func (m *maker) checkZones() {
	for i := range m.state.Zones {
		z := &m.state.Zones[i]
		name := "zone " + z.Floor.Z.Name
		if z.Began.IsZero() {
			if len(z.Laid) > 0 {
				m.find("zone not begun", name, z.Laid[0].Start, "batch %d lies in it, but it was never begun", z.Laid[0].Batch)
			}
			continue
		}
		if z.Closed.IsZero() {
			m.find("zone not closed", name, z.Began, "begun at %s and not closed on the log", hms(z.Began))
		}
		for _, l := range z.Laid {
			b := m.batchOf(l.Batch)
			if b == nil {
				continue
			}
			if !z.Closed.IsZero() && b.Poured.After(z.Closed) {
				m.find("zone closed before its last batch", name, z.Closed, "closed at %s; batch %d went down at %s", hms(z.Closed), b.No, hms(b.Poured))
			}
			if b.Poured.Before(z.Began) {
				m.find("poured before the zone was begun", name, b.Poured, "begun at %s; batch %d went down at %s", hms(z.Began), b.No, hms(b.Poured))
			}
		}
	}
	for _, e := range m.standing(knownKinds...) {
		if e.Zone != "" && m.plan.Zone(e.Zone) < 0 {
			m.find("zone not in the plan", "zone "+e.Zone, e.At, "%s: the plan has no such zone", words(e, m.plan))
		}
	}
	if h := m.state.Handover; !h.IsZero() && !m.first.IsZero() && m.first.Before(h) {
		m.find("poured before the handover", "handover", m.first, "first batch at %s, floor handed over at %s", hms(m.first), h.Format("2006-01-02 15:04"))
	}
}

// checkMarks: fronts that go back, or that the batches cannot have reached.
func (m *maker) checkMarks() {
	for i := range m.state.Zones {
		z := &m.state.Zones[i]
		cut := map[float64]bool{}
		for _, b := range z.Breaks {
			cut[b] = true
		}
		for k := range z.Marks {
			q := z.Marks[k]
			if k > 0 && q.PosL < z.Marks[k-1].PosL-1e-6 && !cut[q.PosL] {
				m.find("front went back", "zone "+z.Floor.Z.Name, q.At, "marked at %s of the path, %s at the mark before",
					units.Format(units.Volume, q.PosL, m.plan.Units), units.Format(units.Volume, z.Marks[k-1].PosL, m.plan.Units))
			}
			from, base := 0, 0.0
			if k > 0 {
				from, base = z.Marks[k-1].Layers, z.Marks[k-1].PosL
			}
			poured := 0.0
			for _, l := range z.Laid[min(from, len(z.Laid)):min(q.Layers, len(z.Laid))] {
				poured += l.PouredL
			}
			if moved := q.PosL - base; !cut[q.PosL] && poured > 0 && (moved > driftMost*poured || moved < driftLeast*poured && moved >= 0) {
				m.find("front does not fit the batches", "zone "+z.Floor.Z.Name, q.At, "moved by %s of path with %s poured since the mark before",
					units.Format(units.Volume, moved, m.plan.Units), units.Format(units.Volume, poured, m.plan.Units))
			}
		}
	}
}

// A front that moved more than twice as far as the batches allow, or less than
// half as far, is a mark in the wrong place: the live console holds its own
// figures within the same bounds.
const (
	driftLeast = 0.5
	driftMost  = 2.0
)

// checkEdges: edges joined at no known age.
func (m *maker) checkEdges() {
	for _, z := range m.paper.Zones {
		if z.Edge.NoAgeM > 0 {
			m.find("edge joined with no age", "zone "+z.Name, time.Time{}, "%s of edge was joined at temperatures the sheet has no edge life for, or with none read",
				units.Format(units.Length, z.Edge.NoAgeM, m.plan.Units))
		}
	}
}

// checkRows: rows rolled or broadcast before they were down, or that are not
// there.
func (m *maker) checkRows() {
	for _, e := range m.standing(day.RowRolled, day.RowBroadcast) {
		i := m.plan.Zone(e.Zone)
		if e.Zone == "" && len(m.state.Zones) == 1 {
			i = 0
		}
		if i < 0 {
			continue
		}
		z := &m.state.Zones[i]
		p := z.Floor.Path
		if e.Row < 1 || e.Row > p.Rows() {
			m.find("row not on the floor", words(e, m.plan), e.At, "zone %s has %s", z.Floor.Z.Name, units.Count(p.Rows(), "row", "rows"))
			continue
		}
		start := 0.0
		if e.Row > 1 {
			start = p.RowEnd(e.Row - 2)
		}
		if _, at, ok := z.LaidAt(start + 1e-9); !ok || e.At.Before(at) {
			m.find("finished before it was laid", words(e, m.plan), e.At, "nothing of the row was down yet")
		}
	}
}

// readable is what an instrument on a job can show: °C, shares.
var readable = map[string][2]float64{
	day.ReadSlab: {-20, 60}, day.ReadAir: {-20, 60}, day.ReadKit: {-20, 60}, day.ReadHumidity: {0, 1}, readDew: {-40, 60},
}

// slabJump is the most a slab changes from one reading to the next, K: concrete
// follows the room slowly (common practice, no source).
const slabJump = 8

// checkReadingRange: figures no instrument shows, spots that are not there, and
// slabs that jump.
func (m *maker) checkReadingRange() {
	last := map[string]float64{"": m.plan.Readings.SlabC}
	spots := map[string]bool{"": true}
	for i := range m.plan.Zones {
		for _, q := range m.plan.Zones[i].Spots {
			spots[m.plan.Zones[i].Name+"/"+q.Name] = true
		}
	}
	for _, e := range m.standing(day.ReadingTaken) {
		r, ok := readable[e.What]
		switch {
		case !ok:
			m.find("reading of an unknown kind", "readings", e.At, "%q is not something that is read here", e.What)
			continue
		case e.Value == nil:
			m.find("reading without a figure", "readings", e.At, "%s was read without a figure", e.What)
			continue
		case (*e.Value < r[0] || *e.Value > r[1]) && !(e.What == day.ReadHumidity && *e.Value > 1): // that one is said by the dew point
			m.find("reading out of range", "readings", e.At, "%s cannot be %s", e.What, readingText(e.What, *e.Value, m.plan.Units))
		}
		if !spots[e.Spot] {
			m.find("spot not in the plan", "readings", e.At, "the plan has no spot %q", e.Spot)
		}
		if e.What == day.ReadSlab {
			if was, ok := last[e.Spot]; ok && math.Abs(*e.Value-was) > slabJump {
				m.find("slab jumps", "readings", e.At, "slab%s %s, %s at the reading before", atSpot(e.Spot),
					units.Format(units.Temp, *e.Value, m.plan.Units), units.Format(units.Temp, was, m.plan.Units))
			}
			last[e.Spot] = *e.Value
		}
	}
}

// checkReadingGaps: slab and air must be read as often as the plan says while a
// zone is poured.
func (m *maker) checkReadingGaps() {
	every := m.plan.Rules.ReadingEvery
	if every <= 0 {
		return
	}
	for _, what := range []string{day.ReadSlab, day.ReadAir, day.ReadHumidity} {
		var at []time.Time
		v := map[string]float64{day.ReadSlab: m.plan.Readings.SlabC, day.ReadAir: m.plan.Readings.AirC, day.ReadHumidity: m.plan.Readings.Humidity}[what]
		if t := m.plan.Readings.At; !math.IsNaN(v) && !t.IsZero() {
			at = append(at, t)
		} else if !math.IsNaN(v) {
			at = append(at, m.plan.Handover) // as the live console takes readings without a time
		}
		for _, e := range m.standing(day.ReadingTaken) {
			if e.What == what && e.Spot == "" {
				at = append(at, e.At)
			}
		}
		sort.Slice(at, func(i, j int) bool { return at[i].Before(at[j]) })
		for i := range m.state.Zones {
			z := &m.state.Zones[i]
			if len(z.Laid) == 0 {
				continue
			}
			from, to := z.Laid[0].Start, z.Laid[len(z.Laid)-1].End
			m.readingGap(what, z.Floor.Z.Name, at, from, to, every)
		}
	}
}

// readingGap looks for stretches of [from, to] in which the newest reading was
// older than every.
func (m *maker) readingGap(what, zone string, at []time.Time, from, to time.Time, every time.Duration) {
	last := time.Time{}
	i := 0
	for ; i < len(at) && !at[i].After(from); i++ {
		last = at[i]
	}
	if last.IsZero() {
		next := "none followed"
		if i < len(at) {
			next = "the first came at " + hms(at[i])
		}
		m.find("reading missing", "zone "+zone, from, "%s had not been read at any known time when pouring began at %s; %s", what, hms(from), next)
		last = from
	}
	for ; last.Before(to); i++ {
		next := to
		if i < len(at) && at[i].Before(to) {
			next = at[i]
		}
		// A reading a minute late is a reading in time: the call comes when it is due.
		if next.Sub(last) > every+time.Minute {
			due := last.Add(every)
			if due.Before(from) {
				due = from
			}
			m.find("reading missing", "zone "+zone, due, "%s was due at %s; the next stands at %s", what, hms(due), map[bool]string{true: hms(next), false: "no time before " + hms(to)}[i < len(at) && at[i].Before(to)])
		}
		last = next
	}
}

// checkBuckets: dead buckets on the floor.
func (m *maker) checkBuckets() {
	for _, b := range m.paper.Batches {
		if b.Fate == "poured" && b.Used.OK() && b.Used.V > 1 {
			m.find("dead bucket on the floor", batchName(b.No), b.Poured.T, "%s old when poured, its life was %s; neither condemned nor lifted", units.Clock(b.Age.Dur()), units.Clock(time.Duration(b.Age.V/b.Used.V*float64(time.Second))))
		}
	}
}

// checkGates: poured over a stop, and overrides that nobody stands for.
func (m *maker) checkGates() {
	for _, o := range m.paper.Overrides {
		if !o.Who.OK() || !o.Role.OK() || !o.Why.OK() {
			m.find("override nobody stands for", o.What.S, o.At, "an override needs a name, a role and a reason")
		}
	}
	if m.first.IsZero() {
		return
	}
	over := false
	for _, o := range m.paper.Overrides {
		over = over || !o.At.After(m.first)
	}
	for _, g := range m.gates {
		if g.Call == air.Stop && !over {
			m.find("poured over a stop", g.Name, m.first, "%s; the first batch was started all the same, without an override", g.Why)
		}
	}
}

// checkRoles: a role is held by one name at a time. A name holds it from the
// first time it is written to the last.
func (m *maker) checkRoles() {
	type held struct {
		who         string
		first, last time.Time
	}
	roles := map[string][]held{}
	for _, e := range m.events {
		if m.state.Undone[e.N] || e.Who == "" || e.Role == "" {
			continue
		}
		r := strings.ToLower(strings.TrimSpace(e.Role))
		who := strings.TrimSpace(e.Who)
		i := slices.IndexFunc(roles[r], func(h held) bool { return strings.EqualFold(h.who, who) })
		if i < 0 {
			roles[r] = append(roles[r], held{who, e.At, e.At})
			continue
		}
		h := &roles[r][i]
		h.first = earliest(h.first, e.At)
		if e.At.After(h.last) {
			h.last = e.At
		}
	}
	for _, r := range sortedKeys(roles) {
		for i, a := range roles[r] {
			for _, b := range roles[r][i+1:] {
				if !b.first.After(a.last) && !a.first.After(b.last) {
					m.find("two names in one role", r, b.first, "%s from %s to %s and %s from %s to %s", a.who, hms(a.first), hms(a.last), b.who, hms(b.first), hms(b.last))
				}
			}
		}
	}
}

var photoWord = regexp.MustCompile(`(?i)\b(photos?|pictures?|pics?|snapshots?|img_?\d+|\w+\.(jpe?g|png|heic))\b`)

// checkNotes: a photo is of a place.
func (m *maker) checkNotes() {
	for _, e := range m.state.Notes {
		if strings.TrimSpace(e.Text+e.What) == "" {
			m.find("note without words", "note", e.At, "written without a word")
		}
		photo := photoWord.MatchString(e.Text) || strings.EqualFold(e.What, "photo")
		placed := e.Spot != "" || e.Bay != "" || e.Zone != "" || e.Row > 0 || e.Batch > 0 || e.AlongM != nil || e.X != 0 || e.Y != 0
		if photo && !placed {
			m.find("photo without a place", "note", e.At, "%q does not say where", e.Text)
		}
		if (e.X != 0 || e.Y != 0) && !m.onFloor(e) {
			m.find("note off the floor", "note", e.At, "%q lies at %s, which is in no zone", e.Text, fmt.Sprintf("%.2f, %.2f m", e.X, e.Y))
		}
	}
}

func (m *maker) onFloor(e day.Event) bool {
	for _, f := range m.floors {
		if f.Z.Outline.Contains(floor.Point{X: e.X, Y: e.Y}) {
			return true
		}
	}
	return false
}
