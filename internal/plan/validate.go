package plan

import (
	"fmt"
	"math"
	"strings"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/sheet"
	"floorpace/internal/units"
)

// Problem is one thing that keeps a plan from being poured from.
type Problem struct {
	// Key is the place in the plan as a dotted key with list positions, such
	// as "zone.0.bay.1.depth" or "sheet.blend.0.edge_life".
	Key  string
	What string // what is wrong
	Mend string // what to write instead
}

func (p Problem) Error() string { return p.Key + ": " + p.What + "; " + p.Mend }

type problems []Problem

func (ps *problems) add(key, what, mend string, args ...any) {
	*ps = append(*ps, Problem{Key: key, What: fmt.Sprintf(what, args...), Mend: mend})
}

// Validate lists every problem of the plan, in the order of the plan. An empty
// list means that every package above can compute from it.
func Validate(p *Plan) []Problem {
	var ps problems
	checkHours(p, &ps)
	checkRules(p, &ps)
	checkCrew(p, &ps)
	checkSheet(&p.Sheet, &ps)
	checkLots(p, &ps)
	checkReadings(p, &ps)
	if len(p.Zones) == 0 {
		ps.add("zone", "the plan has no zone", "add a [[zone]] with a name, an outline and a depth")
	}
	for i := range p.Zones {
		checkZone(p, i, &ps)
	}
	checkRooms(p, &ps)
	return ps
}

func checkHours(p *Plan, ps *problems) {
	if strings.TrimSpace(p.Title) == "" {
		ps.add("title", "the plan has no title", `write title = "what is poured, and where"`)
	}
	switch {
	case p.Handover.IsZero():
		ps.add("handover", "the plan does not say when the floor is handed over", "write handover = 2026-05-04T22:00:00-07:00")
	case p.Opening.IsZero():
		ps.add("opening", "the plan does not say when the floor must open", "write opening = 2026-05-07T05:00:00-07:00")
	case !p.Opening.After(p.Handover):
		ps.add("opening", "the floor opens before it is handed over", "put the opening after the handover")
	}
	if !known(sheet.Uses, p.OpeningUse) {
		ps.add("opening_use", "%q is not a use", "write one of "+strings.Join(sheet.Uses, ", "), p.OpeningUse)
	}
	notNegative(ps, "inspection", p.Inspection)
	notNegative(ps, "preparation", p.Preparation)
}

// A shape drawn from fewer than 20 times has no twentieth, and no crew times a step
// a thousand times in a day.
const ownTimesLeast, ownTimesMost = 20, 1000

func checkRules(p *Plan, ps *problems) {
	r := &p.Rules
	notNegative(ps, "rules.edge_margin", r.EdgeMargin)
	notNegative(ps, "rules.bucket_margin", r.BucketMargin)
	notNegative(ps, "rules.turn", r.Turn)
	above(ps, "rules.reading_every", r.ReadingEvery.Minutes())
	inRange(ps, p.Units, units.Share, "rules.loss", r.Loss, 0, 0.5, `a share of what the floor takes, such as "6 %"`)
	if r.Chance > 0.9999 && r.Chance <= 1 {
		ps.add("rules.chance", "no crew and no forecast can be sure of every day: at most 99.99 %% can be asked", `write a chance such as "95 %"`)
	} else {
		inRange(ps, p.Units, units.Share, "rules.chance", r.Chance, 0.5, 0.9999, `a chance such as "95 %"`)
	}
	inRange(ps, p.Units, units.TempDiff, "rules.thermometer_error", r.TempErrorC, 0, 5, "the instrument's stated error, such as 0.5 °C")
	inRange(ps, p.Units, units.Share, "rules.hygrometer_error", r.RHError, 0, 0.2, "the instrument's stated error, such as 3 %")
	for _, v := range []struct {
		key string
		v   float64
	}{{"coldest_slab", r.ColdestSlabC}, {"cure_slab", r.CureSlabC}} {
		if !math.IsNaN(v.v) {
			inRange(ps, p.Units, units.Temp, "rules."+v.key, v.v, -20, 60, "the slab temperature expected, such as 12 °C")
		}
	}
	if r.OwnTimes != 0 && (r.OwnTimes < ownTimesLeast || r.OwnTimes > ownTimesMost) {
		ps.add("rules.own_times", "%d timings are no measure", fmt.Sprintf("write a number from %d to %d, or 0 for never", ownTimesLeast, ownTimesMost), r.OwnTimes)
	}
	if r.TallyEvery < 0 {
		ps.add("rules.tally_every", "a count cannot be negative", "write 10, or 0 for never")
	}
}

