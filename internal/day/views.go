package day

import (
	"math"
	"slices"
	"strings"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/pace"
	"floorpace/internal/sheet"
)

func (s *State) mixers(now time.Time) []MixerView {
	out := make([]MixerView, s.Plan.Crew.Mixers)
	for i := range out {
		m := &out[i]
		m.No = i + 1
		m.Ready, m.Down = s.mixerReady(m.No)
		if m.Ready.IsZero() {
			m.Ready = now
		}
		b := s.inMixer(m.No)
		if b == nil || b.Gone() || !b.Mixed.IsZero() {
			m.Step = "free"
			if now.Before(m.Ready) && b != nil {
				m.Step, m.StepEnds = "reset", m.Ready
			}
			continue
		}
		s.mixerStep(m, b, now)
	}
	return out
}

// mixerStep says which step a mixer is in: the pressed one when the crew
// presses them, else by the plan's minutes.
func (s *State) mixerStep(m *MixerView, b *Batch, now time.Time) {
	bl := s.Plan.Sheet.Blend(b.Blend)
	if bl == nil {
		return
	}
	m.Batch = b.No
	at, since := 0, b.Started
	if len(b.Steps) > 0 {
		at, since, m.Pressed = min(len(b.Steps), len(bl.Steps)), b.Steps[len(b.Steps)-1], true
	}
	ends := since
	for ; at < len(bl.Steps); at++ {
		ends = ends.Add(bl.Steps[at].Time)
		if now.Before(ends) {
			break
		}
	}
	m.StepNo = at + 1
	switch {
	case at < len(bl.Steps):
		m.Step, m.StepEnds, m.Then = bl.Steps[at].Name, ends, "pour out"
		if at+1 < len(bl.Steps) {
			m.Then = bl.Steps[at+1].Name
		}
	default:
		out := ends.Add(s.Plan.Crew.Scrape)
		m.Step, m.StepEnds, m.Then = "pour out", out, "reset"
		if !now.Before(out) {
			m.Batch, m.Step, m.StepEnds, m.Then = 0, "reset", out.Add(s.Plan.Crew.Reset), ""
			if !now.Before(m.StepEnds) {
				m.Step = "free"
			}
		}
	}
}

func (s *State) buckets(way []onTheWay, now time.Time) []BucketView {
	var out []BucketView
	for _, w := range way {
		if w.where != InBucket {
			continue
		}
		v := BucketView{Batch: w.b.No, Mixer: w.b.Mixer, Age: max(0, now.Sub(s.reactionAt(w.b))), Approx: s.approx(w.b)}
		life := s.life(w.b.Blend, "bucket", "kit")
		if v.Used, v.OK = s.bucketUsed(w.b, now); v.OK && life.ok {
			v.Left = life.end(v.Used, now).Sub(now)
			v.Dead = v.Used >= 1
		} else {
			v.OK = false
		}
		out = append(out, v)
	}
	return out
}

func (s *State) zoneViews(now time.Time) []ZoneView {
	out := make([]ZoneView, len(s.Zones))
	at := s.onWay(now)
	cureC := pace.CureTempC(s.Plan, s.Air.SlabC)
	for _, i := range s.order() {
		z := &s.Zones[i]
		v := ZoneView{Name: z.Floor.Z.Name, Began: z.Began, Closed: z.Closed, Done: z.PosL / z.Floor.Path.TotalL(), Batches: len(z.Laid)}
		v.Turnout = s.turnout(i, &at, cureC, s.Handover)
		out[i] = v
	}
	return out
}

