package day

import (
	"math"
	"sort"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/pace"
)

// Finishing is what the spike roller and the broadcaster have before them.
type Finishing struct {
	RollOut, BroadOut time.Time   // the post is out since; zero = at work. Windows run on
	Roll, Broad       []FinishRow // by minutes left, what is off last
	BareM             float64     // bare strip to keep at the wet edge, m: broadcast must not reach it
	// Ahead is how far ahead of the front edge and detail work may go down now:
	// what is laid further on is past joining when the front comes. OK is false
	// when nothing moves the front. AheadAt are the spots within that reach whose
	// own edge life allows less.
	AheadOK bool
	AheadM  float64 // m along the pull
	AheadL  float64 // litres of path
	AheadAt []AheadSpot
}

// AheadSpot is how far ahead of the front detail work may go down at a spot.
type AheadSpot struct {
	Spot int     // index in the zone's spots
	M    float64 // m along the pull; 0 = not before the front comes
	L    float64 // litres of path
	OK   bool    // the sheet has an edge life at its temperature
}

// FinishRow is one row to be rolled or broadcast.
type FinishRow struct {
	Zone   string
	Row    int
	From   time.Time     // no sooner
	Until  time.Time     // its first point shuts
	Ends   time.Time     // its last point shuts
	Left   time.Duration // until then; below 0 when it began to shut
	Off    bool          // shut whole: leave it alone
	AtEdge bool          // it bears the wet edge: keep the bare strip
}

// bareM is the strip left without broadcast at a wet edge, so that the next row
// wets into it. Common practice, no source: a hand and a half.
const bareM = 0.15

// mostFinish is how many rows that have shut stay listed as off.
const mostFinish = 2

// finishing lists what is to be rolled and broadcast by minutes left: the rows
// of the zone looked at, and of the others those whose windows are still open.
// zone is -1 when every zone is closed.
func (s *State) finishing(v *Snapshot, zone int) Finishing {
	f := Finishing{BareM: bareM, RollOut: s.Posts.RollDown, BroadOut: s.Posts.BroadDown}
	for i := range s.Zones {
		switch {
		case i == zone:
			f.add(s, i, v.Now, v.Rows, true)
		case len(s.Zones[i].Laid) > 0:
			f.add(s, i, v.Now, s.rows(i, v.Now), false)
		}
	}
	f.Roll, f.Broad = byLeft(f.Roll), byLeft(f.Broad)
	if zone >= 0 {
		s.ahead(&f, v, zone)
	}
	return f
}

// add lists the rows of a zone that wait; shut ones too where asked.
func (f *Finishing) add(s *State, zone int, now time.Time, rows []RowWindow, shut bool) {
	c := &s.Plan.Crew
	name, open := s.Zones[zone].Floor.Z.Name, s.Zones[zone].Closed.IsZero()
	for i := range rows {
		r := &rows[i]
		q := FinishRow{Zone: name, Row: r.Row, AtEdge: r.AtEdge && open}
		if c.RollM2Min > 0 && r.HasRoll && r.RolledAt.IsZero() && (shut || !r.RollOff) {
			q.From, q.Until, q.Ends, q.Left, q.Off = r.First, r.RollFirst, r.RollLast, r.RollFirst.Sub(now), r.RollOff
			f.Roll = append(f.Roll, q)
		}
		if c.BroadM2Min > 0 && r.HasBroad && r.BroadcastAt.IsZero() && (shut || !r.BroadcastOff) {
			q.From, q.Until, q.Ends, q.Left, q.Off = r.BroadFrom, r.BroadUntil, r.BroadUntil, r.BroadUntil.Sub(now), r.BroadcastOff
			f.Broad = append(f.Broad, q)
		}
	}
}

// decideRow refuses a row that is not down, or was done already.
func (s *State) decideRow(p Press) ([]Event, error) {
	i := s.mustZone(p.Zone)
	if i < 0 {
		return nil, refuse("no zone is being poured: say which zone the row is in")
	}
	z := &s.Zones[i]
	p.Zone = z.Floor.Z.Name
	done, word := z.RolledRows, "rolled"
	if p.Kind == RowBroadcast {
		done, word = z.BroadRows, "broadcast"
	}
	pt := z.Floor.Path
	switch {
	case p.Row < 1 || p.Row > pt.Rows():
		return nil, refuse("zone %s has no row %d", p.Zone, p.Row)
	case p.Row > 1 && pt.RowEnd(p.Row-2) >= z.PosL-1e-9 || z.PosL <= 0:
		return nil, refuse("row %d of zone %s is not down yet", p.Row, p.Zone)
	case !done[p.Row].IsZero():
		return nil, refuse("row %d of zone %s was %s already", p.Row, p.Zone, word)
	}
	return []Event{p}, nil
}

