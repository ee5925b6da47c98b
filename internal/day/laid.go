package day

import (
	"math"
	"sort"
	"time"

	"floorpace/internal/sheet"
)

// The drift of the rake is looked at within these bounds: a front that moved
// more than twice as far as the kits allow is a mark in the wrong place.
const (
	driftLeast = 0.5
	driftMost  = 2.0
)

// lay puts a poured batch on the path: from where the front stood, on by the
// batch's net yield at the rake's present drift.
func (s *State) lay(b *Batch) {
	z := &s.Zones[b.Zone]
	bl := s.Plan.Sheet.Blend(b.Blend)
	if bl == nil {
		bl = z.Floor.Blend
	}
	poured := s.Plan.NetYieldL(bl) * b.Share
	start := b.Poured
	if n := len(z.Laid); n > 0 && z.Laid[n-1].End.After(start) {
		start = z.Laid[n-1].End // the raker finishes one batch before the next
	}
	l := Laying{Batch: b.No, Start: start, Wasted: s.wasted(b, bl)}
	if poured = s.fillHoles(z, l, poured); poured == 0 {
		return
	}
	to := math.Min(z.PosL+poured*z.drift(), z.Floor.Path.TotalL())
	l.FromL, l.ToL, l.PouredL = z.PosL, to, poured
	l.End = start.Add(s.rakeTime(z, z.PosL, to-z.PosL))
	z.Laid = append(z.Laid, l)
	z.PosL = to
}

// rakeTime is how long the rake takes over volL litres of path from fromL on.
func (s *State) rakeTime(z *ZoneState, fromL, volL float64) time.Duration {
	area := z.Floor.AreaBetween(fromL, fromL+volL)
	return time.Duration(area / s.Plan.Crew.RakeM2Min * float64(time.Minute))
}

// wasted is the share of edge life that a batch lost by waiting in the bucket
// longer than the plan's own handling.
func (s *State) wasted(b *Batch, bl *sheet.Blend) float64 {
	u, ok := s.bucketUsed(b, b.Poured)
	if !ok {
		return 0
	}
	life := s.life(b.Blend, "bucket", "kit")
	if !life.ok {
		return 0
	}
	planned := s.Zones[b.Zone].Floor.Dwell(bl, s.Zones[b.Zone].PosL).Seconds() / life.now.Seconds()
	return 1 - sheet.LifeLeft(u, planned)
}

// bucketUsed is the share of bucket life that a batch has used at t.
func (s *State) bucketUsed(b *Batch, t time.Time) (float64, bool) {
	from := s.reactionAt(b)
	if t.Before(from) {
		return 0, true
	}
	return s.life(b.Blend, "bucket", "kit").used(from, t)
}

// reactionAt is when the reaction of a batch began: at the pressed step that
// starts it, else by the plan's minutes.
func (s *State) reactionAt(b *Batch) time.Time {
	bl := s.Plan.Sheet.Blend(b.Blend)
	if bl == nil {
		return b.Started
	}
	for i, st := range bl.Steps {
		if st.Starts && i > 0 && len(b.Steps) >= i {
			return b.Steps[i-1] // the press that ended the step before
		}
	}
	return b.Started.Add(bl.ReactionAfter())
}

// drift is how far the front moves for a litre, against the plan: 1 on plan,
// below 1 when the floor goes down too thick. It is the ratio of the stretch
// between the last two marks, and 1 again after the rake is reset.
func (z *ZoneState) drift() float64 {
	n := len(z.Marks)
	if n == 0 || z.Marks[n-1].Layers <= z.RakeResetAt {
		return 1
	}
	from := z.RakeResetAt         // what went down before a reset says nothing of the rake now
	for k := n - 2; k >= 0; k-- { // a cut may leave two marks at one place
		if z.Marks[k].Layers < z.Marks[n-1].Layers {
			from = max(from, z.Marks[k].Layers)
			break
		}
	}
	return z.ratio(from, z.Marks[n-1].Layers)
}

// ratio is path volume covered over litres poured for the layings [i, j).
func (z *ZoneState) ratio(i, j int) float64 {
	var moved, poured float64
	for _, l := range z.Laid[max(i, 0):j] {
		moved += l.ToL - l.FromL
		poured += l.PouredL
	}
	if poured <= 0 {
		return 1
	}
	return math.Max(driftLeast, math.Min(driftMost, moved/poured))
}