// turnout is the time line of zone i, the first one not before the floor is
// handed over; at moves on to its end. While nobody is at work it goes as if the
// crew came back at once.
func (s *State) turnout(i int, at *time.Time, cureC float64, handover time.Time) pace.Turnout {
	z := &s.Zones[i]
	t := pace.Turnout{Zone: z.Floor.Z.Name, Start: z.Began, Ends: z.Closed}
	if z.Closed.IsZero() {
		if z.Began.IsZero() {
			t.Start = *at
			if first := handover.Add(s.Plan.Preparation); i == 0 && !s.anyBegan() && first.After(t.Start) {
				t.Start = first
			} else if i > 0 || s.anyBegan() {
				t.Start = t.Start.Add(z.Floor.Z.Move)
			}
			*at = t.Start
		}
		left := pace.Ceil((z.endL() - z.PosL + z.holeL()) / s.netL(i))
		*at = at.Add(time.Duration(left) * pace.Interval(s.limitOrPlan(i)))
		t.Ends = *at
	}
	t.Latest, t.OK = pace.LatestLast(z.Floor.Blend, s.Plan.OpeningUse, s.Plan.Opening, s.Plan.Inspection, cureC)
	if t.OK {
		t.Spare = t.Latest.Sub(t.Ends)
		t.Fits = t.Spare >= 0
		t.Ready, _ = pace.UsableAt(z.Floor.Blend, s.Plan.OpeningUse, t.Ends, []sheet.Sample{{At: t.Ends, TempC: cureC}})
	}
	return t
}

// order is the order in which the zones are still laid: the one being poured
// first, then as the plan has them.
func (s *State) order() (out []int) {
	if s.Zone >= 0 {
		out = append(out, s.Zone)
	}
	for i := range s.Zones {
		if i != s.Zone {
			out = append(out, i)
		}
	}
	return out
}

// fitting names the zones not closed that still meet the opening from an instant
// on, when those that do not are left out. The zone being poured is finished in
// any case.
func (s *State) fitting(at, handover time.Time) (names []string) {
	cureC := pace.CureTempC(s.Plan, s.Air.SlabC)
	for _, i := range s.order() {
		if !s.Zones[i].Closed.IsZero() {
			continue
		}
		ends := at
		t := s.turnout(i, &ends, cureC, handover)
		if t.OK && t.Fits {
			names = append(names, t.Zone)
		}
		if t.OK && t.Fits || !s.Zones[i].Began.IsZero() {
			at = ends
		}
	}
	return names
}

// fitWords says what is left of the day when not every zone fits.
func fitWords(names []string) string {
	if len(names) == 0 {
		return "no zone fits any more"
	}
	return "still fit: " + strings.Join(names, ", ")
}

// openings gives every use of every zone: from its last batch for a closed
// zone, from its expected last batch for the others.
func (s *State) openings(now time.Time) []OpeningView {
	by := make([][]OpeningView, len(s.Zones))
	at := s.onWay(now)
	cureC := pace.CureTempC(s.Plan, s.Air.SlabC)
	for _, i := range s.order() {
		z := &s.Zones[i]
		t := s.turnout(i, &at, cureC, s.Handover)
		last := t.Ends
		if n := len(z.Laid); n > 0 && !z.Closed.IsZero() {
			last = z.Laid[n-1].End
		}
		temps := append(s.slabSince(last), sheet.Sample{At: now, TempC: cureC})
		for _, use := range sheet.Uses {
			if _, has := z.Floor.Blend.Cure(use); !has {
				continue
			}
			o := OpeningView{Zone: z.Floor.Z.Name, Use: use, Asked: use == s.Plan.OpeningUse}
			o.At, o.OK = pace.UsableAt(z.Floor.Blend, use, last, temps)
			o.InTime = o.OK && !o.At.Add(s.Plan.Inspection).After(s.Plan.Opening)
			by[i] = append(by[i], o)
		}
	}
	return slices.Concat(by...)
}

// slabSince are the slab temperatures logged that count from an instant on.
func (s *State) slabSince(t time.Time) []sheet.Sample {
	all := s.samples("")
	from := 0
	for i, q := range all {
		if !q.At.After(t) {
			from = i
		}
	}
	return all[min(from, len(all)):]
}

