package day

import (
	"fmt"
	"math"
	"slices"
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

// worstDew finds the least dew margin there is to keep: a cold spot or the
// night decides for the whole floor, as condensation there ruins the coat.
func (s *State) worstDew(v *AirView) {
	if !v.DewOK {
		return
	}
	v.Worst, v.WorstOK = v.Dew, true
	judge := func(c float64, at string) {
		if d, err := air.Judge(c, s.Air.AirC, s.Air.Humidity, pace.DewRule(s.Plan), pace.Instruments(s.Plan)); err == nil && d.MarginK < v.Worst.MarginK {
			v.Worst, v.WorstAt = d, at
		}
	}
	for i := range s.Zones {
		if !s.Zones[i].Closed.IsZero() {
			continue
		}
		name := func(spot string) string {
			if len(s.Zones) > 1 {
				return spot + ", zone " + s.Plan.Zones[i].Name
			}
			return spot
		}
		for k, c := range s.ground(i).SpotC {
			judge(c, name(s.Plan.Zones[i].Spots[k].Name))
		}
	}
	judge(s.Plan.Rules.ColdestSlabC, lowestSlab)
}

// lowestSlab is where a margin is tested that nobody has read yet.
const lowestSlab = "lowest slab through cure"

// weatherSpots finds what of the weather inside asks for a call beyond the dew
// margin, the gravest first; ok is false for nothing.
func (s *State) weatherSpots(v *Snapshot) (c condition, ok bool) {
	c = condition{id: "weather", grade: 2, on: true}
	if why := s.kitsHot(v); why != "" {
		c.what, c.why = "KITS TOO WARM", why
		return c, true
	}
	f := func(k units.Kind, x float64) string { return units.FormatFixed(k, x, s.Plan.Units, 1) }
	if at := v.Air.MarginGone; !at.IsZero() {
		c.what = "DEW MARGIN CLOSING"
		c.why = fmt.Sprintf("%s an hour: at the rule by %s", f(units.TempDiff, v.Air.Margin.PerHour), at.Format("15:04"))
		if v.Air.WorstAt != "" {
			c.why += ", " + v.Air.WorstAt
		}
		return c, true
	}
	return c, false
}

// finest is what a contact thermometer tells apart, K: one without a stated error
// still rounds to it.
const finest = 0.2

// slabCondition: a slab that warms drives air up into the open coat. It is said
// once a day, and again when it warms faster by what the thermometers can be
// wrong by from one reading to the next. What to do about it is common practice,
// no source.
func slabCondition(s *State, v *Snapshot) condition {
	r := &s.Plan.Rules
	c := condition{
		id: "slab", grade: 2, on: v.Air.Rising, off: !v.Air.Rising, what: "SLAB RISES",
		figure: v.Air.RisingKH, step: max(2*r.TempErrorC, finest) / r.ReadingEvery.Hours(),
	}
	if old := s.Calls[c.id]; old != nil {
		_, then := s.warmest(v.Zone, old.Spoke) // less than was said, if a reading was taken back
		c.before = min(old.Figure, then)
	}
	c.why = fmt.Sprintf("%s an hour: keep heat and sun off it, roll out blisters while wet",
		units.FormatFixed(units.TempDiff, v.Air.RisingKH, s.Plan.Units, 1))
	if v.Air.RisingAt != "" {
		c.why = v.Air.RisingAt + " " + c.why
	}
	return c
}

// kitsHot says that the kits as read now are too warm for the carry, "" when
// they are not or nobody has read them today. What the sheet forbids is a call
// of its own.
func (s *State) kitsHot(v *Snapshot) string {
	read := false
	for i := range s.Readings {
		read = read || s.Readings[i].What == ReadKit && !s.Undone[s.Readings[i].N]
	}
	if !read || math.IsNaN(s.Air.KitC) {
		return ""
	}
	if b := &v.Band; b.BucketLife > 0 && b.Dwell > b.DwellLimit {
		return fmt.Sprintf("at %s a bucket is %s old at the front, limit %s: cooler kits or a nearer station",
			units.Format(units.Temp, s.Air.KitC, s.Plan.Units), units.Clock(b.Dwell), units.Clock(b.DwellLimit))
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

// warmest finds the slab, or the spot of the zone under a coat, that warms most, of
// those that by an instant had warmed by more than the error of their readings;
// perHour is 0 when none had.
func (s *State) warmest(zone int, by time.Time) (at string, perHour float64) {
	look := func(t Trend, name string) {
		if n := len(t.Points); n > 0 && t.Points[n-1].At.After(by) {
			t.Points = slices.DeleteFunc(slices.Clone(t.Points), func(q Point) bool { return q.At.After(by) })
			t.OK = false
			t.fit()
		}
		if t.moved(s.Plan.Rules.TempErrorC) > 0 && t.PerHour > perHour {
			at, perHour = name, t.PerHour
		}
	}
	slab, _ := s.trends("")
	look(slab, "")
	z := &s.Zones[zone]
	for _, q := range s.Plan.Zones[zone].Spots {
		if laid, ok := z.Floor.Path.LaidAt(q.At); !ok || laid > z.PosL {
			continue // no coat lies there yet
		}
		t, _ := s.trends(s.Plan.Zones[zone].Name + "/" + q.Name)
		look(t, q.Name)
	}
	return at, perHour
}

// rising fills in whether the slab warms under the coat of a zone, and where most.
func (s *State) rising(v *AirView, zone int, now time.Time) {
	v.RisingAt, v.RisingKH = s.warmest(zone, now)
	v.Rising = v.RisingKH > 0
}

// closing fills in when the margin meets its rule if it goes on closing, at the
// coldest place; by is how far ahead that matters.
func (v *AirView) closing(err float64, by time.Time) {
	if v.Margin.moved(err) >= 0 || v.Margin.PerHour >= 0 {
		return
	}
	last := v.Margin.Points[len(v.Margin.Points)-1]
	left := last.V - float64(v.Dew.Rule)
	if v.WorstOK {
		left -= math.Max(0, v.Dew.MarginK-v.Worst.MarginK) // colder there by so much
	}
	if left < 0 {
		return // gone: that is another call
	}
	at := last.At.Add(time.Duration(left / -v.Margin.PerHour * float64(time.Hour)))
	if at.Before(by) {
		v.MarginGone = at
	}
}
