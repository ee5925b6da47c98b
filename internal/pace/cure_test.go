package pace

import (
	"math"
	"testing"
	"time"

	"floorpace/internal/sheet"
)

var friday = time.Date(2026, 5, 1, 22, 0, 0, 0, time.UTC)

// Day 4 of the worked days: cures forwards from the last batch and backwards
// from the opening, which must meet.
func TestCureForwardsAndBackwards(t *testing.T) {
	b := &urethane().Blends[0]
	opening := friday.Add(55 * time.Hour)
	for _, c := range []struct{ at, cure, latest float64 }{{16, 27.66, 25.34}, {12, 35.65, 17.35}} {
		latest, ok := LatestLast(b, sheet.UseWashDown, opening, 2*time.Hour, c.at)
		if !ok {
			t.Fatal("no figure")
		}
		near(t, "latest last batch", latest.Sub(friday).Hours(), c.latest, 0.005)
		ready, ok := UsableAt(b, sheet.UseWashDown, latest, []sheet.Sample{{At: friday, TempC: c.at}})
		if !ok || ready.Sub(opening.Add(-2*time.Hour)).Abs() > time.Second {
			t.Errorf("forwards it is ready at %v, %v", ready, ok)
		}
		near(t, "cure", ready.Sub(latest).Hours(), c.cure, 0.005)
	}
	for _, c := range []struct {
		use string
		at  float64
	}{{sheet.UseFoot, 16}, {sheet.UseWashDown, 9}, {sheet.UseWashDown, 31}, {sheet.UseWashDown, math.NaN()}} {
		if _, ok := LatestLast(b, c.use, opening, 0, c.at); ok {
			t.Errorf("%s at %g °C: an instant without a figure", c.use, c.at)
		}
		if _, ok := UsableAt(b, c.use, friday, []sheet.Sample{{At: friday, TempC: c.at}}); ok {
			t.Errorf("%s at %g °C: an end without a figure", c.use, c.at)
		}
	}
}

// Half a cure at 20 °C (20 h), the rest at 10 °C (40 h): 10 + 20 h by hand.
func TestCureUnderChangingTemperature(t *testing.T) {
	b := &urethane().Blends[0]
	got, ok := UsableAt(b, sheet.UseWashDown, friday, []sheet.Sample{{At: friday, TempC: 20}, {At: friday.Add(10 * time.Hour), TempC: 10}})
	if !ok || got.Sub(friday).Round(time.Second) != 30*time.Hour {
		t.Errorf("ready after %v, %v; want 30 h", got.Sub(friday), ok)
	}
}

func TestCureTemperature(t *testing.T) {
	p := rectangle(9, 22)
	near(t, "as read", CureTempC(p, 17), 17, 0)
	p.Rules.CureSlabC = 12
	near(t, "as expected", CureTempC(p, 17), 12, 0)
}

// Two zones one after the other, by hand: 90 kits of 1:30 each, 45 min between.
func TestTimeline(t *testing.T) {
	p := rectangle(9, 22)
	second := p.Zones[0]
	second.Name, second.Move = "B", 45*time.Minute
	p.Zones = append(p.Zones, second)
	p.Inspection = 2 * time.Hour
	iv := 90 * time.Second
	start := p.Handover.Add(3 * time.Hour)
	line := Timeline(p, floorsOf(t, p), start, []time.Duration{iv, iv}, 20)
	if len(line) != 2 {
		t.Fatal(line)
	}
	near(t, "A ends", line[0].Ends.Sub(start).Hours(), 2.25, 1e-9)
	near(t, "B starts", line[1].Start.Sub(start).Hours(), 3, 1e-9)
	near(t, "B ends", line[1].Ends.Sub(start).Hours(), 5.25, 1e-9)
	near(t, "B ready", line[1].Ready.Sub(start).Hours(), 25.25, 1e-6)
	near(t, "B to spare", line[1].Spare.Hours(), 72-2-20-3-5.25, 1e-6)
	if !line[0].Fits || !line[1].Fits || !line[1].OK {
		t.Errorf("%+v", line)
	}
	p.Opening = p.Handover.Add(30 * time.Hour) // 30 − 2 − 20 − 3 = 5 h after the start
	line = Timeline(p, floorsOf(t, p), start, []time.Duration{iv, iv}, 20)
	if !line[0].Fits || line[1].Fits {
		t.Errorf("A should fit and B not: %v, %v", line[0].Spare, line[1].Spare)
	}
	if line := Timeline(p, floorsOf(t, p), start, []time.Duration{iv, iv}, 9); line[0].OK || line[0].Fits {
		t.Error("a zone fits without a cure figure")
	}
}
