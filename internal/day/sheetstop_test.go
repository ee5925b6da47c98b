package day

import (
	"testing"
	"time"
)

// A reading that the sheet forbids holds the next start with the reason, is
// called out, and is overridden only with name, role and reason.
func TestSheetStopsTheStart(t *testing.T) {
	p := rectangle(9, 12)
	p.Sheet.Limits.KitMinC, p.Sheet.Limits.KitMaxC = 5, 25
	s := begin(t, p)
	at := p.Handover.Add(time.Hour)
	if v := Look(s, at); v.Next.Say == SayHold {
		t.Fatalf("held at the plan's own readings: %s", v.Next.Why)
	}
	s = do(t, s, at, Press{Kind: ReadingTaken, What: ReadKit, Value: Value(26)})
	v := Look(s, at)
	if v.Next.Say != SayHold || v.Next.Why != "KIT TEMPERATURE" {
		t.Errorf("kits at 26 °C of 25: %v %q, want a hold for the kit temperature", v.Next.Say, v.Next.Why)
	}
	s = due(t, s, at)
	if c := s.Calls["sheet"]; c == nil || !c.Loud() || c.What != "OUTSIDE THE SHEET" {
		t.Errorf("call %+v, want OUTSIDE THE SHEET", c)
	}
	if _, err := Decide(s, Press{Kind: OverrideGiven, What: "kit temperature", Who: "A. N."}, at); err == nil {
		t.Error("overridden without role and reason")
	}
	s = do(t, s, at, Press{Kind: OverrideGiven, What: "kit temperature", Who: "A. N.", Role: "lead", Why: "door shut now"})
	if v := Look(s, at); v.Next.Say == SayHold {
		t.Errorf("still held after the override: %s", v.Next.Why)
	}
	// Damp air on a cold slab: the dew margin stops by itself.
	s = do(t, s, at, Press{Kind: ReadingTaken, What: ReadHumidity, Value: Value(0.95)})
	if v := Look(s, at); v.Next.Say != SayHold || v.Next.Why != "DEW MARGIN" {
		t.Errorf("dew margin gone: %v %q", v.Next.Say, v.Next.Why)
	}
}

// Everything a crew reads stands in the plan's own time zone.
func TestOneTimeZone(t *testing.T) {
	p := rectangle(9, 12)
	p.Handover = p.Handover.In(time.FixedZone("", -7*3600))
	s := begin(t, p)
	s = do(t, s, p.Handover.Add(time.Hour).UTC(), Press{Kind: BatchStarted, Mixer: 1})
	v := Look(s, p.Handover.Add(2*time.Hour).UTC())
	for what, at := range map[string]time.Time{"now": v.Now, "batch": s.Batches[0].Started, "next": v.Next.At} {
		if _, off := at.Zone(); off != -7*3600 {
			t.Errorf("%s stands at %s", what, at)
		}
	}
}
