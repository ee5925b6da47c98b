package record

import (
	"math"
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/units"
)

func clockAt(t *testing.T, s string) time.Time {
	t.Helper()
	at, err := time.Parse("2006-01-02 15:04:05", "2026-05-04 "+s)
	if err != nil {
		t.Fatal(err)
	}
	return at
}

func near(t *testing.T, what string, got Num, want, tol float64) {
	t.Helper()
	if !got.OK() || math.Abs(got.V-want) > tol {
		t.Errorf("%s: %+v, want %g", what, got, want)
	}
}

func nearTime(t *testing.T, what string, got When, want time.Time) {
	t.Helper()
	if !got.OK() || got.T.Sub(want).Abs() > time.Second {
		t.Errorf("%s: %+v, want %s", what, got, hms(want))
	}
}

// Day 6, a stop: the row laid from 11:01:00 to 11:05:36, mixing stopped from
// 11:06:30 to 11:15:30 with two full buckets. Answers worked by hand from the
// invented sheet (edge life 12:38, margin 2:00, roll window 9:28, bucket life
// 8:28 at 19 °C); to a centimetre and a second.
func TestDaySixOnPaper(t *testing.T) {
	p := hall(9, 12)
	b := open(t, p)
	row := mins(6.75 / (2.2012578616352201 / 1.5))
	first := clockAt(t, "11:01:00").Add(-3 * row)
	for i := 0; i < 13; i++ {
		at := first.Add(time.Duration(i) * 90 * time.Second)
		b.press(at.Add(-3*time.Minute), day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
		q := day.Press{Kind: day.BatchPoured}
		if i == 12 { // four rows are 12.2658 batches: the row ends inside the last bucket
			q.Share, q.Weights = 4*40.5/(14/1.06)-12, "A=0.80 B=1.06 aggregate=5.32"
		}
		b.press(at, q)
	}
	for i := range 2 {
		b.press(clockAt(t, "11:06:30").Add(time.Duration(i)*time.Second), day.Press{Kind: day.BatchStarted, Mixer: i + 2})
	}
	b.press(clockAt(t, "11:06:32"), day.Press{Kind: day.MixingStopped, Why: "LEAK"})
	b.press(clockAt(t, "11:15:30"), day.Press{Kind: day.HoldEnded})
	b.press(clockAt(t, "11:15:40"), day.Press{Kind: day.BatchScrapped, Why: "too old"})
	b.press(clockAt(t, "11:15:45"), day.Press{Kind: day.BatchScrapped, Why: "too old"})
	q := b.paper()
	if len(q.Holds) != 1 {
		t.Fatalf("%d holds", len(q.Holds))
	}
	h := &q.Holds[0]
	if !h.Stop || h.Why.S != "LEAK" || h.Where.S != "zone Hall, front at 3.0 m" {
		t.Errorf("the stop reads %+v", h)
	}
	near(t, "gone", h.GoneM, 3.66, 0.01)
	near(t, "at risk", h.RiskM, 7.57-3.66, 0.01)
	near(t, "joinable", h.JoinM, 9-7.57, 0.01)
	nearTime(t, "whole row joinable until", h.WholeTill, clockAt(t, "11:11:38"))
	nearTime(t, "last point joinable until", h.LastTill, clockAt(t, "11:16:14"))
	nearTime(t, "roll shut from", h.RollFirst, clockAt(t, "11:10:28"))
	nearTime(t, "roll shut to", h.RollLast, clockAt(t, "11:15:04"))
	near(t, "row", h.Row, 4, 0)
	if len(h.Dead) != 2 {
		t.Fatalf("dead buckets: %+v", h.Dead)
	}
	for i, d := range h.Dead {
		if math.Abs(d.AgeS-(540-float64(i))) > 0.5 || math.Abs(d.LifeS-508) > 1 { // 9:00 of 8:28, the second bucket a second younger
			t.Errorf("bucket %d: %g s of %g, want 9:00 of 8:28", d.Batch, d.AgeS, d.LifeS)
		}
	}
	tt := &q.Totals
	if tt.Poured != 13 || tt.Scrapped != 2 || math.Abs(tt.KitsUsed-4*40.5/(14/1.06)) > 1e-9 || math.Abs(tt.KitsOpened-tt.KitsUsed-tt.KitsScrapped-tt.KitsLeft) > 1e-9 {
		t.Errorf("totals: %+v", tt)
	}
	// What the work after the stop joins is on paper as lost and at risk.
	b.press(clockAt(t, "11:15:50"), day.Press{Kind: day.BatchStarted, Mixer: 1})
	b.press(clockAt(t, "11:15:50").Add(2*time.Minute), day.Press{Kind: day.BatchPoured})
	if e := b.paper().Zones[0].Edge; e.LostM == 0 || len(e.Joins) == 0 {
		t.Errorf("a batch laid at a dead edge is not told: %+v", e)
	}
}

// Day 7, a worn rake: answers worked by hand from the invented sheet.
func TestDaySevenOnPaper(t *testing.T) {
	p := hall(12, 22)
	p.Sheet.Blends[0].YieldL = 15
	p.Zones[0].DepthM = 0.003
	p.Crew.RakeM2Min = 20
	p.Lots[0].Parts = map[string]int{"A": 58, "B": 58, "aggregate": 58}
	b := open(t, p)
	at, area := p.Handover.Add(time.Hour), 0.0
	for i, m2 := range []float64{4.3, 4.1, 3.9, 3.8, 3.9, 3.8} {
		at = at.Add(2 * time.Minute)
		b.press(at.Add(-4*time.Minute), day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1})
		b.press(at, day.Press{Kind: day.BatchPoured})
		area += m2
		b.press(at.Add(50*time.Second), day.Press{Kind: day.FrontMarked, AreaM2: day.Value(area)})
	}
	q := b.paper()
	z := &q.Zones[0]
	if z.PlanKits != 56 || math.Abs(z.M2PerKit-4.717) > 0.0005 {
		t.Errorf("plan: %d kits at %.4f m²", z.PlanKits, z.M2PerKit)
	}
	near(t, "use", z.Drift, 0.841, 0.0005)
	near(t, "to finish by the mean", z.NeedMean, 61, 0)
	near(t, "to finish by the last three", z.NeedLast, 63, 0)
	near(t, "to finish by plan", z.NeedPlan, 51, 0)
	near(t, "on hand", z.OnHand, 52, 0)
	near(t, "floor would stop at", z.ReachM2, 230, 0.5)
	near(t, "by the last three", z.ReachLast, 223, 0.5)
	near(t, "reset saves it for", z.SaveFor, 6, 0)
	near(t, "m² a kit", z.RealM2Kit, 23.8/6, 1e-6)
	near(t, "mean depth", z.DepthM, 6*15/1.06/23.8/1000, 1e-9)
	// The last batch by itself: 15 / 1.06 L on 3.8 m² stand 3.72 mm deep.
	near(t, "depth of batch 6", q.Batches[5].DepthM, 15/1.06/3.8/1000, 1e-4)
	near(t, "depth by bay", z.Bays[0].DepthM, 6*15/1.06/23.8/1000, 1e-4)
	y := &q.Yield[0]
	if y.Lot.S != "L 1" || y.OnHand.V != 58 || y.Opened != 6 || y.Used != 6 || y.Unopened.V != 52 {
		t.Errorf("yield: %+v", y)
	}
	var page strings.Builder
	if err := q.WriteHTML(&page); err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{"84.1 %", ">61<", ">63<", ">52<", units.Format(units.Area, z.ReachM2.V, units.Metric)} {
		if !strings.Contains(page.String(), s) {
			t.Errorf("%q does not stand on the page", s)
		}
	}
}