func checkCrew(p *Plan, ps *problems) {
	c := &p.Crew
	for _, n := range []struct {
		key string
		n   int
		max int
	}{{"mixers", c.Mixers, 8}, {"runners", c.Runners, 8}, {"buckets", c.Buckets, 40}} {
		if n.n < 1 || n.n > n.max {
			ps.add("crew."+n.key, "%d %s cannot pour a floor", fmt.Sprintf("write a number from 1 to %d", n.max), n.n, n.key)
		}
	}
	for _, d := range []struct {
		key string
		d   time.Duration
	}{{"scrape", c.Scrape}, {"reset", c.Reset}, {"load", c.Load}, {"headway", c.Headway}} {
		notNegative(ps, "crew."+d.key, d.d)
	}
	above(ps, "crew.pour", c.Pour.Seconds())
	above(ps, "crew.walk_full", c.WalkFull)
	above(ps, "crew.walk_empty", c.WalkEmpty)
	above(ps, "crew.rake", c.RakeM2Min)
	for _, r := range []struct {
		key string
		v   float64
	}{{"roll", c.RollM2Min}, {"broadcast", c.BroadM2Min}} {
		if r.v < 0 || math.IsNaN(r.v) {
			ps.add("crew."+r.key, "a rate cannot be negative", "write the area a minute, or 0 when the post is not used")
		}
	}
	s := &c.Spread
	for _, v := range []struct {
		key string
		v   float64
	}{
		{"mix", s.Mix},
		{"scrape", s.Scrape},
		{"reset", s.Reset},
		{"load", s.Load},
		{"walk", s.Walk},
		{"pour", s.Pour},
		{"rake", s.Rake},
		{"roll", s.Roll},
		{"broadcast", s.Broadcast},
	} {
		inRange(ps, p.Units, units.Share, "crew.spread."+v.key, v.v, 0, 1, "a share such as 15 %")
	}
}

func checkLots(p *Plan, ps *problems) {
	seen := map[string]int{}
	for i, l := range p.Lots {
		key := fmt.Sprintf("kits.%d", i)
		first, again := seen[l.Name]
		switch {
		case strings.TrimSpace(l.Name) == "":
			ps.add(key+".lot", "a lot needs a name of its own", `write lot = "B-2214"`)
		case again:
			ps.add(key+".lot", "a lot needs a name of its own: the %s [[kits]] is %q too", "put both into one [[kits]], or write the other lot's name", nth(first+1), l.Name)
		default:
			seen[l.Name] = i
		}
		if l.Blend != "" && p.Sheet.Blend(l.Blend) == nil {
			ps.add(key+".blend", "the sheet has no blend %q", "write a blend of the sheet, or leave it out", l.Blend)
		}
		for part, n := range l.Parts {
			if n < 0 {
				ps.add(key+".parts."+part, "a count cannot be negative", "write how many are on hand")
			}
			if !partKnown(&p.Sheet, part) {
				ps.add(key+".parts."+part, "no blend of the sheet has a part %q", "write a part of the sheet: "+strings.Join(partNames(&p.Sheet), ", "), part)
			}
		}
	}
}

func partNames(s *sheet.Sheet) (names []string) {
	for _, b := range s.Blends {
		for _, q := range b.Parts {
			if !known(names, q.Name) {
				names = append(names, q.Name)
			}
		}
	}
	return names
}

func partKnown(s *sheet.Sheet, part string) bool { return known(partNames(s), part) }

func checkReadings(p *Plan, ps *problems) {
	r := &p.Readings
	for _, v := range []struct {
		key    string
		kind   units.Kind
		v      float64
		lo, hi float64
		such   string
	}{
		{"slab", units.Temp, r.SlabC, -20, 60, "the slab's own temperature, such as 16 °C"},
		{"air", units.Temp, r.AirC, -20, 60, "the air temperature, such as 18 °C"},
		{"humidity", units.Share, r.Humidity, 0, 1, "the relative humidity, such as 55 %"},
		{"kit", units.Temp, r.KitC, -20, 60, "the temperature of the kits, such as 20 °C"},
		{"cooler_kit", units.Temp, r.CoolerKitC, -20, 60, "the temperature of kits kept cooler"},
		{"warm_slab", units.Temp, r.WarmSlabC, -20, 60, "the slab temperature that heating reaches, such as 18 °C"},
		{"slab_rh", units.Share, r.SlabRH, 0, 1, "the humidity inside the slab, such as 75 %"},
	} {
		if !math.IsNaN(v.v) {
			inRange(ps, p.Units, v.kind, "readings."+v.key, v.v, v.lo, v.hi, v.such)
		}
	}
	notNegative(ps, "readings.warm_up", r.WarmUp)
	if math.IsNaN(r.WarmSlabC) != (r.WarmUp == 0) {
		ps.add("readings.warm_slab", "heating is known by half", "write both warm_slab, the temperature that the slab reaches, and warm_up, how long that takes, or neither")
	}
	if r.MVER < 0 || r.MVER > 100 {
		ps.add("readings.mver", "%.4g lies outside 0 to 100", "write pounds per 1000 ft² in 24 h", r.MVER)
	}
	if r.MoistureTests < 0 {
		ps.add("readings.moisture_tests", "a count cannot be negative", "write how many tests were taken")
	}
	if r.CSP < 0 || r.CSP > 10 {
		ps.add("readings.profile", "a surface profile runs from 1 to 10", "write profile = 4")
	}
	for i, s := range r.Spots {
		inRange(ps, p.Units, units.Temp, fmt.Sprintf("readings.spot.%d.slab", i), s.SlabC, -20, 60, "the slab's own temperature there, such as 11 °C")
		z := p.Zone(s.Zone)
		if z < 0 {
			ps.add(fmt.Sprintf("readings.spot.%d.zone", i), "there is no zone %q", "write the name of a zone", s.Zone)
			continue
		}
		found := false
		for _, q := range p.Zones[z].Spots {
			found = found || q.Name == s.Spot
		}
		if !found {
			ps.add(fmt.Sprintf("readings.spot.%d.spot", i), "zone %q has no spot %q", "add a [[zone.spot]] with that name", s.Zone, s.Spot)
		}
	}
}

