package pace

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/floor"
	"floorpace/internal/plan"
	"floorpace/internal/sheet"
)

// Door is a door as seen from one of the zones that it joins.
type Door struct {
	Key, Name           string // Key is "zone/door", by the zone that lists it
	To                  string // a zone, or elsewhere
	OpenFrom, OpenUntil time.Time
}

// DoorsOf lists the doors of zone i, its own and those of others that lead to it.
func DoorsOf(p *plan.Plan, i int) (out []Door) {
	me := p.Zones[i].Name
	for j := range p.Zones {
		z := &p.Zones[j]
		for _, d := range z.Doors {
			q := Door{z.Name + "/" + d.Name, d.Name, d.To, d.OpenFrom, d.OpenUntil}
			switch {
			case j == i:
				out = append(out, q)
			case d.To == me:
				q.To = z.Name
				out = append(out, q)
			}
		}
	}
	return out
}

// Ways judges the ways out of zones over time, by the hours of their doors and
// the zones that these lead over.
type Ways struct {
	Plan *plan.Plan
	// ShutAt is since when a door is shut for good, by its key; zero: it is not.
	ShutAt func(key string) time.Time
	// Wet tells whether a zone cannot be crossed at an instant, and until when;
	// known is false where the sheet does not say.
	Wet func(zone int, at time.Time) (until time.Time, wet, known bool)
}

// stretch is a time in which no door of a zone changes; why says what shuts each
// of them, "" while one is a way.
type stretch struct {
	from, to time.Time
	why      string
}

func (w *Ways) stretches(i int, from, to time.Time) (out []stretch) {
	doors := DoorsOf(w.Plan, i)
	for _, end := range append(w.changes(from, to), to) {
		q := stretch{from: from, to: end}
		var shut []string
		for _, d := range doors {
			why := w.Shut(d, from, end, to, i)
			if why == "" {
				shut = nil
				break
			}
			shut = append(shut, d.Name+" "+why)
		}
		q.why = strings.Join(shut, "; ")
		out, from = append(out, q), end
	}
	return out
}

// changes are the instants between two others at which a door opens or shuts by
// its hours, or a wet zone may be crossed again, in order.
func (w *Ways) changes(from, to time.Time) (out []time.Time) {
	add := func(at time.Time) {
		if at.After(from) && at.Before(to) {
			out = append(out, at)
		}
	}
	for i := range w.Plan.Zones {
		for _, d := range w.Plan.Zones[i].Doors {
			add(d.OpenFrom)
			add(d.OpenUntil)
		}
		if until, wet, known := w.Wet(i, from); wet && known {
			add(until)
		}
	}
	slices.SortFunc(out, time.Time.Compare)
	return slices.CompactFunc(out, time.Time.Equal)
}

// Gap is when zone i first has no way out between two instants, and what shuts
// each of its doors then; why is "" when it always has one. Several doors may be
// the way one after the other. A zone without doors has no gap.
func (w *Ways) Gap(i int, from, to time.Time) (at time.Time, why string) {
	for _, q := range w.stretches(i, from, to) {
		if q.why != "" {
			return q.from, q.why
		}
	}
	return time.Time{}, ""
}

// LastShut is when the last way out of zone i shuts by the hours of its doors,
// from an instant on or, when none is left, before it; zero where one stays.
func (w *Ways) LastShut(i int, from time.Time) (at time.Time) {
	open := false
	for _, q := range w.stretches(i, from, from.AddDate(1, 0, 0)) { // no plan is longer
		if open && q.why != "" {
			return q.from
		}
		open = open || q.why == ""
	}
	if open {
		return time.Time{}
	}
	for _, d := range DoorsOf(w.Plan, i) {
		if w.ShutAt(d.Key).IsZero() && d.OpenUntil.After(at) && !d.OpenUntil.After(from) {
			at = d.OpenUntil
		}
	}
	return at
}

// Shut says why a door of zone i is no way all the time between two instants, ""
// when it is one. last is the last batch.
func (w *Ways) Shut(d Door, from, to, last time.Time, i int) string {
	return w.shut(d, from, to, last, map[int]bool{i: true})
}

func (w *Ways) shut(d Door, from, to, last time.Time, seen map[int]bool) string {
	switch at := w.ShutAt(d.Key); {
	case !at.IsZero():
		return "shut since " + at.Format("15:04")
	case d.OpenFrom.After(from):
		return "opens only at " + d.OpenFrom.Format("15:04")
	case !d.OpenUntil.IsZero() && d.OpenUntil.Before(to):
		return fmt.Sprintf("shuts at %s, last batch %s", d.OpenUntil.Format("15:04"), last.Format("15:04"))
	}
	j := w.Plan.Zone(d.To)
	if d.To == "" || d.To == floor.Outside || j < 0 {
		return ""
	}
	if until, wet, known := w.Wet(j, from); wet {
		if !known {
			return fmt.Sprintf("leads over %s, wet", d.To)
		}
		return fmt.Sprintf("leads over %s, wet until %s", d.To, until.Format("15:04"))
	}
	if seen[j] {
		return "leads back"
	}
	seen[j] = true
	for _, next := range DoorsOf(w.Plan, j) {
		if w.shut(next, from, to, last, seen) == "" {
			return ""
		}
	}
	return fmt.Sprintf("leads to %s, which has no way out", d.To)
}

// exitGates ask whether each zone that has doors has a way out while it is poured
// in the order of the plan; line is the time line of the zones.
func exitGates(p *plan.Plan, floors []*Zone, line []Turnout, cureC float64) (out []Gate) {
	w := Ways{
		Plan:   p,
		ShutAt: func(string) time.Time { return time.Time{} },
		Wet: func(j int, at time.Time) (until time.Time, wet, known bool) {
			if !line[j].Start.Before(at) {
				return time.Time{}, false, true
			}
			until, known = UsableAt(floors[j].Blend, sheet.UseFoot, line[j].Ends, []sheet.Sample{{At: line[j].Ends, TempC: cureC}})
			return until, !known || at.Before(until), known
		},
	}
	for i := range line {
		if len(DoorsOf(p, i)) == 0 || !line[i].Ends.After(line[i].Start) {
			continue
		}
		g := Gate{"way out, " + line[i].Zone, air.Go, "a door is open from the first batch to the last"}
		if at, why := w.Gap(i, line[i].Start, line[i].Ends); why != "" {
			g.Call, g.Why = air.Stop, fmt.Sprintf("none from %s: %s", at.Format("Mon 15:04"), why)
		}
		out = append(out, g)
	}
	return out
}
