package day

import (
	"fmt"
	"math"
	"time"

	"floorpace/internal/air"
	"floorpace/internal/pace"
	"floorpace/internal/units"
)

// SpotView is the slab, or a spot with a reading of its own.
type SpotView struct {
	Name   string  // "" for the slab as a whole
	SlabC  float64 // NaN: not read
	Dew    air.Verdict
	DewOK  bool
	Edge   time.Duration // edge life there now
	EdgeOK bool          // the sheet has a figure
}

// spots judges the slab of a zone and each of its spots.
func (s *State) spots(zone int) (out []SpotView) {
	z := s.Plan.Zones[zone]
	g := s.ground(zone)
	b := s.blend(zone)
	add := func(name string, c float64) {
		v := SpotView{Name: name, SlabC: c}
		if math.IsNaN(c) {
			out = append(out, v)
			return
		}
		var err error
		v.Dew, err = air.Judge(c, s.Air.AirC, s.Air.Humidity, pace.DewRule(s.Plan), pace.Instruments(s.Plan))
		v.DewOK = err == nil
		v.Edge, v.EdgeOK = b.EdgeLife.At(c)
		out = append(out, v)
	}
	add("", g.SlabC)
	for i, q := range z.Spots {
		add(q.Name, g.SpotC[i])
	}
	return out
}

// weatherSpots finds what of the weather inside asks for a call beyond the
// zone's own dew margin, the gravest first; ok is false for nothing.
func (s *State) weatherSpots(v *Snapshot) (c condition, ok bool) {
	c = condition{id: "weather", grade: 1, on: true}
	for i := range v.Air.Spots { // the slab as a whole is judged by itself
		if q := &v.Air.Spots[i]; q.Name != "" && q.DewOK && q.Dew.Call == air.Stop {
			c.what = "DEW MARGIN GONE"
			c.why = q.Name + ": " + pace.DewWords(s.Plan, q.Dew)
			return c, true
		}
	}
	if why := s.kitsHot(v); why != "" {
		c.grade, c.what, c.why = 2, "KITS TOO WARM", why
		return c, true
	}
	f := func(k units.Kind, x float64) string { return units.FormatFixed(k, x, s.Plan.Units, 1) }
	if at := v.Air.MarginGone; !at.IsZero() {
		c.grade, c.what = 2, "DEW MARGIN CLOSING"
		c.why = fmt.Sprintf("%s an hour: at the rule by %s", f(units.TempDiff, v.Air.Margin.PerHour), at.Format("15:04"))
		return c, true
	}
	if v.Air.Rising && v.Zone >= 0 {
		c.grade, c.what = 2, "SLAB RISES"
		c.why = fmt.Sprintf("%s an hour while coats are open: watch for blisters", f(units.TempDiff, v.Air.Slab.PerHour))
		return c, true
	}
	return c, false
}

// kitsHot says that the kits as read now are too warm for the sheet or for the
// carry, "" when they are not or nobody has read them today.
func (s *State) kitsHot(v *Snapshot) string {
	read := false
	for i := range s.Readings {
		read = read || s.Readings[i].What == ReadKit && !s.Undone[s.Readings[i].N]
	}
	if !read || math.IsNaN(s.Air.KitC) {
		return ""
	}
	temp := func(c float64) string { return units.Format(units.Temp, c, s.Plan.Units) }
	if most := s.Plan.Sheet.Limits.KitMaxC; most > s.Plan.Sheet.Limits.KitMinC && s.Air.KitC > most {
		return fmt.Sprintf("%s, the sheet allows %s: cooler kits", temp(s.Air.KitC), temp(most))
	}
	if b := &v.Band; b.BucketLife > 0 && b.Dwell > b.DwellLimit {
		return fmt.Sprintf("at %s a bucket is %s old at the front, limit %s: cooler kits or a nearer station",
			temp(s.Air.KitC), units.Clock(b.Dwell), units.Clock(b.DwellLimit))
	}
	return ""
}

// moved reports by how much a trend has moved from its first to its last point,
// if that is more than the error of both readings can make.
func (t *Trend) moved(err float64) float64 {
	n := len(t.Points)
	if n < 2 || !t.OK {
		return 0
	}
	if d := t.Points[n-1].V - t.Points[0].V; math.Abs(d) > 2*err+1e-9 {
		return d
	}
	return 0
}

// closing fills in whether the slab rises and when the margin meets its rule if
// it goes on closing; by is how far ahead that matters.
func (v *AirView) closing(err float64, by time.Time) {
	v.Rising = v.Slab.moved(err) > 0 && v.Slab.PerHour > 0
	if v.Margin.moved(err) >= 0 || v.Margin.PerHour >= 0 {
		return
	}
	last := v.Margin.Points[len(v.Margin.Points)-1]
	left := last.V - float64(v.Dew.Rule)
	if left < 0 {
		return // gone: that is another call
	}
	at := last.At.Add(time.Duration(left / -v.Margin.PerHour * float64(time.Hour)))
	if at.Before(by) {
		v.MarginGone = at
	}
}
