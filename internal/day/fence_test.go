package day

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/internal/floor"
	"floorpace/internal/units"
)

// A count that does not match fences every zone in which the suspects lie, and
// leaves out what was lifted. Worked by hand, no source: a kit of 14 / 1.06 L lays
// 2.2012 m², 2.935 m of a row of 0.75 m.
func TestFenceOverTwoZones(t *testing.T) {
	s := begin(t, rooms(floor.Outside))
	at := s.Plan.Handover.Add(time.Hour)
	for _, zone := range []string{"CELLAR", "STORE"} {
		s = do(t, s, at, Press{Kind: ZoneBegan, Zone: zone})
		for range 3 {
			s = do(t, s, at, Press{Kind: BatchStarted, Mixer: 1})
			at = at.Add(4 * time.Minute)
			s = do(t, s, at, Press{Kind: BatchPoured})
		}
		if zone == "CELLAR" {
			s = do(t, s, at, Press{Kind: ZoneClosed})
		}
	}
	s = do(t, s, at, Press{Kind: BatchCondemned, Batch: 5})
	s = do(t, s, at, Press{Kind: BatchLifted, Batch: 5})
	s = do(t, s, at, Press{Kind: TallyTaken, Counts: "A=6 B=5 aggregate=6"})
	v := Look(s, at)
	if len(v.Fences) != 1 || v.Fences[0].From != 1 || v.Fences[0].To != 6 {
		t.Fatalf("%+v", v.Fences)
	}
	f := &v.Fences[0]
	var zones []string
	for _, p := range f.Places {
		zones = append(zones, fmt.Sprintf("%s %.2f", p.Zone, p.AreaM2))
	}
	if got := strings.Join(zones, ", "); got != "CELLAR 6.60, STORE 2.20, STORE 2.20" {
		t.Errorf("fenced: %s", got)
	}
	if words := PlaceWords(f.Places, units.Metric); !strings.Contains(words, "zone CELLAR, ") || !strings.Contains(words, " and zone STORE, ") {
		t.Errorf("said to lie in %q", words)
	}
	for _, c := range v.conds {
		if c.id == "count" && (!c.on || !strings.Contains(c.why, "zone CELLAR") || !strings.Contains(c.why, "zone STORE")) {
			t.Errorf("%+v", c)
		}
	}
}
