package record

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"floorpace/internal/day"
	"floorpace/internal/floor"
	"floorpace/internal/plan"
)

// The papers name the lots by panel, find what was mixed with who allowed it, and
// say where suspect and condemned batches lie. Worked by hand, invented day: a kit
// of 14 / 1.06 = 13.208 L lays 2.201 m², so P1 (9 by 1.5 m, 13.5 m²) is full with
// batch 7, which reaches over its edge.
func TestPapersNameLotsByPanel(t *testing.T) {
	p := hall(9, 6)
	box := func(y0, y1 float64) floor.Polygon {
		return floor.Polygon{{X: 0, Y: y0}, {X: 9, Y: y0}, {X: 9, Y: y1}, {X: 0, Y: y1}}
	}
	p.Zones[0].Panels = []floor.Panel{{Name: "P1", Outline: box(0, 1.5)}, {Name: "P2", Outline: box(1.5, 3)}}
	p.Zones[0].PullDeg = 90
	p.Lots = nil
	for _, name := range []string{"L1", "L2"} {
		p.Lots = append(p.Lots, plan.Lot{Name: name, Parts: map[string]int{"A": 20, "B": 20, "aggregate": 20}})
	}
	b := open(t, p)
	at := p.Handover.Add(time.Hour)
	b.press(at, day.Press{Kind: day.OverrideGiven, What: day.LotsMixed, Zone: p.Zones[0].Name, Bay: "P2", Who: "R. Example", Role: "foreman", Why: "client agreed"})
	for i := range 9 {
		lots := "A=L1 B=L1 aggregate=L1"
		if i >= 7 {
			lots = "A=L2 B=L1 aggregate=L1"
		}
		start := at.Add(time.Duration(i+1) * 4 * time.Minute)
		b.press(start, day.Press{Kind: day.BatchStarted, Mixer: i%3 + 1, Lots: lots})
		b.press(start.Add(210*time.Second), day.Press{Kind: day.BatchPoured})
	}
	end := at.Add(time.Hour)
	b.press(end, day.Press{Kind: day.TallyTaken, Counts: "A=9 B=8 aggregate=9"})
	b.press(end, day.Press{Kind: day.BatchCondemned, Batch: 2, Why: "COLOUR IS WRONG"})
	q := b.paper()
	var got []string
	for _, l := range q.LotPlaces {
		if l.Part == "A" {
			got = append(got, fmt.Sprint(l.Panel.S, " ", l.Lot, " ", numbers(l.Batches)))
		}
	}
	if s := strings.Join(got, "; "); s != "P1 L1 1 to 7; P2 L1 7; P2 L2 8, 9" {
		t.Errorf("lots by panel: %s", s)
	}
	for _, want := range []string{
		`A of zone Hall from lot "L1" (batches 7) and "L2" (batches 8, 9); overridden 07:00:00 by R. Example, foreman: client agreed`,
		"batches 1 to 9 suspect, in zone Hall, 0.00 m to 2.25 m",
		"condemned (COLOUR IS WRONG) and still on the floor at the end of the log, in zone Hall, 0.00 m to 0.75 m along, 3.00 m to 5.85 m from the left",
	} {
		found := false
		for _, f := range q.Findings {
			found = found || strings.Contains(f.What, want)
		}
		if !found {
			t.Errorf("no finding says %q: %+v", want, q.Findings)
		}
	}
	var words []string
	for _, bl := range q.blocks() {
		words = append(words, bl.head)
	}
	if !strings.Contains(strings.Join(words, "; "), "Lots by zone and panel") {
		t.Errorf("no table: %v", words)
	}
}

// Source: arithmetic.
func TestNumbers(t *testing.T) {
	for want, ns := range map[string][]int{"": nil, "4": {4}, "4, 5": {5, 4}, "3 to 5, 9": {9, 3, 4, 5}, "1, 3, 5 to 8": {1, 3, 5, 6, 7, 8}} {
		if got := numbers(ns); got != want {
			t.Errorf("%v: %q, want %q", ns, got, want)
		}
	}
}