// kits counts the kits of a zone, with the drift of the rake.
func (s *State) kits(zone int, way []onTheWay, now time.Time) Kits {
	z := &s.Zones[zone]
	bl := s.blend(zone)
	net := s.netL(zone)
	k := Kits{Usable: s.Plan.Usable(bl), M2PerKit: z.Floor.M2PerKit(bl)}
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Started.IsZero() {
			continue
		}
		switch {
		case b.Zone != zone:
		case !b.Poured.IsZero():
			k.Poured++
		case !b.Scrapped.IsZero():
			k.Scrapped++
		}
	}
	k.OnTheWay = len(s.live(way, now))
	k.Dead = len(way) - k.OnTheWay
	k.OnHand = s.Plan.UsableAfter(bl, s.partsUsed())
	if left, ok := s.oneLotLeft(zone, bl); ok && left < k.OnHand {
		k.OnHand, k.OneLot = left, true
	}
	n := len(z.Laid)
	from := min(z.RakeResetAt, n)
	k.Drift, k.DriftLast = 1, 1
	if marked := s.marked(z); marked > from {
		k.Drift = z.ratio(from, marked)
		k.DriftLast = z.ratio(max(from, marked-lastKits), marked)
	}
	hole := z.holeL()
	rem := z.endL() - z.PosL + hole // a stop chosen is the end
	k.Need = pace.Ceil(rem / net)
	k.NeedMean, k.NeedLast = pace.Ceil(rem/(net*k.Drift)), pace.Ceil(rem/(net*k.DriftLast))
	have := k.OnHand + k.OnTheWay
	k.Short = len(s.Plan.Lots) > 0 && max(k.NeedMean, k.NeedLast) > have
	k.ReachM2 = z.Floor.Path.AreaAt(z.PosL + max(0, float64(have)*net*k.Drift-hole))
	k.ReachLastM2 = z.Floor.Path.AreaAt(z.PosL + max(0, float64(have)*net*k.DriftLast-hole))
	k.SaveFor = saveFor(rem/net, float64(have), k.Drift)
	return k
}

// lastKits is how many of the newest kits "the last few" are.
const lastKits = 3

// marked is the number of layings that the newest mark has measured.
func (s *State) marked(z *ZoneState) int {
	if n := len(z.Marks); n > 0 {
		return min(z.Marks[n-1].Layers, len(z.Laid))
	}
	return 0
}

// saveFor is the most kits that can still go down at the present drift before
// a reset of the rake no longer saves the floor: rem − k·drift ≤ have − k with
// everything in kits at plan yield. −1 when even a reset now does not save it;
// have itself when there is nothing to save from.
func saveFor(rem, have, drift float64) int {
	spare := have - rem
	switch {
	case spare < 0:
		return -1
	case drift >= 1:
		return int(have)
	}
	return int(math.Min(have, math.Floor(spare/(1-drift)+1e-9)))
}

// depth compares the litres poured up to the newest mark with the area there.
func (s *State) depth(zone int) Depth {
	z := &s.Zones[zone]
	d := Depth{PlanM: z.Floor.Path.TotalL() / z.Floor.Path.AreaM2() / 1000}
	marked := s.marked(z)
	if marked == 0 {
		return d
	}
	poured := 0.0
	for _, l := range z.Laid[:marked] {
		poured += l.PouredL
	}
	if to := z.Laid[marked-1].ToL; z.Floor.Path.AreaAt(to) > 0 {
		area := z.Floor.Path.AreaAt(to)
		d.ActualM = poured / area / 1000
		d.PlanM = to / area / 1000 // of the same piece: a deep bay is not a thick rake
	}
	return d
}

// airView works out dew margin and trends from the readings.
func (s *State) airView(now time.Time) AirView {
	v := AirView{Temps: s.Air}
	var err error
	if v.Dew, err = air.Judge(s.Air.SlabC, s.Air.AirC, s.Air.Humidity, pace.DewRule(s.Plan), pace.Instruments(s.Plan)); err == nil {
		v.DewOK, v.DewWords = true, pace.DewWords(s.Plan, v.Dew)
	}
	last := s.Air.SlabAt
	if s.Air.AirAt.Before(last) {
		last = s.Air.AirAt
	}
	v.NextRead = last.Add(s.Plan.Rules.ReadingEvery)
	v.Due = now.After(v.NextRead)
	v.Slab, v.Margin = s.trends("")
	s.worstDew(&v)
	return v
}

