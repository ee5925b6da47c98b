package day

import (
	"slices"
	"sort"
	"time"

	"floorpace/internal/sheet"
)

// Where a batch is between its first stir and the floor.
type Where uint8

// Places of a batch.
const (
	InMixer Where = iota
	InBucket
)

// onTheWay is a batch that has been started and is neither on the floor nor
// scrapped.
type onTheWay struct {
	b     *Batch
	where Where
	out   time.Time // when it is, or was, out of the mixer
}

// pipeline lists the batches on the way, the one that is out first at the
// front.
func (s *State) pipeline(now time.Time) []onTheWay {
	var out []onTheWay
	for i := range s.Batches {
		b := &s.Batches[i]
		if b.Started.IsZero() || b.Gone() {
			continue
		}
		w := onTheWay{b: b, where: InMixer, out: b.Mixed}
		if w.out.IsZero() {
			w.out = b.Started.Add(s.mixTime(b) + s.Plan.Crew.Scrape)
		}
		if !now.Before(w.out) {
			w.where = InBucket
		}
		out = append(out, w)
	}
	sort.SliceStable(out, func(i, j int) bool { return out[i].out.Before(out[j].out) })
	return out
}

// deadAt reports whether the bucket of a batch is past its life at an instant.
func (s *State) deadAt(b *Batch, t time.Time) bool {
	used, ok := s.bucketUsed(b, t)
	return ok && used >= 1
}

// live are the batches on the way that may still go on the floor.
func (s *State) live(way []onTheWay, now time.Time) []onTheWay {
	return slices.DeleteFunc(slices.Clone(way), func(w onTheWay) bool { return s.deadAt(w.b, now) })
}

// mixerReady is when a mixer can start its next batch; down is true while it
// is out of service.
func (s *State) mixerReady(mixer int) (t time.Time, down bool) {
	if _, down = s.Posts.MixersDown[mixer]; down || !s.Posts.PowerDown.IsZero() {
		return time.Time{}, true
	}
	b := s.inMixer(mixer)
	if b == nil {
		return time.Time{}, false
	}
	out := b.Mixed
	if out.IsZero() {
		out = b.Started.Add(s.mixTime(b) + s.Plan.Crew.Scrape)
		if b.Gone() { // poured or scrapped before anyone said it was mixed
			if at := b.Poured; !at.IsZero() && at.Before(out) {
				out = at
			}
			if at := b.Scrapped; !at.IsZero() && at.Before(out) {
				out = at
			}
		}
	}
	return out.Add(s.Plan.Crew.Reset), false
}

// blend is what the next batch of a zone is mixed with.
func (s *State) blend(zone int) *sheet.Blend {
	if zone == s.Zone {
		if b := s.Plan.Sheet.Blend(s.Blend); b != nil {
			return b
		}
	}
	return s.Zones[zone].Floor.Blend
}

// netL is what the next kit lays in a zone, litres.
func (s *State) netL(zone int) float64 { return s.Plan.NetYieldL(s.blend(zone)) }

// placerFree is when the raker will have laid everything that is on the way
// now, by the plan's minutes.
func (s *State) placerFree(zone int, way []onTheWay, now time.Time) time.Time {
	z := &s.Zones[zone]
	c := &s.Plan.Crew
	free := now
	if n := len(z.Laid); n > 0 && z.Laid[n-1].End.After(free) {
		free = z.Laid[n-1].End
	}
	net := s.netL(zone)
	pos := z.PosL
	var arrived time.Time
	for _, w := range way {
		at := w.out.Add(c.Load + z.Floor.Carry(pos))
		if at.Before(now) {
			at = now // it should be there by now
		}
		if !arrived.IsZero() && at.Before(arrived.Add(c.Headway)) {
			at = arrived.Add(c.Headway)
		}
		arrived = at
		if at.Before(free) {
			at = free
		}
		step := net * w.b.Share
		free = at.Add(c.Pour + s.rakeTime(z, pos, step))
		pos += step
	}
	return free
}

// Say is the word at the mix station.
type Say uint8

// Words at the mix station.
const (
	SayWait  Say = iota // count down to the next start
	SayStart            // start now
	SayLate             // the start is overdue
	SayHold             // do not start; the reason is said
	SayDone             // the zone is full, or the day is over
)

// Next is when the next batch is to start.
type Next struct {
	Say    Say
	Why    string    // a word or two for a hold
	Since  time.Time // of a hold; zero otherwise
	At     time.Time // start no sooner than this
	Latest time.Time // start no later, or the edge's pace is missed; zero when nothing presses
	Mixer  int       // the mixer that is ready first, from 1; 0 when none
	Batch  int       // the number it will have
}

// lateAfter is how long START stands before it turns to LATE: a pair of hands
// needs this long to lift the next kit.
const lateAfter = 10 * time.Second

// zoneFull is why no batch is started when the whole path lies.
const zoneFull = "ZONE FULL"

