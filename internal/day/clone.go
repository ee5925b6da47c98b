package day

import (
	"maps"
	"slices"
)

// Clone gives a state of its own: events applied to one never show in the
// other. What is never changed after it is made is shared: the plan, the
// floors, the events themselves and the figures kept from them.
func (s *State) Clone() *State {
	c := *s
	c.Events = slices.Clip(s.Events) // the next event makes room of its own
	c.Undone = maps.Clone(s.Undone)
	c.Zones = slices.Clone(s.Zones)
	for i := range c.Zones {
		c.Zones[i].own()
	}
	c.Batches = slices.Clone(s.Batches)
	for i := range c.Batches {
		c.Batches[i].Steps = slices.Clone(s.Batches[i].Steps)
	}
	c.Posts.MixersDown = maps.Clone(s.Posts.MixersDown)
	c.Posts.RunnersDown = maps.Clone(s.Posts.RunnersDown)
	c.Outages = slices.Clone(s.Outages)
	c.Holds = slices.Clone(s.Holds)
	if s.Hold != nil { // the one that stands is the last
		c.Hold = &c.Holds[len(c.Holds)-1]
	}
	c.Readings = slices.Clone(s.Readings)
	c.Air.Spots = maps.Clone(s.Air.Spots)
	c.Lots = maps.Clone(s.Lots)
	c.Tallies = slices.Clone(s.Tallies)
	c.Fences = slices.Clone(s.Fences)
	c.Overrides = slices.Clone(s.Overrides)
	c.Doors = maps.Clone(s.Doors)
	c.Notes = slices.Clone(s.Notes)
	c.Calls, c.CallLog = cloneCalls(s.Calls, s.CallLog)
	c.lives = maps.Clone(s.lives)
	c.bands = maps.Clone(s.bands)
	c.adviceKept, c.forbid = maps.Clone(s.adviceKept), nil
	c.atSpots = maps.Clone(s.atSpots)
	return &c
}

// own gives a zone lists of its own.
func (z *ZoneState) own() {
	z.Laid = slices.Clone(z.Laid)
	z.Marks = slices.Clone(z.Marks)
	z.Breaks = slices.Clone(z.Breaks)
	z.RolledRows = maps.Clone(z.RolledRows)
	z.BroadRows = maps.Clone(z.BroadRows)
}

// cloneCalls copies the calls, so that a call in the map and in the list is
// still one and the same.
func cloneCalls(byID map[string]*Call, log []*Call) (map[string]*Call, []*Call) {
	twin := make(map[*Call]*Call, len(log))
	of := func(c *Call) *Call {
		if twin[c] == nil {
			d := *c
			twin[c] = &d
		}
		return twin[c]
	}
	m := make(map[string]*Call, len(byID))
	for id, c := range byID {
		m[id] = of(c)
	}
	l := make([]*Call, len(log))
	for i, c := range log {
		l[i] = of(c)
	}
	return m, l
}
