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

// While the crew moves over, everything that names an instant of the next zone
// counts from the end of the move, also as the minutes run; once the move is over,
// from now. Worked by hand, no source: HALL closed at T with a move of 10 minutes;
// 9 by 2.25 m are ten kits at one every 1:30, so 15 minutes of pouring.
func TestMoveBetweenZones(t *testing.T) {
	p := rooms(floor.Outside)
	for i := range p.Zones {
		p.Zones[i].Move = 10 * time.Minute
	}
	s := begin(t, p)
	at := p.Handover.Add(time.Hour)
	s = do(t, s, at, Press{Kind: ZoneBegan, Zone: "HALL"})
	s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 1})
	at = at.Add(4 * time.Minute)
	s = do(t, s, at, Press{Kind: BatchPoured})
	s = do(t, s, at, Press{Kind: ZoneClosed})
	for _, c := range []struct{ gone, starts time.Duration }{
		{0, 10 * time.Minute}, {3 * time.Minute, 10 * time.Minute}, {10 * time.Minute, 10 * time.Minute}, {14 * time.Minute, 14 * time.Minute},
	} {
		now := at.Add(c.gone)
		v := Look(s, now)
		starts, ends := at.Add(c.starts), at.Add(c.starts+15*time.Minute)
		from, moving := v.ZoneFrom()
		if want := at.Add(10 * time.Minute); !from.Equal(want) || !moving {
			t.Errorf("%v on, the next zone is from %v (moving %v), want %v", c.gone, from, moving, want)
		}
		q := v.Zones[v.Floor.Index].Turnout
		if !q.Start.Equal(starts) || !q.Ends.Round(time.Second).Equal(ends) {
			t.Errorf("%v on, the zone lasts from %v to %v, want %v to %v", c.gone, q.Start, q.Ends, starts, ends)
		}
		if got := v.Finish.Round(time.Second); !got.Equal(ends) {
			t.Errorf("%v on, the zone is finished at %v, want %v", c.gone, got, ends)
		}
		end := v.Stops[len(v.Stops)-1]
		if last := starts.Add(9 * 90 * time.Second); end.LastStart.Round(time.Second) != last || end.Down.Before(ends.Add(-time.Second)) {
			t.Errorf("%v on, the last batch starts at %v and is down at %v, want %v and not before %v", c.gone, end.LastStart, end.Down, last, ends)
		}
		if got := s.later(now, time.Hour).Zones[0].Start; !got.Equal(starts.Add(time.Hour)) {
			t.Errorf("%v on and an hour later, the zone starts at %v, want %v", c.gone, got, starts.Add(time.Hour))
		}
	}
}