func checkZone(p *Plan, i int, ps *problems) {
	z, key := &p.Zones[i], fmt.Sprintf("zone.%d", i)
	if strings.TrimSpace(z.Name) == "" {
		ps.add(key+".name", "a zone needs a name of its own", `write name = "A"`)
	} else if k := p.Zone(z.Name); k != i {
		ps.add(key+".name", "a zone needs a name of its own: the %s [[zone]] is %q too", "give one of the two another name", nth(k+1), p.Zones[k].Name)
	}
	checkSize(z, key, p.Units, ps)
	for _, q := range z.Zone.ProblemsIn(p.Units) {
		if !q.Minor {
			ps.add(shapeKey(key, q), "%s", q.Hint, q.What)
		}
	}
	if z.Blend != "" && p.Sheet.Blend(z.Blend) == nil {
		ps.add(key+".blend", "the sheet has no blend %q", "write a blend of the sheet", z.Blend)
	}
	above(ps, key+".row_depth", z.RowDepthM)
	notNegative(ps, key+".move", z.Move)
	if z.CellM < 0 {
		ps.add(key+".cell", "a cell cannot be negative", "leave it out")
	}
	for j, d := range z.Doors {
		if !d.OpenFrom.IsZero() && !d.OpenUntil.IsZero() && !d.OpenUntil.After(d.OpenFrom) {
			ps.add(fmt.Sprintf("%s.door.%d.open_until", key, j), "the door shuts before it opens", "put open_until after open_from")
		}
	}
	for j, h := range z.Hours {
		if !h.From.IsZero() && !h.Until.IsZero() && !h.Until.After(h.From) {
			ps.add(fmt.Sprintf("%s.spot.%d.until", key, j), "the hours of the spot end before they begin", "put until after from")
		}
	}
}

// shapeKey is the dotted key of the part of a zone that q speaks of, such as
// "zone.0.stop_line.1".
func shapeKey(zone string, q floor.Problem) string {
	key := zone + "." + strings.ReplaceAll(q.Where, " ", "_")
	if q.Index >= 0 {
		key += fmt.Sprintf(".%d", q.Index)
	}
	return key
}

// Notes lists what can be poured from but wants a look, such as a door that
// stands off the wall.
func Notes(p *Plan) []Problem {
	var ps problems
	for i := range p.Zones {
		for _, q := range p.Zones[i].Zone.ProblemsIn(p.Units) {
			if q.Minor {
				ps.add(shapeKey(fmt.Sprintf("zone.%d", i), q), "%s", q.Hint, q.What)
			}
		}
	}
	return ps
}

func checkRooms(p *Plan, ps *problems) {
	if len(p.Rooms) == 0 {
		return
	}
	names := map[string]bool{}
	for i, r := range p.Rooms {
		if r.Name == "" || r.Name == floor.Outside || names[r.Name] {
			ps.add(fmt.Sprintf("room.%d.name", i), "a room needs a name of its own", `write name = "cold store"`)
		}
		names[r.Name] = true
	}
	for i, r := range p.Rooms {
		for _, d := range r.Doors {
			if !names[d] {
				ps.add(fmt.Sprintf("room.%d.doors", i), "there is no room %q", "write the name of a room, or exit = true for a way out", d)
			}
		}
	}
	if p.StationRoom != floor.Outside && !names[p.StationRoom] {
		ps.add("station_room", "there is no room %q", "write the name of a room, or "+floor.Outside, p.StationRoom)
	}
	for i := range p.Zones {
		if r := p.Zones[i].Room; r != "" && !names[r] {
			ps.add(fmt.Sprintf("zone.%d.room", i), "there is no room %q", "write the name of a room, or add a [[room]]", r)
		}
	}
}

func above(ps *problems, key string, v float64) {
	if !(v > 0) || math.IsInf(v, 0) {
		ps.add(key, "it must be above zero", "write the figure as measured or planned")
	}
}

func notNegative(ps *problems, key string, d time.Duration) {
	if d < 0 {
		ps.add(key, "a time cannot be negative", `write a time such as "2:00"`)
	}
}

// inRange wants v, of kind k, from lo to hi; the message is in the plan's units.
func inRange(ps *problems, sys units.System, k units.Kind, key string, v, lo, hi float64, such string) {
	if !(v >= lo && v <= hi) {
		ps.add(key, "%s lies outside %s to %s", "write "+such, units.Format(k, v, sys), units.Format(k, lo, sys), units.Format(k, hi, sys))
	}
}

func known(list []string, s string) bool {
	for _, v := range list {
		if strings.EqualFold(v, s) {
			return true
		}
	}
	return false
}