// trends are those of the slab as a whole, or of one spot, and of its margin.
func (s *State) trends(spot string) (slab, margin Trend) {
	t := planned(s.Plan)
	if c, ok := t.Spots[spot]; ok {
		t.SlabC = c
	} else if spot != "" {
		t.SlabC = math.NaN()
	}
	put := func() {
		if !math.IsNaN(t.SlabC) {
			at := t.SlabAt
			if n := len(slab.Points); n == 0 || !slab.Points[n-1].At.Equal(at) {
				slab.Points = append(slab.Points, Point{at, t.SlabC})
			}
		}
		if d, err := air.DewPoint(t.AirC, t.Humidity); err == nil && !math.IsNaN(t.SlabC) {
			at := latest(t.SlabAt, t.AirAt, t.HumidityAt)
			margin.Points = append(margin.Points, Point{at, t.SlabC - d.C})
		}
	}
	put()
	for _, r := range s.Readings {
		if s.Undone[r.N] || r.What == ReadSlab && r.Spot != spot {
			continue
		}
		r.Spot = ""
		t.take(r)
		put()
	}
	slab.fit()
	margin.fit()
	return slab, margin
}

func latest(ts ...time.Time) (t time.Time) {
	for _, u := range ts {
		if u.After(t) {
			t = u
		}
	}
	return t
}

func (t *Trend) fit() {
	var q []air.Sample
	for _, p := range t.Points {
		q = append(q, air.Sample{At: p.At, Value: p.V})
	}
	if d, err := air.Trend(q); err == nil {
		t.OK, t.PerHour = true, d.PerHour
	}
}

// rows gives the finishing windows of the rows that have been begun, the
// newest first.
func (s *State) rows(zone int, now time.Time) []RowWindow {
	z := &s.Zones[zone]
	p := z.Floor.Path
	if len(z.Laid) == 0 {
		return nil
	}
	var out []RowWindow
	from := 0.0
	for row := 0; row < p.Rows() && from < z.PosL; row++ {
		end := math.Min(p.RowEnd(row), z.PosL)
		w := RowWindow{Row: row + 1, AtEdge: end == z.PosL}
		a, first, _ := z.LaidAt(from + 1e-9)
		b, last, _ := z.LaidAt(end - 1e-9) // a row may end where a batch does
		if a == nil || b == nil {
			break
		}
		w.First, w.Last = first, last
		s.window(&w, z, a, b, now)
		s.windowAtSpots(&w, zone, now)
		w.RolledAt, w.BroadcastAt = z.RolledRows[w.Row], z.BroadRows[w.Row]
		out = append(out, w)
		from = p.RowEnd(row)
	}
	slices.Reverse(out)
	return out
}

func (s *State) window(w *RowWindow, z *ZoneState, first, last *Laying, now time.Time) {
	ends := func(table string, l *Laying, at time.Time) (time.Time, bool) {
		c := s.life(s.blendOf(l, z.Floor.Blend.Name), table, "")
		to := now
		if at.After(now) {
			to = at
		}
		u, ok := c.used(at, to)
		return c.end(u, to), ok && c.ok
	}
	w.RollFirst, w.HasRoll = ends("roll", first, w.First)
	w.RollLast, _ = ends("roll", last, w.Last)
	w.RollOff = w.HasRoll && now.After(w.RollLast)
	w.BroadUntil, w.HasBroad = ends("broadcast", first, w.First)
	w.BroadFrom, _ = ends("broadcast from", last, w.Last)
	w.BroadcastOff = w.HasBroad && now.After(w.BroadUntil)
}