func byLeft(rows []FinishRow) []FinishRow {
	sort.SliceStable(rows, func(i, j int) bool {
		a, b := &rows[i], &rows[j]
		if a.Off != b.Off {
			return !a.Off
		}
		if a.Off {
			return a.Row > b.Row // the newest of what is lost
		}
		return a.Left < b.Left
	})
	off := 0
	for i := range rows {
		if rows[i].Off {
			if off++; off > mostFinish {
				return rows[:i]
			}
		}
	}
	return rows
}

// ahead fills in how far the front comes, at the present pace or else the crew's
// limit, while a strip laid now may still be joined: edge life less margin, less
// the turns on the way. The slab's life counts for the floor, its own for a spot.
func (s *State) ahead(f *Finishing, v *Snapshot, zone int) {
	perMin := v.Doing
	if perMin <= 0 {
		perMin = v.Band.Limit
	}
	if perMin <= 0 || v.Hold != nil {
		return
	}
	z := &s.Zones[zone]
	rate := perMin * s.netL(zone) * z.drift() // litres a minute
	reach := func(slabC float64) (toL float64, ok bool) {
		life, ok := s.blend(zone).EdgeLife.At(slabC)
		return s.frontAfter(z, life-s.Plan.Rules.EdgeMargin, rate), ok
	}
	to, ok := reach(s.Air.SlabC)
	if !ok {
		return
	}
	p := z.Floor.Path
	f.AheadOK, f.AheadL, f.AheadM = true, to-z.PosL, p.FrontAt(to)-p.FrontAt(z.PosL)
	for k, c := range s.ground(zone).SpotC {
		if math.IsNaN(c) || !s.spotWithin(z.Floor, k, z.PosL, to) {
			continue
		}
		at, ok := reach(c)
		if !ok {
			at = z.PosL
		}
		if !ok || s.spotWithin(z.Floor, k, at, to) {
			f.AheadAt = append(f.AheadAt, AheadSpot{k, p.FrontAt(at) - p.FrontAt(z.PosL), at - z.PosL, ok})
		}
	}
}

// frontAfter is where on the path the front stands after a time at so many
// litres a minute, less the turns on the way.
func (s *State) frontAfter(z *ZoneState, free time.Duration, rate float64) float64 {
	p := z.Floor.Path
	reach := func(turns int) float64 {
		return math.Min(p.TotalL(), z.PosL+rate*math.Max(0, (free-time.Duration(turns)*s.Plan.Rules.Turn).Minutes()))
	}
	to := reach(0)
	for range 8 { // turns shorten the way and with it the turns: settles in a few rounds
		next := reach(p.RowEndsBetween(z.PosL, to))
		if math.Abs(next-to) < 1e-6 {
			break
		}
		to = next
	}
	return to
}

// placeAt is the front of a zone as a place.
func (z *ZoneState) placeAt() floor.Point { return z.Floor.Path.NextPlace(z.PosL) }

// PostView is one post of the line, and whether it is at work.
type PostView struct {
	Post  string
	Which int
	Down  time.Time // out since; zero = at work
}

// posts lists every post of the plan: mixers first, so that their digits are
// their numbers.
func (s *State) posts() (out []PostView) {
	c := &s.Plan.Crew
	for m := 1; m <= c.Mixers; m++ {
		out = append(out, PostView{PostMixer, m, s.Posts.MixersDown[m]})
	}
	out = append(out, PostView{PostPower, 1, s.Posts.PowerDown}, PostView{PostRake, 1, s.Posts.RakeDown})
	for r := 1; r <= c.Runners; r++ {
		out = append(out, PostView{PostRunner, r, s.Posts.RunnersDown[r]})
	}
	if c.RollM2Min > 0 {
		out = append(out, PostView{PostRoll, 1, s.Posts.RollDown})
	}
	if c.BroadM2Min > 0 {
		out = append(out, PostView{PostBroadcast, 1, s.Posts.BroadDown})
	}
	return out
}

// limitOrPlan is the crew's limit in a zone; with nobody at work that of the
// crew as planned, as if they came back at once.
func (s *State) limitOrPlan(zone int) float64 {
	if l := s.band(zone).Limit; l > 0 {
		return l
	}
	l, _ := s.Zones[zone].Floor.Limit(s.blend(zone), pace.HandsOf(s.Plan), s.Zones[zone].PosL)
	return l
}
