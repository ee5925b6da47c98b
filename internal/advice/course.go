package advice

import (
	"slices"
	"time"

	"floorpace/internal/line"
	"floorpace/internal/stats"
)

// zoneSeed is the luck of a zone: a hash (the finaliser of splitmix64, from
// memory), so that no zone has the luck of another one under a seed nearby.
func zoneSeed(seed uint64, zone int) uint64 {
	x := seed + uint64(zone)*0x9e3779b97f4a7c15
	if zone == 0 {
		return x
	}
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}

// course strings the zones of a day together, each simulated day by itself:
// nothing but the instant at which a zone is laid passes on to the next one, for
// the line drains at a move. Instants are after a zero of the caller's.
type course struct {
	at             []time.Duration // when the last zone so far is laid, by day
	edges, buckets []bool          // everything so far has held, by day
	inTime         []bool          // every zone so far was laid by its latest instant, by day
}

func newCourse(days int) *course {
	c := &course{make([]time.Duration, days), make([]bool, days), make([]bool, days), make([]bool, days)}
	for d := range days {
		c.edges[d], c.buckets[d], c.inTime[d] = true, true, true
	}
	return c
}

// begin lets the course begin no sooner than an instant.
func (c *course) begin(at time.Duration) {
	for d := range c.at {
		c.at[d] = max(c.at[d], at)
	}
}

// then adds a zone: set up in move, begun no sooner than notBefore, and laid as
// days say, counted from its own first start.
func (c *course) then(move, notBefore time.Duration, days []line.DayEnd) {
	for d := range c.at {
		c.at[d] = max(c.at[d]+move, notBefore) + days[d].Laid
		c.edges[d] = c.edges[d] && days[d].Edges
		c.buckets[d] = c.buckets[d] && days[d].Buckets
	}
}

// shares are the parts of the days on which every edge, every bucket, and both
// have held.
func (c *course) shares() (edge, buckets, both float64) {
	var e, b, q int
	for d := range c.at {
		if c.edges[d] {
			e++
		}
		if c.buckets[d] {
			b++
		}
		if c.edges[d] && c.buckets[d] {
			q++
		}
	}
	n := float64(len(c.at))
	return float64(e) / n, float64(b) / n, float64(q) / n
}

// laid is when the last zone so far is laid: 10, 50 and 90 of 100 days.
func (c *course) laid() line.Spread {
	ms := make([]float64, len(c.at))
	for d, t := range c.at {
		ms[d] = float64(t.Milliseconds())
	}
	slices.Sort(ms)
	at := func(p float64) time.Duration {
		return time.Duration(stats.Quantile(ms, p) * float64(time.Millisecond)).Round(time.Millisecond)
	}
	return line.Spread{P10: at(0.1), P50: at(0.5), P90: at(0.9)}
}

// by holds the zone laid last against the latest instant that its opening allows.
func (c *course) by(latest time.Duration) {
	for d, t := range c.at {
		c.inTime[d] = c.inTime[d] && t <= latest
	}
}

// opens is the part of the days on which every zone was laid by its latest.
func (c *course) opens() float64 {
	n := 0
	for _, ok := range c.inTime {
		if ok {
			n++
		}
	}
	return float64(n) / float64(len(c.inTime))
}
