package day

import (
	"testing"
	"time"

	"floorpace/internal/floor"
)

// A zone that is poured before those that the plan lists first ends first: the
// others follow it. Worked by hand, no source: 9 by 2.25 m are 9.2 kits of 2.2012
// m², so ten at one every 1:30.
func TestZonesFollowTheOneBeingPoured(t *testing.T) {
	p := rooms(floor.Outside)
	for i := range p.Zones {
		p.Zones[i].Move = 10 * time.Minute
	}
	s := begin(t, p)
	at := p.Handover.Add(time.Hour)
	s = do(t, s, at, Press{Kind: ZoneBegan, Zone: "HALL"})
	zs := s.zoneViews(at)
	for i, want := range []time.Duration{40 * time.Minute, 65 * time.Minute, 15 * time.Minute} {
		if got := zs[i].Turnout.Ends.Sub(at).Round(time.Second); got != want {
			t.Errorf("zone %s ends %v from now, want %v", zs[i].Name, got, want)
		}
	}
	later := s.later(at, time.Hour)
	if got := later.Zones[0].Zone; got != "HALL" {
		t.Errorf("first of those left: %s", got)
	}
}

// A stop stands in sight on a day whose zones are all closed too: somebody may
// walk over what is still wet.
func TestStopAfterTheLastZone(t *testing.T) {
	s, at := poured(t, begin(t, rectangle(9, 12)), 3)
	s = do(t, s, at.Add(time.Minute), Press{Kind: ZoneClosed})
	s = do(t, s, at.Add(2*time.Minute), Press{Kind: MixingStopped, Why: "STRANGER ON THE FLOOR"})
	v := Look(s, at.Add(3*time.Minute))
	if !v.Stopped.On || v.Stopped.Caution == "" || v.Stopped.Where != "zone A, closed "+at.Add(time.Minute).Format("15:04") {
		t.Errorf("%+v", v.Stopped)
	}
	if len(v.Fences) != 1 || len(v.Fences[0].Places) != 1 {
		t.Errorf("the wet zone is not fenced: %+v", v.Fences)
	}
	for _, c := range v.conds {
		if c.id == "stop" && c.on {
			return
		}
	}
	t.Error("no call says that mixing is stopped")
}