// frontMarked moves the front to where it was measured. What was laid since
// the mark before is stretched or shrunk to end there.
func frontMarked(s *State, e Event) {
	z := s.zone(e.Zone)
	if z == nil {
		return
	}
	pos, ok := s.markedPos(z, e)
	if !ok {
		return
	}
	from, base := 0, 0.0
	if n := len(z.Marks); n > 0 {
		from, base = z.Marks[n-1].Layers, z.Marks[n-1].PosL
	}
	stretch(z.Laid[from:], base, pos)
	z.PosL = pos
	z.Marks = append(z.Marks, Mark{At: e.At, PosL: pos, Layers: len(z.Laid)})
}

// markedPos turns a mark into a path volume: metres along the pull, an area
// covered, or past a bay.
func (s *State) markedPos(z *ZoneState, e Event) (float64, bool) {
	p := z.Floor.Path
	switch {
	case e.AlongM != nil:
		return p.PosAtFrontNear(*e.AlongM, z.PosL), true
	case e.AreaM2 != nil:
		return p.VolAtArea(*e.AreaM2), true
	case e.Bay != "":
		return p.PosAtBay(e.Bay)
	}
	return 0, false
}

// stretch scales the path volumes of a run of layings so that it begins at
// base and ends at pos, keeping each one's share.
func stretch(laid []Laying, base, pos float64) {
	if len(laid) == 0 {
		return
	}
	was := laid[len(laid)-1].ToL - laid[0].FromL
	at := base
	for i := range laid {
		share := 1 / float64(len(laid))
		if was > 0 {
			share = (laid[i].ToL - laid[i].FromL) / was
		}
		laid[i].FromL = at
		at += share * (pos - base)
		laid[i].ToL = at
	}
	laid[len(laid)-1].ToL = pos
}

// cutSlackL is the rounding of a path volume, litres: a batch that begins at the
// cut comes off whole.
const cutSlackL = 1e-6

// frontCutBack records that the crew gave up the wet edge and cut the front
// straight: the edge there needs no joining any more.
func frontCutBack(s *State, e Event) {
	z := s.zone(e.Zone)
	if z == nil || e.Value == nil {
		return
	}
	pos := math.Max(0, math.Min(*e.Value, z.PosL))
	for n := len(z.Laid); n > 0 && z.Laid[n-1].FromL >= pos-cutSlackL; n-- { // taken off again
		z.Laid = z.Laid[:n-1]
	}
	if n := len(z.Laid); n > 0 {
		if l := &z.Laid[n-1]; l.ToL > pos { // what comes off says nothing of the thickness
			l.PouredL *= (pos - l.FromL) / (l.ToL - l.FromL)
			l.ToL = pos
		}
	}
	z.PosL = pos
	n := len(z.Laid)
	for i := range z.Marks { // marks beyond the cut measured what stays up to it
		m := &z.Marks[i]
		m.Layers, m.PosL = min(m.Layers, n), math.Min(m.PosL, pos)
	}
	z.RakeResetAt = min(z.RakeResetAt, n)
	if k := len(z.Marks); k == 0 || z.Marks[k-1].Layers < n {
		z.Marks = append(z.Marks, Mark{At: e.At, PosL: pos, Layers: n})
	}
	z.Breaks = append(z.Breaks, pos)
	s.callDo(Event{Call: "where"}, func(c *Call) { c.Acked = e.At }) // it is where they stop
}

// LaidAt is when the path volume vol went down: linear from pour to raked
// inside a batch. ok is false when nothing has been laid there yet.
func (z *ZoneState) LaidAt(vol float64) (l *Laying, at time.Time, ok bool) {
	i := sort.Search(len(z.Laid), func(i int) bool { return z.Laid[i].ToL >= vol })
	if i == len(z.Laid) {
		return nil, time.Time{}, false
	}
	l = &z.Laid[i]
	f := 0.0
	if d := l.ToL - l.FromL; d > 0 {
		f = math.Max(0, math.Min(1, (vol-l.FromL)/d))
	}
	return l, l.Start.Add(time.Duration(f * float64(l.End.Sub(l.Start)))), true
}