// next works out the call at the mix station. limit and needed are the crew's
// limit and the needed pace now, batches a minute.
func (s *State) next(zone int, now time.Time, way []onTheWay, limit, needed float64, bucketsMost int) Next {
	n := Next{Batch: s.nextBatch()}
	if zone < 0 {
		n.Say, n.Why = SayHold, "NO ZONE"
		return n
	}
	z := &s.Zones[zone]
	if z.PosL >= z.Floor.Path.TotalL()-1e-9 {
		n.Say, n.Why = SayDone, zoneFull
		return n
	}
	n.Mixer, n.At = s.firstMixer()
	coming := z.PosL
	for _, w := range s.live(way, now) {
		coming += s.netL(zone) * w.b.Share * z.drift()
	}
	if why, since, ok := s.holdNow(n.Mixer); ok {
		n.Say, n.Why, n.Since = SayHold, why, since
		return n
	}
	switch {
	case coming >= z.Floor.Path.TotalL()-1e-9:
		n.Say, n.Why = SayDone, "LAST ONE MIXED"
		return n
	case z.StopName != "" && coming >= z.StopL-1e-9:
		n.Say, n.Why, n.Since = SayHold, "STOP LINE", latest(s.lastStart(zone), z.StopAt)
		return n
	case !s.Posts.RakeDown.IsZero():
		n.Say, n.Why, n.Since = SayHold, "NO RAKE", s.Posts.RakeDown
		return n
	case len(s.Posts.RunnersDown) >= s.Plan.Crew.Runners:
		n.Say, n.Why, n.Since = SayHold, "NO RUNNER", lastOut(s.Posts.RunnersDown)
		return n
	}
	if since, ok := queueSince(way, bucketsMost); ok {
		n.Say, n.Why, n.Since = SayHold, "BUCKETS QUEUE", since
		return n
	}
	s.timeNext(&n, z, zone, now, way, limit, needed)
	return n
}

// timeNext sets the instants of a start that may go ahead.
func (s *State) timeNext(n *Next, z *ZoneState, zone int, now time.Time, way []onTheWay, limit, needed float64) {
	last := s.lastStart(zone)
	gap := time.Duration(0)
	if limit > 0 {
		gap = time.Duration(float64(time.Minute) / limit)
	}
	if s.Interval > gap {
		gap = s.Interval // a slower pace was set by hand
	}
	if needed > 0 {
		most := time.Duration(float64(time.Minute) / needed)
		if s.Interval > most {
			gap = min(gap, most) // but never slower than the edge allows
		}
		if !last.IsZero() {
			n.Latest = last.Add(most)
		}
	}
	if !last.IsZero() && last.Add(gap).After(n.At) {
		n.At = last.Add(gap)
	}
	ready := s.placerFree(zone, s.live(way, now), now).Add(-z.Floor.Lead(s.blend(zone), z.PosL))
	if ready.After(n.At) {
		n.At = ready
	}
	if !n.Latest.IsZero() && n.At.After(n.Latest) {
		n.At = n.Latest
		if _, ready := s.firstMixer(); ready.After(n.Latest) {
			n.At = ready // no mixer is ready sooner: this is as soon as it goes
		}
	}
	switch {
	case now.Before(n.At):
		n.Say = SayWait
	case now.Before(n.At.Add(lateAfter)) || last.IsZero():
		n.Say = SayStart
	default:
		n.Say = SayLate
	}
}

// firstThere is when the next batch can be at the front of a zone: the first on
// the way whose bucket still lives then, else one started as soon as a mixer is
// ready. With nobody to mix one, as if there were one now.
func (s *State) firstThere(zone int, now time.Time) time.Time {
	carry := s.carry(zone)
	for _, w := range s.pipeline(now) {
		if at := latest(now, w.out.Add(carry)); !s.deadAt(w.b, at) {
			return at
		}
	}
	mixer, at := s.firstMixer()
	if mixer == 0 {
		return now
	}
	return latest(s.from(zone, now), at).Add(s.blend(zone).MixTime() + s.Plan.Crew.Scrape + carry)
}

// carry is how long a bucket takes from the mixer to the front of a zone: by the
// plan, or the middle of the latest ones where these were sooner.
func (s *State) carry(zone int) time.Duration {
	z := &s.Zones[zone]
	plan := s.Plan.Crew.Load + z.Floor.Carry(z.PosL)
	n := len(z.Laid)
	if n <= firstPours {
		return plan
	}
	var took []time.Duration
	for _, l := range z.Laid[max(0, n-doingPours):] {
		b := s.batch(l.Batch)
		if b == nil || b.Started.IsZero() {
			continue
		}
		out := b.Started.Add(s.mixTime(b) + s.Plan.Crew.Scrape)
		if b.MixedTold {
			out = b.Mixed
		}
		took = append(took, max(0, s.pouredAt(l).Sub(out)))
	}
	if len(took) == 0 {
		return plan
	}
	slices.Sort(took)
	return min(plan, took[len(took)/2])
}

// firstMixer is the mixer that is ready first, the least recently used among
// equals; 0 when none is at work.
func (s *State) firstMixer() (mixer int, at time.Time) {
	for m := 1; m <= s.Plan.Crew.Mixers; m++ {
		t, down := s.mixerReady(m)
		if down {
			continue
		}
		if mixer == 0 || t.Before(at) {
			mixer, at = m, t
		}
	}
	return mixer, at
}

// lastStart is the latest start in a zone; zero when there was none.
func (s *State) lastStart(zone int) (t time.Time) {
	for i := len(s.Batches) - 1; i >= 0; i-- {
		if b := &s.Batches[i]; b.Zone == zone && !b.Started.IsZero() {
			return b.Started
		}
	}
	return t
}

// nextBatch is the number the next batch will have: one past the highest that
// was really started.
func (s *State) nextBatch() int {
	for i := len(s.Batches) - 1; i >= 0; i-- {
		if !s.Batches[i].Started.IsZero() {
			return s.Batches[i].No + 1
		}
	}
	return 1
}
