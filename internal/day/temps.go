package day

import (
	"math"
	"sort"
	"time"

	"floorpace/internal/sheet"
)

// Temps is what the newest readings say: °C and a share. NaN means not read.
type Temps struct {
	SlabC, AirC, Humidity, KitC      float64
	SlabAt, AirAt, HumidityAt, KitAt time.Time
	Spots                            map[string]float64 // "zone/spot" → °C
}

func (t *Temps) take(r Reading) {
	switch r.What {
	case ReadSlab:
		if r.Spot != "" {
			spots := make(map[string]float64, len(t.Spots)+1) // snapshots hold the old one
			for k, v := range t.Spots {
				spots[k] = v
			}
			spots[r.Spot] = r.Value
			t.Spots = spots
			return
		}
		t.SlabC, t.SlabAt = r.Value, r.At
	case ReadAir:
		t.AirC, t.AirAt = r.Value, r.At
	case ReadHumidity:
		t.Humidity, t.HumidityAt = r.Value, r.At
	case ReadKit:
		t.KitC, t.KitAt = r.Value, r.At
	}
}

// lifeKey names a life: which blend's table, read where.
type lifeKey struct {
	blend string
	table string // edge, roll, bucket, broadcast
	place string // "" the zone's slab, "kit", or "zone/spot"
}

// lifeClock runs a life under the day's readings. A reading holds until the
// next one; the first also holds before itself.
type lifeClock struct {
	ok   bool          // the newest temperature lies inside the table
	now  time.Duration // the life at the newest temperature
	from []time.Time
	rate []float64 // share a second from from[i] on; NaN outside the table
}

func newLifeClock(t sheet.Table, temps []sheet.Sample) *lifeClock {
	c := &lifeClock{}
	for _, s := range temps {
		life, ok := t.At(s.TempC)
		rate := math.NaN()
		if ok {
			rate = 1 / life.Seconds()
		}
		c.ok, c.now = ok, life
		c.from, c.rate = append(c.from, s.At), append(c.rate, rate)
	}
	return c
}

// used is the share of the life spent from a to b, Σ Δt / life(T). ok is false
// when a stretch lies at a temperature outside the table.
func (c *lifeClock) used(a, b time.Time) (share float64, ok bool) {
	if len(c.from) == 0 {
		return 0, false
	}
	end := b
	for i := len(c.from) - 1; i >= 0; i-- { // backwards: what counts is mostly after the newest reading
		start := c.from[i]
		if i == 0 || start.Before(a) {
			start = a
		}
		if end.After(start) {
			share += end.Sub(start).Seconds() * c.rate[i]
			end = start
		}
		if !start.After(a) {
			break
		}
	}
	return share, !math.IsNaN(share)
}

// leftAt is what is left at t of a life used to share, at the temperature in
// force at t: what a look back at that instant must go by, whatever was read
// later. ok is false when that temperature lies outside the table.
func (c *lifeClock) leftAt(share float64, t time.Time) (left time.Duration, ok bool) {
	i := sort.Search(len(c.from), func(i int) bool { return c.from[i].After(t) }) - 1
	if i = max(i, 0); i >= len(c.rate) || math.IsNaN(c.rate[i]) {
		return 0, false
	}
	return time.Duration((1 - share) / c.rate[i] * float64(time.Second)), true
}

// end is the instant at which a life that is used to share at b runs out if
// the newest temperature stays.
func (c *lifeClock) end(share float64, b time.Time) time.Time {
	return b.Add(time.Duration((1 - share) * float64(c.now)))
}

// samples are the temperatures that a place has had, oldest first.
func (s *State) samples(place string) []sheet.Sample {
	first := planned(s.Plan)
	start := first.SlabC
	at := first.SlabAt
	switch {
	case place == "kit":
		start, at = first.KitC, first.KitAt
	case place != "":
		if v, ok := first.Spots[place]; ok {
			start = v
		}
	}
	var out []sheet.Sample
	if !math.IsNaN(start) {
		out = append(out, sheet.Sample{At: at, TempC: start})
	}
	for _, r := range s.Readings {
		switch {
		case s.Undone[r.N]:
		case place == "kit" && r.What == ReadKit,
			place == "" && r.What == ReadSlab && r.Spot == "",
			place != "" && place != "kit" && r.What == ReadSlab && r.Spot == place:
			out = append(out, sheet.Sample{At: r.At, TempC: r.Value})
		}
	}
	// A plan's reading may be dated after the first one taken on the day.
	sort.SliceStable(out, func(i, j int) bool { return out[i].At.Before(out[j].At) })
	return out
}

// life finds the running clock of a life. Not safe for several goroutines: the
// state has one owner.
func (s *State) life(blend, table, place string) *lifeClock {
	k := lifeKey{blend, table, place}
	if c, ok := s.lives[k]; ok {
		return c
	}
	var t sheet.Table
	if b := s.Plan.Sheet.Blend(blend); b != nil {
		switch table {
		case "edge":
			t = b.EdgeLife
		case "roll":
			t = b.RollUntil
		case "bucket":
			t = b.BucketLife
		case "broadcast":
			t = b.BroadcastUntil
		case "broadcast from":
			t = b.BroadcastFrom
		}
	}
	c := newLifeClock(t, s.samples(place))
	s.lives[k] = c
	return c
}
